"""Kinship among the animals of a line as tables, expected and at worst, worked out once."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .keeping import once
from .lineage import AtWorst, ClutchOf, OneOf, PairOf

ROWS_AT_ONCE = 25
MANY = 60  # more animals than these are not worked out while somebody waits
FEW_DRAWS = 8  # with fewer uncertain parents there is little to choose
CELLS = 300_000  # ancestors times pairs that can be looked through while somebody waits


@dataclass(frozen=True, kw_only=True)
class Tables:
    """Kinship of some animals: expected, at worst, and where that is a bound.

    It answers for any of them as the kinship engine does.
    """

    keys: tuple
    expected: np.ndarray
    worst: np.ndarray
    bounds: np.ndarray

    @cached_property
    def _at(self):
        return {key: at for at, key in enumerate(self.keys)}

    def _places(self, rows, columns):
        return np.ix_([self._at[k] for k in rows], [self._at[k] for k in columns])

    def kinship_table(self, rows, columns):
        """Expected kinship of every row with every column."""
        return self.expected[self._places(rows, columns)]

    def at_worst_table(self, rows, columns):
        """Kinship at worst of every row with every column, and which are bounds."""
        places = self._places(rows, columns)
        return self.worst[places], self.bounds[places]

    def pair(self, one, other):
        """Both figures of two of them."""
        at = self._at[one], self._at[other]
        return float(self.expected[at]), AtWorst(self.worst[at], self.bounds[at])


def tables_of(census, keys, progress=None):
    """Return the tables of some animals of a line; `progress(done, whole)` hears of each part."""
    keys = tuple(keys)
    rests_on = (census.records, keys)
    return once("kinship tables", rests_on, lambda: _worked_out(census, keys, progress))


def _worked_out(census, keys, progress):
    worst, bounds = [], []
    for begin in range(0, len(keys), ROWS_AT_ONCE):
        if progress:
            progress(begin, len(keys))
        some = census.lineage.at_worst_table(keys[begin : begin + ROWS_AT_ONCE], keys)
        worst.append(some[0])
        bounds.append(some[1])
    expected = census.lineage.kinship_table(keys, keys)
    return Tables(
        keys=keys,
        expected=expected,
        worst=np.maximum(np.concatenate(worst), expected) if keys else expected,
        bounds=np.concatenate(bounds) if keys else expected.astype(bool),
    )


def takes_long(census, keys):
    """Return whether these are too many, or their parents too uncertain, to be waited for."""
    keys = tuple(keys)
    if len(keys) > MANY:
        return True
    return draws(census) > FEW_DRAWS and len(census.records) * len(keys) ** 2 > CELLS


def draws(census):
    """Return how many parents of a line and its ancestors are one of several animals."""
    parents = (parent for _, *both in census.records for parent in both)
    drawn = (p for p in parents if isinstance(p, ClutchOf | OneOf | PairOf))
    return len({p.name for p in drawn if len(p.weights) > 1})
