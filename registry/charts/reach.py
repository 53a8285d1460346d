"""Whom a picture reaches: ancestors and descendants to a depth, and the ancestors in common.

Everything here takes a plain mapping of each animal to its parents, certain or possible.
"""

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
    found = {}
    for lines in _starts(asked, parentage):
        for key, steps in _common(lines, parentage).items():
            found[key] = min(steps, found.get(key, steps))
    return tuple(sorted(found, key=lambda key: (found[key], key)))


def _starts(asked, parentage):
    """List the animals from which lines lead back: each possible pair of parents, or all asked."""
    if len(asked) > 1:
        return (asked,)
    return parentage[asked[0]].couples() if asked and asked[0] in parentage else ()


def _common(starts, parentage):
    """Map each common ancestor of any two of several animals to its nearest distance.

    Two lines that share only the ancestor exist just where nobody but the root, placed above
    all the animals, lies on every line (Menger): where the root is the immediate dominator.
    """
    root = object()
    sides = list(enumerate(starts))
    lines = nx.DiGraph()
    lines.add_edges_from((root, side) for side in sides)
    lines.add_edges_from((side, side[1]) for side in sides)
    lines.add_edges_from(_steps(_walk(starts, parentage, len(parentage) + 1), parentage))
    distance = nx.single_source_shortest_path_length(lines, root)
    over = nx.immediate_dominators(lines, root)
    keys = [key for key in over if key is not root and key not in sides]
    return {key: distance[key] for key in keys if over[key] is root}


def _steps(reached, parentage):
    """List the steps from animals to their parents."""
    return [(key, parent) for key in reached for parent in parentage.get(key, ())]
