"""At-worst kinship of many pairs at once, as for a list of possible mates."""

from math import prod

import numpy as np

from registry.lineage.pedigree import NOBODY
from registry.lineage.sweep import strata_of
from registry.lineage.worst import MOST_CHOICES, ROUNDING, bound_table, options_of, worst_case


def worst_table(descent, rows, columns, expected):
    """At-worst kinship of each row point with each column point, and where it is a bound.

    Pairs of more than 4,096 choices take their bound from one sweep over all; the others are
    searched, once for animals that have the same parents.
    """
    strata = strata_of(descent.pedigree, descent.order, np.concatenate([rows, columns]))
    if not strata.draws:
        return expected.copy(), np.zeros(expected.shape, dtype=bool)
    options = options_of(descent.pedigree, strata.draws)
    table = bound_table(strata, rows.tolist(), columns.tolist(), options)
    open_ = table > expected + ROUNDING
    choices = _choices(strata, options, rows.tolist(), columns.tolist())
    _search(descent, rows, columns, table, open_ & (choices > 1) & (choices <= MOST_CHOICES))
    return table, open_ & (choices > MOST_CHOICES)


def _choices(strata, options, rows, columns):
    """How many choices each pair has, as an array; counted no further than needed."""
    met = _met(strata, options)
    down, across = ([met[strata.rank[point]] for point in some] for some in (rows, columns))
    sizes = [len(some) for some in options.values()]
    known = {}
    table = np.empty((len(rows), len(columns)), dtype=np.int64)
    for row, one in enumerate(down):
        for column, other in enumerate(across):
            both = one | other
            if both not in known:
                known[both] = min(_product(both, sizes), MOST_CHOICES + 1)
            table[row, column] = known[both]
    return table


def _product(bits, sizes):
    return prod(size for at, size in enumerate(sizes) if bits >> at & 1)


def _met(strata, options):
    """For each rank the drawn parents above, as bits in the order of the options."""
    bit = {point: 1 << at for at, point in enumerate(options)}
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


def _search(descent, rows, columns, table, searched):
    known = {}
    for row, column in np.argwhere(searched).tolist():
        one, other = int(rows[row]), int(columns[column])
        kind = _kind(descent, one, other)
        if kind not in known:
            known[kind] = worst_case(descent, one, other).figure
        table[row, column] = known[kind]


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
