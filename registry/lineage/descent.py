"""Kinship by gene flow: K = T D T', for the ancestors of the animals asked about.

T is how genes flow from each point to each (`flow` gives one step of it), D what each point
adds of its own: half a gene's chance less what its parents share with themselves. A column of
K is one pass from the young to the old and one back, over sparse blocks of one age.

Sources: the decomposition is Henderson (1976, Biometrics 32:69-83) and Quaas (1976, Biometrics
32:949-953); computing columns of it without the matrix, Colleau (2002, Genet. Sel. Evol.
34:409-421); a drawn parent as a mean of candidates, Henderson (1988, J. Dairy Sci. 71:111-117).
"""

from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from scipy import sparse
from scipy.sparse.csgraph import connected_components

from registry.lineage.order import gathered
from registry.lineage.own_share import Wanted
from registry.lineage.pedigree import NOBODY
from registry.lineage.sweep import Mean, Sweep, strata_of

COLUMNS_AT_ONCE = 48
HANDS = 2
WIDE = 40


@dataclass(frozen=True, kw_only=True)
class Family:
    """Some breeding points with all their ancestors: what a column of kinship runs through.

    `places` are their places in the order, sorted; `flow` the steps among them; `starts` where
    their blocks begin; `own` and `joint` what each adds of its own, and together with `mate`,
    the other side of its pair.
    """

    places: np.ndarray
    starts: np.ndarray
    flow: sparse.csr_array
    own: np.ndarray
    joint: np.ndarray
    mate: np.ndarray

    @cached_property
    def _steps(self):
        """The flow into each block, oldest first."""
        return _by_block(self.flow, self.starts)

    @cached_property
    def _steps_back(self):
        """The flow out of each block, oldest first."""
        return _by_block(self.flow.T.tocsr(), self.starts)

    @cached_property
    def kindred(self):
        """For each point the number of its kindred: points of two share no ancestor."""
        paired = np.flatnonzero(self.mate != NOBODY)
        links = sparse.csr_array(
            (np.ones(len(paired)), (paired, self.mate[paired])), shape=self.flow.shape
        )
        return connected_components(self.flow + links, directed=False)[1]

    def at(self, places):
        """The rows of some places of the order."""
        return np.searchsorted(self.places, places)

    def collect(self, genes):
        """What passes through each point of each column of `genes` (shares), in place."""
        for block, step in reversed(self._steps_back):
            genes[block] += step @ genes
        return genes

    def spread(self, genes):
        """Kinship of all points with each column of `genes` (shares of points), in place."""
        self.collect(genes)
        paired = np.flatnonzero(self.joint)
        together = self.joint[paired, None] * genes[self.mate[paired]]
        genes *= self.own[:, None]
        genes[paired] += together
        for block, step in self._steps:
            genes[block] += step @ genes
        return genes


def _by_block(matrix, starts):
    blocks = [slice(*ends) for ends in pairwise(starts.tolist())]
    steps = [(block, matrix[block]) for block in blocks]
    return [(block, step) for block, step in steps if step.nnz]


class Descent:
    """What is known so far of the kinship of each point with itself.

    `itself` is f(x, x), `own` the point's own share of it (its place in D), `joint` what the
    two sides of a pair have in common beyond their ancestors; by point, NaN until asked for.
    """

    def __init__(self, pedigree, order, before=None):
        self.pedigree = pedigree
        self.order = order
        self.itself = np.full(len(pedigree), np.nan)
        self.own = np.full(len(pedigree), np.nan)
        self.joint = np.zeros(len(pedigree))
        if before is not None:
            known = len(before.itself)
            # What tells that a point is known was written last, so it is read first.
            self.own[:known] = before.own
            self.joint[:known] = before.joint
            self.itself[:known] = before.itself

    def family(self, places):
        """The family of some places; makes known the own shares of all of it."""
        closed = self.order.closed(places)
        if np.isnan(self.own[self.order.points[closed]]).any():
            self.between(closed, closed)
        columns, shares, length = gathered(self.order.flow, closed)
        local = np.full(len(self.order.points), NOBODY, dtype=np.int64)
        local[closed] = np.arange(len(closed))
        starts = np.searchsorted(closed, self.order.starts)
        bound = self.order.bound[closed]
        return Family(
            places=closed,
            starts=starts,
            flow=sparse.csr_array(
                (shares, local[columns], np.concatenate([[0], np.cumsum(length)])),
                shape=(len(closed), len(closed)),
            ),
            own=self.own[self.order.points[closed]],
            joint=self.joint[self.order.points[closed]],
            mate=np.where(bound == NOBODY, NOBODY, local[bound]),
        )

    def with_itself(self, points):
        """Kinship of animals with themselves, (1 + F) / 2; kept for the next time."""
        new = points[np.isnan(self.itself[points])]
        sire, dam = self.pedigree.sire[new], self.pedigree.dam[new]
        both = np.flatnonzero((sire != NOBODY) & (dam != NOBODY))
        itself = np.full(len(new), 0.5)
        place = self.order.place
        itself[both] += 0.5 * self.between(place[sire[both]], place[dam[both]])
        self.itself[new] = itself
        return self.itself[points]

    def between(self, one, other):
        """Kinship of two arrays of places, pair by pair; makes known what they descend from."""
        order = self.order
        closed = order.closed(np.concatenate([one, other]))
        unknown = closed[np.isnan(self.own[order.points[closed]])]
        if not len(unknown):
            return self._between(one, other)
        wanted = Wanted(self.pedigree, order, unknown)
        strata = self._narrow_strata(closed)
        if strata is not None:
            self._learn_by_table(wanted, strata)
            return self._between(one, other)
        return self._learn_by_columns(wanted, one, other)

    def _narrow_strata(self, closed):
        """The strata of places with so few to a block that a table is quicker, else None."""
        blocks = int(self.order.block[closed[-1]]) + 1
        if len(closed) > WIDE * blocks**2:
            return None
        strata = strata_of(self.pedigree, self.order, self.order.points[closed])
        return strata if strata.width <= WIDE * blocks else None

    def _learn_by_table(self, wanted, strata):
        """Make own shares known by the tabular method, one block at a time."""
        points = self.order.points
        sweep = Sweep(strata, Mean())
        value = np.zeros(len(wanted.one))
        for block in range(strata.blocks):
            pairs = np.flatnonzero(wanted.pair_block == block)
            sides = (points[side[pairs]].tolist() for side in (wanted.one, wanted.other))
            value[pairs] = sweep.between(*sides)[:, 0]
            wanted.tell(self, block, value)
            sweep.advance()

    def _learn_by_columns(self, wanted, one, other):
        """Make own shares known by columns, block after block, and the pairs on the way."""
        ones, others = np.concatenate([one, wanted.one]), np.concatenate([other, wanted.other])
        block = self.order.block
        value = np.empty(len(ones))
        oldest_first = _grouped(np.maximum(block[ones], block[others]))
        for step in range(max(block[one].max(), block[other].max()) + 1):
            wanted.tell(self, step, value[len(one) :])
            group = oldest_first(step)
            value[group] = self._between(ones[group], others[group])
        return value[: len(one)]

    def _between(self, one, other):
        """Kinship of pairs of places, the own shares of their ancestors being known."""
        value = self.itself[self.order.points[one]]
        differ = np.flatnonzero(one != other)
        if differ.size:
            value[differ] = self._by_columns(*_anchored(one[differ], other[differ]))
        return value

    def _by_columns(self, anchor, other):
        """Kinship of pairs by one column per anchor, shared by anchors that share no ancestor."""
        anchors, which = _distinct(anchor, len(self.order.points))
        family = self.family(np.concatenate([anchors, other]))
        rows, row = family.at(anchors), family.at(other)
        column = _ranks(family.kindred[rows])
        kin = family.kindred[rows[which]] == family.kindred[row]
        at = np.where(kin, column[which], NOBODY)
        value = np.zeros(len(anchor))

        def fill(columns):
            inside = np.flatnonzero((column >= columns.start) & (column < columns.stop))
            genes = np.zeros((len(family.places), len(columns)))
            genes[rows[inside], column[inside] - columns.start] = 1
            family.spread(genes)
            pairs = np.flatnonzero((at >= columns.start) & (at < columns.stop))
            value[pairs] = genes[row[pairs], at[pairs] - columns.start]

        share_out(fill, int(column.max()) + 1)
        return value


def share_out(fill, columns):
    """Fill the columns a few at a time, with as many hands as help."""
    parts = [
        range(first, min(first + COLUMNS_AT_ONCE, columns))
        for first in range(0, columns, COLUMNS_AT_ONCE)
    ]
    if len(parts) == 1:
        fill(parts[0])
        return
    with ThreadPoolExecutor(HANDS) as hands:
        list(hands.map(fill, parts))


def _grouped(labels):
    """A function that tells where a label stands, for small whole numbers."""
    # Sorting numbers of two bytes takes a pass over them, whatever they are.
    small = labels.astype(np.min_scalar_type(labels.max(initial=0)))
    order = np.argsort(small, kind="stable")
    ends = np.cumsum(np.bincount(labels)) if len(labels) else np.zeros(1, dtype=np.int64)
    return lambda label: order[ends[label - 1] if label else 0 : ends[label]]


def _anchored(one, other):
    """Each pair turned so that the first is the one with more pairs; few anchors result."""
    count = np.bincount(np.concatenate([one, other]))
    turn = count[other] > count[one]
    return np.where(turn, other, one), np.where(turn, one, other)


def _distinct(places, size):
    """The distinct places in order, and which of them each is."""
    seen = np.zeros(size, dtype=bool)
    seen[places] = True
    return np.flatnonzero(seen), (np.cumsum(seen) - 1)[places]


def _ranks(labels):
    """Number those with one label from 0 on."""
    order = np.argsort(labels, kind="stable")
    ranked = labels[order]
    begin = np.flatnonzero(np.concatenate([[True], ranked[1:] != ranked[:-1]]))
    ranks = np.empty(len(labels), dtype=np.int64)
    ranks[order] = np.arange(len(labels)) - np.repeat(
        begin, np.diff(np.concatenate([begin, [len(labels)]]))
    )
    return ranks
