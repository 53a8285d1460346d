"""A pedigree as arrays: every animal and every drawn parent is a point with a number.

A drawn parent (one of several, or one side of a pair) is a point of its own: its kinship to
others is the weighted mean of its candidates'. Nothing here computes kinship.
"""

from dataclasses import dataclass, field

import numpy as np

from registry.lineage.errors import (
    HalfAPair,
    LoopInDescent,
    NameUsedTwice,
    OwnParent,
    RecordedTwice,
    UnknownAnimal,
)
from registry.lineage.parents import OneOf, PairOf

NOBODY = -1


@dataclass(frozen=True, kw_only=True)
class Draw:
    """One drawn parent: which points it may be, and how likely.

    `partner` is the other side of a pair (itself where there is none); `pairs` then holds
    (own candidate, partner's candidate, weight), with NOBODY for an outsider.
    """

    name: object
    candidates: tuple[int, ...]
    weights: tuple[float, ...]
    rest: float
    partner: int
    pairs: tuple[tuple[int, int, float], ...] = ()


@dataclass
class Pedigree:
    """The points of a pedigree: `sire` and `dam` per point, `draws` per drawn point.

    `keys` gives the animal of a point (None for a drawn one), `index` the point of an animal,
    `level` the longest way down from a founder, which is how old a point is at least.
    """

    keys: list = field(default_factory=list)
    index: dict = field(default_factory=dict)
    sire: list = field(default_factory=list)
    dam: list = field(default_factory=list)
    draws: dict = field(default_factory=dict)
    named: dict = field(default_factory=dict)
    level: list = field(default_factory=list)


def read(records):
    """Turn (key, sire, dam) records, in any order, into a `Pedigree`."""
    pedigree = Pedigree()
    records = list(records)
    for key, _, _ in records:
        if key in pedigree.index:
            raise RecordedTwice(key)
        pedigree.index[key] = _new_point(pedigree, key)
    for key, sire, dam in records:
        point = pedigree.index[key]
        pedigree.sire[point], pedigree.dam[point] = _parents(pedigree, key, sire, dam)
    pedigree.level = _levels(pedigree)
    return pedigree


def _new_point(pedigree, key):
    pedigree.keys.append(key)
    pedigree.sire.append(NOBODY)
    pedigree.dam.append(NOBODY)
    return len(pedigree.keys) - 1


def _parents(pedigree, child, sire, dam):
    """The two parent points of an animal."""
    if isinstance(sire, PairOf) or isinstance(dam, PairOf):
        if not _same_pair(sire, dam):
            raise HalfAPair(child)
        return _drawn(pedigree, child, sire, _pair_sides)
    return tuple(_parent(pedigree, child, parent) for parent in (sire, dam))


def _same_pair(sire, dam):
    if sire is dam:
        return True
    both = isinstance(sire, PairOf) and isinstance(dam, PairOf)
    return both and sire.name is not None and sire.name == dam.name


def _parent(pedigree, child, parent):
    if parent is None:
        return NOBODY
    if isinstance(parent, OneOf):
        return _drawn(pedigree, child, parent, _one_side)
    return _animal(pedigree, child, parent)


def _animal(pedigree, child, parent):
    if parent == child:
        raise OwnParent(child)
    if parent not in pedigree.index:
        raise UnknownAnimal(parent, child)
    return pedigree.index[parent]


def _drawn(pedigree, child, choice, make):
    """The point, or the two points, of a choice: made once for all young that share it."""
    label = (type(choice), choice.name) if choice.name is not None else id(choice)
    if label not in pedigree.named:
        pedigree.named[label] = (choice, make(pedigree, child, choice))
    known, points = pedigree.named[label]
    if dict(known.weights) != dict(choice.weights):
        raise NameUsedTwice(choice.name, _mentioned(known, choice))
    if any(
        pedigree.index.get(child) == point for point in _candidates(pedigree, points)
    ):
        raise OwnParent(child)
    return points


def _mentioned(*choices):
    keys = [key for choice in choices for key in choice.weights]
    flat = [one for key in keys for one in (key if isinstance(key, tuple) else (key,))]
    return list(dict.fromkeys(key for key in flat if key is not None))


def _candidates(pedigree, points):
    points = points if isinstance(points, tuple) else (points,)
    return [one for point in points for one in pedigree.draws[point].candidates]


def _one_side(pedigree, child, choice):
    weights = {
        _animal(pedigree, child, key): w for key, w in choice.weights.items() if w > 0
    }
    point = _new_point(pedigree, None)
    pedigree.draws[point] = Draw(
        name=choice.name,
        candidates=tuple(weights),
        weights=tuple(weights.values()),
        rest=choice.rest,
        partner=point,
    )
    return point


def _pair_sides(pedigree, child, choice):
    pairs = [
        (_side(pedigree, child, sire), _side(pedigree, child, dam), weight)
        for (sire, dam), weight in choice.weights.items()
        if weight > 0
    ]
    points = _new_point(pedigree, None), _new_point(pedigree, None)
    turned = [(dam, sire, weight) for sire, dam, weight in pairs]
    for point, partner, seen in zip(points, reversed(points), (pairs, turned)):
        pedigree.draws[point] = _marginal(choice, partner, seen)
    return points


def _side(pedigree, child, key):
    return NOBODY if key is None else _animal(pedigree, child, key)


def _marginal(choice, partner, pairs):
    weights = {}
    for own, _, weight in pairs:
        weights[own] = weights.get(own, 0.0) + weight
    outsider = weights.pop(NOBODY, 0.0)
    return Draw(
        name=choice.name,
        candidates=tuple(weights),
        weights=tuple(weights.values()),
        rest=choice.rest + outsider,
        partner=partner,
        pairs=tuple(pairs),
    )


def sources(pedigree, point):
    """The points from which `point` may descend directly; both sides of a pair wait for all."""
    draw = pedigree.draws.get(point)
    if draw is None:
        return [
            one for one in (pedigree.sire[point], pedigree.dam[point]) if one != NOBODY
        ]
    return list({*draw.candidates, *pedigree.draws[draw.partner].candidates})


def _levels(pedigree):
    """The longest way down to each point; raises LoopInDescent where there is none."""
    waiting = [len(sources(pedigree, point)) for point in range(len(pedigree.keys))]
    young = [[] for _ in waiting]
    for point in range(len(waiting)):
        for source in sources(pedigree, point):
            young[source].append(point)
    level = np.zeros(len(waiting), dtype=np.int64)
    ready = [point for point, count in enumerate(waiting) if count == 0]
    for point in ready:
        for child in young[point]:
            level[child] = max(level[child], level[point] + 1)
            waiting[child] -= 1
            if waiting[child] == 0:
                ready.append(child)
    if len(ready) < len(waiting):
        raise LoopInDescent(
            _loop(pedigree, [p for p, count in enumerate(waiting) if count])
        )
    return level.tolist()


def _loop(pedigree, stuck):
    """The animals of one loop among points that wait for each other, each parent of the next."""
    inside = set(stuck)
    way, place = [stuck[0]], {stuck[0]: 0}
    while True:
        older = next(one for one in sources(pedigree, way[-1]) if one in inside)
        if older in place:
            ring = way[place[older] :][::-1]
            return [pedigree.keys[p] for p in ring if pedigree.keys[p] is not None]
        place[older] = len(way)
        way.append(older)
