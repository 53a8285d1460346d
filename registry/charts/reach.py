"""Whom a picture reaches: ancestors and descendants to a depth, and the ancestors in common.

Everything here takes a plain mapping of each animal to its parents, certain or possible.
"""

from itertools import combinations, product

import networkx as nx


def ancestors(asked, parents, depth):
    """Collect the animals asked about and their ancestors, `depth` generations back.

    Parameters
    ----------
    asked : iterable of str
    parents : mapping of str to iterable of str
        The parents of each animal, all candidates included; a missing key has none.
    depth : int
        1 reaches the parents.

    Returns
    -------
    frozenset of str

    Examples
    --------
    >>> sorted(ancestors(["C"], {"C": ["A", "B"], "A": ["Z"]}, 1))
    ['A', 'B', 'C']
    """
    return _walk(asked, parents, depth)


def descendants(asked, parents, depth):
    """Collect the animals asked about, their descendants, and the other parents of those.

    >>> sorted(descendants(["A"], {"C": ["A", "B"], "D": ["C"]}, 1))
    ['A', 'B', 'C']
    """
    found = _walk(asked, _young(parents), depth) - frozenset(asked)
    return frozenset(asked) | found | {mate for key in found for mate in parents.get(key, ())}


def kin(asked, parents, up, down):
    """Collect both ways: `up` generations of ancestors and `down` generations of descendants."""
    asked = list(asked)
    return ancestors(asked, parents, up) | descendants(asked, parents, down)


def _young(parents):
    """Turn a mapping to parents into one to young."""
    young = {}
    for key, listed in parents.items():
        for parent in listed:
            young.setdefault(parent, []).append(key)
    return young


def _walk(start, steps, depth):
    """Follow a mapping for so many steps; a circle in it is walked once."""
    seen = layer = frozenset(start)
    for _ in range(depth):
        layer = frozenset(far for key in layer for far in steps.get(key, ())) - seen
        if not layer:
            break
        seen |= layer
    return seen


def common_ancestors(asked, parentage):
    """List the ancestors through which relatedness comes, nearest first.

    Of one animal asked about those its sire and its dam have in common, of several those any two
    of them have. Counted is an ancestor with two lines of descent that share nobody but itself
    (Wright 1922); the ancestors of a common ancestor do not count for that alone.

    Parameters
    ----------
    asked : iterable of str
    parentage : mapping of str to Parentage
        Whatever iterates over parents and has `couples()`.

    Returns
    -------
    tuple of str

    Examples
    --------
    >>> from registry.charts.pedigree import Parentage
    >>> pair = Parentage.of(sires={"S": 1}, dams={"D": 1})
    >>> full_siblings = {"A": pair, "B": pair, "S": Parentage.of(dams={"G": 1})}
    >>> common_ancestors(["A", "B"], full_siblings)
    ('D', 'S')
    """
    asked = tuple(dict.fromkeys(asked))
    if len(asked) == 1:
        pairs = parentage[asked[0]].couples() if asked[0] in parentage else ()
    else:
        pairs = tuple(combinations(asked, 2))
    found = {}
    for pair in pairs:
        for key, steps in _of_two(pair, parentage).items():
            found[key] = min(steps, found.get(key, steps))
    return tuple(sorted(found, key=lambda key: (found[key], key)))


def _of_two(pair, parentage):
    """Map each common ancestor of two animals to its nearest distance from the two.

    Two lines that share only the ancestor exist just where nobody but the root, placed above
    both animals, lies on every line (Menger): where the root is the immediate dominator.
    """
    root = object()
    lines = nx.DiGraph()
    sides = [(side, key) for side, key in enumerate(pair)]
    lines.add_edges_from((root, side) for side in sides)
    lines.add_edges_from((side, side[1]) for side in sides)
    reached = _walk(pair, parentage, len(parentage) + 1)
    lines.add_edges_from(_steps(reached, parentage))
    distance = nx.single_source_shortest_path_length(lines, root)
    above = nx.immediate_dominators(lines, root)
    return {
        key: distance[key]
        for key, over in above.items()
        if over is root and key is not root and key not in sides
    }


def _steps(reached, parentage):
    """List the steps from animals to their parents."""
    return [step for key in reached for step in product([key], parentage.get(key, ()))]
