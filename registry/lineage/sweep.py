"""A kinship table that goes from the oldest to the youngest and forgets on the way.

The tabular method, one block of one age at a time; an animal leaves the table once it has no
more young to come and nobody asked about it, so the table stays as wide as two generations.
How a drawn parent is treated is a rule: its mean, its best candidate, or every choice apart.

Source: the tabular method is Emik & Terrill (1949, J. Hered. 40:51-55).
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from registry.lineage.pedigree import NOBODY


@dataclass(frozen=True, kw_only=True)
class Strata:
    """Some points with all their ancestors, oldest first; drawn ones last within a block.

    `starts` are where blocks begin, `drawn` where the drawn ones of each block do; `sire` and
    `dam` are ranks (NOBODY where missing, or drawn), `last` is the block of the last young.
    """

    points: np.ndarray
    starts: np.ndarray
    drawn: np.ndarray
    sire: np.ndarray
    dam: np.ndarray
    last: np.ndarray
    draws: dict

    @cached_property
    def rank(self):
        """The rank of each point."""
        return dict(zip(self.points.tolist(), range(len(self.points)), strict=True))

    @property
    def blocks(self):
        """How many blocks there are."""
        return len(self.drawn)

    @cached_property
    def width(self):
        """How many points the table holds at most, beside those asked about."""
        come = np.repeat(np.arange(self.blocks), np.diff(self.starts))
        change = np.zeros(self.blocks + 1, dtype=np.int64)
        np.add.at(change, come, 1)
        np.add.at(change, np.maximum(self.last, come) + 1, -1)
        return int(np.cumsum(change).max(initial=0))


def strata_of(pedigree, order, points):
    """The strata of some points, with or without young."""
    points = np.unique(points)
    inside, outside = _seeds(pedigree, order, points)
    places = order.closed(inside)
    members = np.concatenate([order.points[places], outside])
    block = np.concatenate([order.block[places], _blocks_of(pedigree, order, outside)])
    drawn = np.array([point in pedigree.draws for point in members.tolist()], dtype=bool)
    ranked = np.lexsort((members, drawn, block))
    members, block, drawn = members[ranked], block[ranked], drawn[ranked]
    count = int(block[-1]) + 1 if len(block) else 0
    starts = np.searchsorted(block, np.arange(count + 1))
    rank = np.full(len(pedigree) + 1, NOBODY, dtype=np.int64)
    rank[members] = np.arange(len(members))
    draws = {int(point): pedigree.draws[point] for point in members[drawn].tolist()}
    sire, dam = rank[pedigree.sire[members]], rank[pedigree.dam[members]]
    return Strata(
        points=members,
        starts=starts,
        drawn=starts[1:] - np.bincount(block[drawn], minlength=count),
        sire=sire,
        dam=dam,
        last=_last_young(block, sire, dam, rank, draws),
        draws=draws,
    )


def _seeds(pedigree, order, points):
    """The places that points stand at or descend straight from, and the points without young."""
    inside = order.place[points] != NOBODY
    parents = np.concatenate([side[points[~inside]] for side in (pedigree.sire, pedigree.dam)])
    return order.place[
        np.concatenate([points[inside], parents[parents != NOBODY]]).astype(np.int64)
    ], points[~inside]


def _blocks_of(pedigree, order, points):
    """The blocks in which points without young belong."""
    block = np.concatenate([order.block, [NOBODY]])
    place = np.concatenate([order.place, [NOBODY]])
    sides = [block[place[side[points]]] for side in (pedigree.sire, pedigree.dam)]
    return np.maximum(*sides) + 1


def _last_young(block, sire, dam, rank, draws):
    last = np.full(len(block) + 1, NOBODY, dtype=np.int64)
    for side in (sire, dam):
        np.maximum.at(last, side, block)
    for point, draw in draws.items():
        own = rank[list(draw.candidates)]
        np.maximum.at(last, own, block[rank[point]])
    return last[:-1]


class Sweep:
    """One pass over strata; `advance` takes the next block into the table.

    The table has three axes: points, points, and ways to choose (one unless every choice is
    taken apart). Slot 0 stands for a missing animal, which is kin to none.
    """

    def __init__(self, strata, rule, asked=()):
        self.strata = strata
        self.rule = rule
        self.block = 0
        self.table = np.zeros((1, 1, 1))
        self.slot = np.zeros(len(strata.points) + 1, dtype=np.int64)
        self._ranks = np.array([NOBODY])
        self._stay = np.append(strata.last, strata.blocks + 1)
        self._stay[[strata.rank[point] for point in asked]] = strata.blocks + 1

    def run(self):
        """Take in all blocks."""
        while self.block < self.strata.blocks:
            self.advance()
        return self

    def advance(self):
        """Take in the next block and forget whom nobody needs any more."""
        strata, block = self.strata, self.block
        self._take_animals(np.arange(strata.starts[block], strata.drawn[block]))
        self._take_drawn(np.arange(strata.drawn[block], strata.starts[block + 1]))
        self.block += 1
        keep = np.flatnonzero(self._stay[self._ranks] >= self.block)
        if len(keep) < len(self._ranks):
            self.table = self.table[np.ix_(keep, keep)]
            self._number(self._ranks[keep])

    def between(self, one, other):
        """Kinship of points that are in the table, one by one: an axis more for the choices."""
        return self.table[self.slots(one), self.slots(other)]

    def slots(self, points):
        """Where points stand in the table; NOBODY stands at 0."""
        rank = self.strata.rank
        return self.slot[[NOBODY if p == NOBODY else rank[p] for p in points]]

    def _number(self, ranks):
        self._ranks = ranks
        self.slot[:] = 0
        self.slot[ranks] = np.arange(len(ranks))
        self.slot[NOBODY] = 0

    def _take_animals(self, ranks):
        if not ranks.size:
            return
        table = self.table
        sire, dam = self.slot[self.strata.sire[ranks]], self.slot[self.strata.dam[ranks]]
        rows = 0.5 * (table[sire] + table[dam])
        among = 0.5 * (rows[:, sire] + rows[:, dam])
        each = np.arange(len(ranks))
        among[each, each] = 0.5 + 0.5 * table[sire, dam]
        self._extend(ranks, rows, among)

    def _take_drawn(self, ranks):
        if not ranks.size:
            return
        points = self.strata.points[ranks].tolist()
        self.table = self.rule.meet(self, points)
        rows = np.stack([self.rule.over(self, point, self.table) for point in points])
        across = rows.swapaxes(0, 1)
        among = np.stack([self.rule.over(self, point, across) for point in points])
        for at, point in enumerate(points):
            among[at, at] = self.rule.itself(self, point)
            partner = self.strata.draws[point].partner
            if partner != point:
                among[at, points.index(partner)] = self.rule.joint(self, point)
        self._extend(ranks, rows, among)

    def _extend(self, ranks, rows, among):
        above = np.concatenate([self.table, rows.swapaxes(0, 1)], axis=1)
        self.table = np.concatenate([above, np.concatenate([rows, among], axis=1)])
        self._number(np.concatenate([self._ranks, ranks]))


class Mean:
    """A drawn parent is the weighted mean of its candidates: the expected figure."""

    def meet(self, sweep, points):
        """Nothing is chosen."""
        return sweep.table

    def over(self, sweep, point, table):
        """The rows of candidates made one."""
        draw = sweep.strata.draws[point]
        return np.tensordot(np.array(draw.weights), table[sweep.slots(draw.candidates)], 1)

    def itself(self, sweep, point):
        """Kinship of a drawn parent with itself."""
        draw = sweep.strata.draws[point]
        own = sweep.between(draw.candidates, draw.candidates)
        return np.tensordot(np.array(draw.weights), own, 1) + 0.5 * draw.rest

    def joint(self, sweep, point):
        """Kinship of the two sides of a pair."""
        one, other, weight = zip(*sweep.strata.draws[point].pairs, strict=True)
        return np.tensordot(np.array(weight), sweep.between(one, other), 1)


class Best:
    """A drawn parent is, at each step, the best of the candidates left to it: a bound."""

    def __init__(self, options):
        self.options = options

    def meet(self, sweep, points):
        """Nothing is chosen for good."""
        return sweep.table

    def over(self, sweep, point, table):
        """The rows of candidates made one."""
        return table[sweep.slots(self._candidates(sweep, point))].max(axis=0)

    def itself(self, sweep, point):
        """Kinship of a drawn parent with itself; that of an outsider is a half."""
        own = self._candidates(sweep, point)
        return np.maximum(sweep.between(own, own).max(axis=0), 0.5)

    def joint(self, sweep, point):
        """Kinship of the two sides of a pair."""
        return sweep.between(*self._pairs(sweep, point)).max(axis=0)

    def _candidates(self, sweep, point):
        if not sweep.strata.draws[point].pairs:
            return self.options[point]
        return self._pairs(sweep, point)[0]

    def _pairs(self, sweep, point):
        partner = sweep.strata.draws[point].partner
        pairs = tuple(zip(*self.options[min(point, partner)], strict=True))
        return pairs if point < partner else pairs[::-1]


class Each:
    """Every choice is taken apart, on a third axis that grows with each drawn parent met."""

    def __init__(self, options):
        self.options = options
        self.met = []
        self._picked = {}

    def meet(self, sweep, points):
        """Split the table by what can be chosen at the drawn parents of one block."""
        self._picked = {}
        table = sweep.table
        for point in points:
            if point in self.options:
                table = self._split(sweep, point, table)
        return table

    def _split(self, sweep, point, table):
        options, ways = self.options[point], table.shape[2]
        self.met.append(point)
        self._picked = {one: np.repeat(slots, len(options)) for one, slots in self._picked.items()}
        draw = sweep.strata.draws[point]
        sides = zip(*options, strict=True) if draw.pairs else (options,)
        for side, candidates in zip((point, draw.partner), sides, strict=False):
            self._picked[side] = np.tile(sweep.slots(candidates), ways)
        return np.repeat(table, len(options), axis=2)

    def over(self, sweep, point, table):
        """For each way to choose the row of the one chosen."""
        return table[self._picked[point], :, np.arange(table.shape[2])].T

    def itself(self, sweep, point):
        """Kinship of the one chosen with itself; that of an outsider is a half."""
        own = self._picked[point]
        return np.maximum(sweep.table[own, own, np.arange(len(own))], 0.5)

    def joint(self, sweep, point):
        """Kinship of the two animals of the pair chosen."""
        one, other = (self._picked[side] for side in (point, sweep.strata.draws[point].partner))
        return sweep.table[one, other, np.arange(len(one))]
