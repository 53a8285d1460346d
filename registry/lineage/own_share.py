"""What a point adds of its own to kinship, from the kinship of those it may descend from."""

import numpy as np

from registry.lineage.pedigree import NOBODY


class Wanted:
    """The pairs whose kinship tells the own shares of some places, and what to make of them.

    `one` and `other` are the places of the pairs. Everything told of a drawn parent is a sum
    of such kinships, each with a factor. `pair_block` is the block of the point they are for.
    """

    def __init__(self, pedigree, order, places):
        points = order.points[places]
        drawn = np.isin(points, list(pedigree.draws))
        self.points, self.block = points[~drawn], order.block[places[~drawn]]
        self.sire, self.dam = pedigree.sire[self.points], pedigree.dam[self.points]
        self.both = np.flatnonzero((self.sire != NOBODY) & (self.dam != NOBODY))
        self.sums = _Sums(pedigree, order, points[drawn].tolist())
        parents = (order.place[side[self.both]] for side in (self.sire, self.dam))
        self.one, self.other = (
            np.concatenate(sides)
            for sides in zip(parents, (self.sums.one, self.sums.other), strict=True)
        )
        self.pair_block = np.concatenate([self.block[self.both], self.sums.pair_block])

    def tell(self, descent, block, value):
        """Set what is known of the points of one block, `value` being that of older pairs."""
        self._tell_animals(descent, block, value)
        self.sums.tell(descent, block, value[len(self.both) :])

    def _tell_animals(self, descent, block, value):
        begin, end = np.searchsorted(self.block, [block, block + 1])
        points = self.points[begin:end]
        inbreeding = np.zeros(end - begin)
        first, last = np.searchsorted(self.both, [begin, end])
        inbreeding[self.both[first:last] - begin] = value[first:last]
        descent.itself[points] = 0.5 + 0.5 * inbreeding
        own = np.full(end - begin, 0.5)
        for side in (self.sire[begin:end], self.dam[begin:end]):
            known = np.flatnonzero(side != NOBODY)
            own[known] -= 0.25 * descent.itself[side[known]]
        descent.own[points] = own


class _Sums:
    """Own shares of drawn parents as sums over kinships of their candidates."""

    def __init__(self, pedigree, order, points):
        self.points = np.array(points, dtype=np.int64)
        self.block = order.block[order.place[self.points]]
        self.rest = np.array([pedigree.draws[point].rest for point in points])
        terms = [list(_terms(pedigree.draws, point)) for point in points]
        table = np.array([term for some in terms for term in some], dtype=float).reshape(-1, 5)
        self.one, self.other = order.place[table[:, :2].astype(np.int64).T]
        self.factors = table[:, 2:].T
        self.owner = np.repeat(np.arange(len(points)), [len(some) for some in terms])
        self.pair_block = self.block[self.owner]

    def tell(self, descent, block, value):
        """Set what is known of the drawn parents of one block; their own share comes last."""
        begin, end = np.searchsorted(self.block, [block, block + 1])
        first, last = np.searchsorted(self.owner, [begin, end])
        owner, rest = self.owner[first:last] - begin, self.rest[begin:end]
        sums = [
            np.bincount(owner, weights=part, minlength=end - begin)
            for part in self.factors[:, first:last] * value[first:last]
        ]
        points = self.points[begin:end]
        descent.itself[points] = sums[0] + 0.5 * rest
        descent.joint[points] = sums[1]
        descent.own[points] = sums[2] + 0.5 * rest


def _terms(draws, point):
    """(one, other, factors for f(x, x), for the joint and for the own share) of a drawn parent."""
    draw, partner = draws[point], draws[draws[point].partner]
    shares = list(zip(draw.candidates, draw.weights, strict=True))
    for one, weight in shares:
        yield one, one, weight, 0.0, weight
        for other, share in shares:
            yield one, other, 0.0, 0.0, -weight * share
    if not draw.pairs:
        return
    for one, other, weight in draw.pairs:
        if NOBODY not in (one, other):
            yield one, other, 0.0, weight, 0.0
    for one, weight in shares:
        for other, share in zip(partner.candidates, partner.weights, strict=True):
            yield one, other, 0.0, -weight * share, 0.0
