"""How far an animal is traced to the wild, and how many generations it is from there."""

from dataclasses import dataclass

import numpy as np

from registry.lineage.groups import Unseen
from registry.lineage.pedigree import NOBODY


@dataclass(frozen=True)
class Generation:
    """How many generations from the wild, in both counts; None where a parent is unknown.

    `lowest` and `highest` are the keepers' count, the lowest parent + 1 to the highest + 1 with
    the wild as 0. `cites` is 1 if any parent is wild, else one more than the lowest parent.

    Examples
    --------
    >>> str(Generation(2, 4, 2)), str(Generation(1, 1, 1)), str(Generation(0, 0, 0))
    ('F2-F4', 'F1', 'wild')
    """

    lowest: int | None
    highest: int | None
    cites: int | None

    def __str__(self):
        if self.lowest is None or self.highest is None:
            return "unknown"
        if self.highest == 0:
            return "wild"
        ends = dict.fromkeys((self.lowest, self.highest))
        return "-".join(f"F{end}" if end else "wild" for end in ends)


WILD = Generation(0, 0, 0)
UNKNOWN = Generation(None, None, None)


class Origins:
    """What is known of where the points of a pedigree come from.

    `wild` are the keys of founders of known wild origin; None counts every animal without
    parents, but for the unseen founders of a source group.
    """

    def __init__(self, pedigree, order, wild):
        self.pedigree = pedigree
        self.order = order
        self.wild = wild
        self._generations = {NOBODY: UNKNOWN}
        self._shares = None

    def is_wild(self, point):
        """Whether a point without parents is known to come from the wild."""
        key = self.pedigree.keys[point]
        if self.wild is None:
            return key is not None and not isinstance(key, Unseen)
        return key in self.wild

    def traced(self, point):
        """The share of a point's ancestry that leads to founders of known wild origin."""
        place = self.order.place[point]
        if place != NOBODY:
            return float(self._traced_places()[place])
        parents = self._parents(point)
        if parents == (NOBODY, NOBODY):
            return float(self.is_wild(point))
        return sum(0.5 * self.traced(one) for one in parents if one != NOBODY)

    def _parents(self, point):
        return int(self.pedigree.sire[point]), int(self.pedigree.dam[point])

    def _traced_places(self):
        """The traced share of every breeding place, in one pass from old to young."""
        if self._shares is None:
            order = self.order
            shares = np.zeros(len(order.points))
            for place in np.flatnonzero(np.diff(order.flow.indptr) == 0).tolist():
                shares[place] = self.is_wild(order.points[place])
            for begin, end in zip(order.starts[1:-1], order.starts[2:], strict=True):
                shares[begin:end] += order.flow[begin:end] @ shares
            self._shares = shares
        return self._shares

    def generation(self, point):
        """The `Generation` of a point."""
        if point not in self._generations:
            parents = [one for one in self._above(point) if one != NOBODY]
            places = self.order.closed(self.order.place[np.array(parents, dtype=np.int64)])
            for one in [*self.order.points[places].tolist(), point]:
                self._generations[one] = self._generation(one)
        return self._generations[point]

    def _above(self, point):
        """The points a point may descend from; NOBODY for each that is missing."""
        draw = self.pedigree.draws.get(point)
        if draw is None:
            return self._parents(point)
        return (*draw.candidates, NOBODY) if draw.rest else draw.candidates

    def _generation(self, point):
        above = [self._generations[one] for one in self._above(point)]
        if point in self.pedigree.draws:
            return _any_of(above)
        if self._parents(point) == (NOBODY, NOBODY):
            return WILD if self.is_wild(point) else UNKNOWN
        return _young_of(above)


def _any_of(generations):
    """What holds of a parent that is one of several."""
    return Generation(
        _end(min, [one.lowest for one in generations]),
        _end(max, [one.highest for one in generations]),
        _end(min, [one.cites for one in generations]),
    )


def _young_of(parents):
    lowest = _end(min, [one.lowest for one in parents])
    highest = _end(max, [one.highest for one in parents])
    cites = [one.cites for one in parents]
    nearest = 0 if 0 in cites else _end(min, cites)
    return Generation(*(None if one is None else one + 1 for one in (lowest, highest, nearest)))


def _end(pick, numbers):
    return None if None in numbers else pick(numbers)
