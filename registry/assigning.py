"""Who can have been whom: a different one for each of several things that happened. Pure.

Each thing that happened to one of several is tied to another one of them: a matching in a graph of
two sides (Hopcroft and Karp 1973).
"""

import networkx as nx


def assigned(choices):
    """Return as many things as can each have one of its own, with that one.

    `choices` is `{thing: those it can have been}`.

    >>> assigned({"first death": {"A"}, "second death": {"A", "B"}})
    {'first death': 'A', 'second death': 'B'}
    >>> len(assigned({"first death": {"A"}, "second death": {"A"}}))
    1
    """
    graph, things = nx.Graph(), [("thing", thing) for thing in choices]
    graph.add_nodes_from(things)
    for thing, ones in choices.items():
        graph.add_edges_from((("thing", thing), ("one", one)) for one in ones)
    found = nx.bipartite.hopcroft_karp_matching(graph, things)
    return {thing: found["thing", thing][1] for thing in choices if ("thing", thing) in found}


def certain(choices):
    """Return those it must have been: without one of them some thing would have happened to nobody.

    >>> certain({"first death": {"A", "B"}})
    set()
    >>> sorted(certain({"first death": {"A", "B"}, "second death": {"A", "B"}}))
    ['A', 'B']
    """
    whole = len(assigned(choices))
    everyone = set().union(*choices.values())
    return {one for one in everyone if len(assigned(_without(choices, one))) < whole}


def fits(choices, ones):
    """Return whether one more thing can have happened to one of these, beside what did.

    >>> fits({"first death": {"A", "B"}}, {"A", "B"}), fits({"first death": {"A"}}, {"A"})
    (True, False)
    """
    return len(assigned(choices | {None: set(ones)})) > len(assigned(choices))


def _without(choices, one):
    return {thing: ones - {one} for thing, ones in choices.items()}
