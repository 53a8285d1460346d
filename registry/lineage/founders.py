"""Founders: the animals, seen or not, at which a pedigree ends, and what they gave."""

from dataclasses import dataclass

import numpy as np

from registry.lineage.pedigree import NOBODY
from registry.lineage.table import Company


@dataclass(frozen=True)
class Outsider:
    """The animal that a parent may be beside its candidates, or a missing one of a pair.

    `choice` is the name of that choice of parents.
    """

    choice: object

    def __str__(self):
        return "an outsider" if self.choice is None else f"an outsider ({self.choice})"


@dataclass(frozen=True)
class Missing:
    """A parent nobody recorded, which counts as a new founder: `side` is "sire" or "dam"."""

    child: object
    side: str

    def __str__(self):
        return f"unknown {self.side} of {self.child}"


@dataclass(frozen=True)
class Contribution:
    """What one founder gave to a collection: an animal's key, a `Missing` or an `Outsider`.

    `share` is the expected share of the collection's genes, from 0 to 1.
    """

    founder: object
    share: float


def contributions(descent, points):
    """What each founder gave to some points, the most first; the shares sum to 1."""
    company = Company(descent, points)
    family = descent.family(company.places)
    genes = np.asarray(company.within(family).sum(axis=0)).reshape(-1, 1)
    passed = family.collect(genes)[:, 0]
    members = descent.order.points[family.places]
    barren = np.flatnonzero(descent.order.place[company.points] == NOBODY)
    members = np.concatenate([members, company.points[barren]])
    passed = np.concatenate([passed, np.ones(len(barren))]) / len(points)
    given = _given(descent.pedigree, members, passed)
    return sorted(given, key=lambda one: -one.share)


def _given(pedigree, points, passed):
    """The contribution of the founders right above some points, by what passed through these."""
    for point, share in zip(points.tolist(), passed.tolist(), strict=True):
        draw = pedigree.draws.get(point)
        if draw is None:
            for founder, part in founders_above(pedigree, point):
                yield Contribution(founder, part * share)
        elif draw.rest:
            yield Contribution(Outsider(draw.name), draw.rest * share)


def founders_above(pedigree, point):
    """(founder, share) for an animal that is one, or one of whose parents is missing."""
    missing = [side for side in ("sire", "dam") if getattr(pedigree, side)[point] == NOBODY]
    key = pedigree.keys[point]
    if len(missing) == 2:
        return [(key, 1.0)]
    return [(Missing(key, side), 0.5) for side in missing]
