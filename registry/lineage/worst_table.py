"""At-worst kinship of many pairs at once, as for a list of possible mates."""

from math import prod

import numpy as np

from registry.lineage.pedigree import NOBODY
from registry.lineage.sweep import strata_of
from registry.lineage.worst import (
    CELLS_AT_ONCE,
    MOST_CHOICES,
    ROUNDING,
    AtWorst,
    bound_table,
    cells,
    each_choice,
    options_of,
    worst_figure,
)

MOST_AT_ONCE = 16


def worst_table(descent, rows, columns, expected):
    """At-worst kinship of each row point with each column point, and where it is a bound.

    Pairs of more than 4,096 choices take their bound from one sweep over all; of the others
    every choice is taken apart, once for animals that have the same parents.
    """
    strata = strata_of(descent.pedigree, descent.order, np.concatenate([rows, columns]))
    if not strata.draws:
        return expected.copy(), np.zeros(expected.shape, dtype=bool)
    options = options_of(descent.pedigree, strata, {*rows.tolist(), *columns.tolist()})
    table = bound_table(strata, rows.tolist(), columns.tolist(), options)
    open_ = table > expected + ROUNDING
    met = _Met(strata, options)
    choices = met.choices(rows.tolist(), columns.tolist())
    bounds = open_ & (choices > MOST_CHOICES)
    searched = open_ & (choices > 1) & (choices <= MOST_CHOICES)
    known = {}
    for row in np.flatnonzero(searched.any(axis=1)).tolist():
        at = np.flatnonzero(searched[row])
        found = _search(descent, met, known, int(rows[row]), columns[at].tolist())
        table[row, at] = found
        bounds[row, at] = [figure.is_bound for figure in found]
    return table, bounds


class _Met:
    """The drawn parents above each point, as bits in the order of the options."""

    def __init__(self, strata, options):
        self.sizes = [len(some) for some in options.values()]
        bits = _bits(strata, {point: 1 << at for at, point in enumerate(options)})
        self.of = dict(zip(strata.points.tolist(), bits, strict=False))
        self._known = {}

    def choices(self, rows, columns):
        """How many choices each pair has, as an array; counted no further than needed."""
        return np.array(
            [[self.count(self.of[one] | self.of[other]) for other in columns] for one in rows],
            dtype=np.int64,
        ).reshape(len(rows), len(columns))

    def most_with(self, bits):
        """How many ways a group may have when one of it has those of `bits`."""
        return min(4 * self.count(bits), MOST_CHOICES)

    def count(self, bits):
        """How many ways there are to choose at some drawn parents."""
        if bits not in self._known:
            sizes = (size for at, size in enumerate(self.sizes) if bits >> at & 1)
            self._known[bits] = min(prod(sizes), MOST_CHOICES + 1)
        return self._known[bits]


def _bits(strata, bit):
    met = [0] * (len(strata.points) + 1)
    for rank, point in enumerate(strata.points.tolist()):
        draw = strata.draws.get(point)
        if draw is None:
            met[rank] = met[strata.sire[rank]] | met[strata.dam[rank]]
            continue
        met[rank] = bit[min(point, draw.partner)]
        for one in (*draw.candidates, *strata.draws[draw.partner].candidates):
            met[rank] |= met[strata.rank[one]]
    return met


def _search(descent, met, known, one, others):
    """The exact figures of a point with others, several at a time where they share choices.

    `known` are the figures by kind of pair, to which those found are added.
    """
    kinds = [_kind(descent, one, other) for other in others]
    new = {kind: other for kind, other in zip(kinds, others, strict=True) if kind not in known}
    kind_of = {other: kind for kind, other in new.items()}
    for group in _groups(met, one, list(kind_of)):
        figures = _highest(descent, one, group)
        known.update(zip(map(kind_of.get, group), figures, strict=True))
    return [known[kind] for kind in kinds]


def _groups(met, one, others):
    """The others in groups of no more choices together than can be taken apart."""
    groups, bits = [[]], 0
    for other in sorted(others, key=lambda point: met.of[point]):
        alone, together = met.of[one] | met.of[other], bits | met.of[one] | met.of[other]
        if len(groups[-1]) < MOST_AT_ONCE and met.count(together) <= met.most_with(alone):
            groups[-1].append(other)
        else:
            groups.append([other])
            together = alone
        bits = together
    return filter(None, groups)


def _highest(descent, one, others):
    strata = strata_of(descent.pedigree, descent.order, np.array([one, *others]))
    options = options_of(descent.pedigree, strata, {one, *others})
    if cells(strata, 1 + len(others), options) <= CELLS_AT_ONCE:
        return map(AtWorst, each_choice(strata, one, others, options)[0].max(axis=1))
    return [worst_figure(descent, one, other) for other in others]


def _kind(descent, one, other):
    """Pairs of one kind have the same kinship: full siblings without young are alike."""
    if one == other:
        return one
    return frozenset([_who(descent, one), _who(descent, other)])


def _who(descent, point):
    """A breeding animal itself, of others the parents."""
    if descent.order.place[point] != NOBODY:
        return point
    return descent.pedigree.sire[point].item(), descent.pedigree.dam[point].item()
