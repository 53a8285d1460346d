"""Kinship of some animals with others, as a table or as means, by columns of gene flow."""

import numpy as np
from scipy import sparse

from registry.lineage.descent import share_out
from registry.lineage.pedigree import NOBODY


class Company:
    """Some points as shares of breeding points: themselves, or half of each parent.

    `places` are the breeding places that the points consist of, `share` how much of the point
    at `rows` each is.
    """

    def __init__(self, descent, points):
        pedigree, order = descent.pedigree, descent.order
        self.descent = descent
        self.points = np.asarray(points, dtype=np.int64)
        place = order.place[self.points]
        sides = [(np.flatnonzero(place != NOBODY), place[place != NOBODY], 1.0)]
        barren = np.flatnonzero(place == NOBODY)
        for side in (pedigree.sire, pedigree.dam):
            parents = side[self.points[barren]]
            rows = barren[parents != NOBODY]
            sides.append((rows, order.place[parents[parents != NOBODY]], 0.5))
        self.rows, self.places, self.share = _joined(sides)

    @property
    def beyond(self):
        """What kinship with itself has above that of the shares; 0 for a breeding point."""
        order = self.descent.order
        beyond = np.where(order.place[self.points] == NOBODY, 0.5, 0.0)
        half = np.flatnonzero(self.share == 0.5)
        taken = 0.25 * self.descent.itself[order.points[self.places[half]]]
        return beyond - np.bincount(self.rows[half], taken, minlength=len(beyond))

    def within(self, family):
        """The shares by the rows of a family."""
        shape = len(self.points), len(family.places)
        return sparse.csr_array((self.share, (self.rows, family.at(self.places))), shape=shape)


def _joined(sides):
    rows, places, shares = zip(*sides, strict=True)
    share = np.repeat(shares, [len(some) for some in rows])
    return np.concatenate(rows), np.concatenate(places), share


def kinship_table(descent, rows, columns):
    """Kinship of each row point with each column point, as an array."""
    if len(rows) < len(columns):
        return kinship_table(descent, columns, rows).T
    down, across = Company(descent, rows), Company(descent, columns)
    family = descent.family(np.concatenate([down.places, across.places]))
    left, right = down.within(family), across.within(family)
    table = np.empty((len(rows), len(columns)))

    def fill(some):
        genes = np.ascontiguousarray(right[some.start : some.stop].T.toarray())
        table[:, some.start : some.stop] = left @ family.spread(genes)

    share_out(fill, len(columns))
    _add_own(table, down, across)
    return table


def _add_own(table, down, across):
    """Where an animal meets itself, add what it has beyond its parents."""
    order = np.argsort(across.points, kind="stable")
    ranked = across.points[order]
    first, last = (np.searchsorted(ranked, down.points, side=side) for side in ("left", "right"))
    count = last - first
    rows = np.repeat(np.arange(len(count)), count)
    at = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    if len(rows):
        table[rows, order[np.repeat(first, count) + at]] += down.beyond[rows]


def mean_kinship(descent, points):
    """Mean kinship of each point with all of them, itself included; one column does for all."""
    company = Company(descent, points)
    family = descent.family(company.places)
    shares = company.within(family)
    genes = np.asarray(shares.sum(axis=0)).reshape(-1, 1) / len(points)
    return (shares @ family.spread(genes))[:, 0] + company.beyond / len(points)
