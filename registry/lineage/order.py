"""The breeding points of a pedigree, each after all those it descends from.

Only points with young, and drawn parents, take part: kinship of an animal without young is
half that of its sire and half that of its dam. Points of one block descend from none of it.
"""

from dataclasses import dataclass

import numpy as np
from scipy import sparse

from registry.lineage.errors import LoopInDescent
from registry.lineage.pedigree import NOBODY


@dataclass(frozen=True, kw_only=True)
class Order:
    """The breeding points, oldest block first.

    `points` are the points by place and `place` the places by point (NOBODY without young);
    `block` is the block of a place, `starts` the first place of each block and the end;
    `flow[y, x]` is the share of y's gene that comes straight from x, by places; `bound` links
    the two sides of pairs, which belong together.
    """

    points: np.ndarray
    place: np.ndarray
    block: np.ndarray
    starts: np.ndarray
    flow: sparse.csr_array
    bound: np.ndarray

    def closed(self, places):
        """The given places and all they descend from, in order."""
        seen = np.zeros(len(self.points), dtype=bool)
        seen[places] = True
        fresh = np.flatnonzero(seen)
        while fresh.size:
            above = gathered(self.flow, fresh)[0]
            tied = self.bound[fresh]
            above = np.concatenate([above, tied[tied != NOBODY]])
            above = above[~seen[above]]
            seen[above] = True
            fresh = np.unique(above)
        return np.flatnonzero(seen)


def gathered(matrix, rows):
    """Column numbers and values of some rows of a CSR matrix, with the length of each row."""
    begin = matrix.indptr[rows].astype(np.int64)
    length = matrix.indptr[np.asarray(rows) + 1] - begin
    at = np.repeat(begin - np.cumsum(length) + length, length) + np.arange(length.sum())
    return matrix.indices[at], matrix.data[at], length


def order_of(pedigree):
    """The order of a pedigree.

    Raises
    ------
    LoopInDescent
        Animals descend from each other, for certain or by one of their possible parents.
    """
    points = _breeding(pedigree)
    place = np.full(len(pedigree), NOBODY, dtype=np.int64)
    place[points] = np.arange(len(points))
    young, old, share = _links(pedigree, points, place)
    levels = _levels(pedigree, points, place, young, old)
    ranked = np.argsort(levels, kind="stable")
    rank = np.empty_like(ranked)
    rank[ranked] = np.arange(len(ranked))
    points, block = points[ranked], levels[ranked]
    place[points] = np.arange(len(points))
    shape = (len(points), len(points))
    return Order(
        points=points,
        place=place,
        block=block,
        starts=np.searchsorted(block, np.arange(block[-1] + 2 if len(block) else 1)),
        flow=sparse.csr_array((share, (rank[young], rank[old])), shape=shape),
        bound=_bound(pedigree, points, place),
    )


def _breeding(pedigree):
    """The points that have young or are drawn, in order of their number."""
    has_young = np.zeros(len(pedigree) + 1, dtype=bool)
    has_young[pedigree.sire] = True
    has_young[pedigree.dam] = True
    for point, draw in pedigree.draws.items():
        has_young[[point, *draw.candidates]] = True
    return np.flatnonzero(has_young[:-1])


def _links(pedigree, points, place):
    """Who descends straight from whom, by places, and by what share."""
    sides = [_side(side, points, place) for side in (pedigree.sire, pedigree.dam)]
    drawn = [
        (place[point], place[one], weight)
        for point, draw in pedigree.draws.items()
        for one, weight in zip(draw.candidates, draw.weights, strict=True)
    ]
    drawn = np.array(drawn, dtype=float).reshape(-1, 3).T
    young = np.concatenate([sides[0][0], sides[1][0], drawn[0].astype(np.int64)])
    old = np.concatenate([sides[0][1], sides[1][1], drawn[1].astype(np.int64)])
    share = np.concatenate([np.full(len(young) - drawn.shape[1], 0.5), drawn[2]])
    return young, old, share


def _side(side, points, place):
    parents = side[points]
    young = np.flatnonzero(parents != NOBODY)
    return young, place[parents[young]]


def _bound(pedigree, points, place):
    """For each place the other side of its pair, or NOBODY."""
    bound = np.full(len(points), NOBODY, dtype=np.int64)
    for point, draw in pedigree.draws.items():
        if draw.pairs:
            bound[place[point]] = place[draw.partner]
    return bound


def _levels(pedigree, points, place, young, old):
    """For each breeding point the longest way down to it from a point without parents."""
    more = [
        (place[point], place[one])
        for point, draw in pedigree.draws.items()
        if draw.pairs
        for one in pedigree.draws[draw.partner].candidates
    ]
    more = np.array(more, dtype=np.int64).reshape(-1, 2)
    young, old = np.concatenate([young, more[:, 0]]), np.concatenate([old, more[:, 1]])
    waiting = np.bincount(young, minlength=len(points))
    links = np.arange(len(old))
    below = sparse.csr_array((np.ones(len(old)), (old, links)), shape=(len(points), len(old)))
    level = np.zeros(len(points), dtype=np.int64)
    ready, done, count = np.flatnonzero(waiting == 0), 0, 0
    while ready.size:
        level[ready] = count
        done, count = done + len(ready), count + 1
        reached = young[gathered(below, ready)[0]]
        np.subtract.at(waiting, reached, 1)
        ready = np.unique(reached[waiting[reached] == 0])
    if done < len(points):
        raise LoopInDescent(_loop(pedigree, points, young, old, np.flatnonzero(waiting)))
    return level


def _loop(pedigree, points, young, old, stuck):
    """The animals of one loop among places that wait for each other, each parent of the next."""
    inside = set(stuck.tolist())
    above = dict(
        link
        for link in zip(young.tolist(), old.tolist(), strict=True)
        if link[0] in inside and link[1] in inside
    )
    way, seen = [stuck[0].item()], {stuck[0].item(): 0}
    while above[way[-1]] not in seen:
        way.append(above[way[-1]])
        seen[way[-1]] = len(way) - 1
    ring = way[seen[above[way[-1]]] :][::-1]
    keys = [pedigree.keys[points[place]] for place in ring]
    return [key for key in keys if key is not None]
