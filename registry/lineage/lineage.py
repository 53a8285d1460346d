"""Kinship of the animals of one pedigree, expected and at worst."""

from itertools import product
from math import prod

import numpy as np

from registry.lineage.errors import UnknownAnimal
from registry.lineage.pedigree import NOBODY, read

MOST_CHOICES = 4096


class AtWorst(float):
    """A kinship at worst: a number that knows whether it is exact or only a bound."""

    def __new__(cls, value, is_bound=False):
        self = super().__new__(cls, value)
        self.is_bound = is_bound
        return self


class Lineage:
    """The kinship of animals from their recorded parents.

    Parameters
    ----------
    records : iterable of (key, sire, dam)
        In any order. A parent is a key, None, a `OneOf`, or one `PairOf` given for both.
    wild : collection of keys, optional
        The parentless animals known to come from the wild; without it every one counts.

    Raises
    ------
    PedigreeError
        RecordedTwice, OwnParent, UnknownAnimal, LoopInDescent, HalfAPair, NameUsedTwice.

    Examples
    --------
    >>> family = Lineage([("A", None, None), ("B", None, None), ("P", "A", "B"), ("Q", "A", "B")])
    >>> family.kinship("P", "Q")
    0.25
    """

    def __init__(self, records, wild=None):
        self._pedigree = read(records)
        self._wild = None if wild is None else frozenset(wild)
        self._known = {}
        self._traced = {}

    def __contains__(self, key):
        return key in self._pedigree.index

    def __len__(self):
        return len(self._pedigree.index)

    @property
    def keys(self):
        """The keys of all animals, in the order of the records."""
        return tuple(self._pedigree.index)

    def kinship(self, a, b):
        """The expected kinship of two animals."""
        return self._mean(self._point(a), self._point(b))

    def kinship_table(self, rows, columns):
        """Expected kinship of every row with every column, as an array."""
        return np.array([[self.kinship(a, b) for b in columns] for a in rows]).reshape(
            len(rows), len(columns)
        )

    def inbreeding(self):
        """The expected F of every animal, by key."""
        return {key: 2 * self.kinship(key, key) - 1 for key in self._pedigree.index}

    def at_worst(self, a, b):
        """The highest kinship over all choices, or a bound above 4,096 of them."""
        points = self._point(a), self._point(b)
        options = self._options(points)
        if prod(map(len, options.values())) > MOST_CHOICES:
            return AtWorst(self._bound(*points, {}), is_bound=True)
        chosen = (dict(zip(options, choice)) for choice in product(*options.values()))
        return AtWorst(max(self._given(*points, choice, {}) for choice in chosen))

    def at_worst_table(self, rows, columns):
        """At-worst kinship of every row with every column: (array, array of is_bound)."""
        table = [[self.at_worst(a, b) for b in columns] for a in rows]
        shape = (len(rows), len(columns))
        bounds = np.array(
            [[cell.is_bound for cell in row] for row in table], dtype=bool
        )
        return np.array(table, dtype=float).reshape(shape), bounds.reshape(shape)

    def traced(self, a):
        """The share of an animal's ancestry that leads to founders of known wild origin."""
        return self._share(self._point(a))

    def _point(self, key):
        try:
            return self._pedigree.index[key]
        except KeyError:
            raise UnknownAnimal(key) from None

    def _older_first(self, x, y):
        level = self._pedigree.level
        drawn = self._pedigree.draws
        return sorted((x, y), key=lambda p: (level[p], p in drawn, p))

    def _mean(self, x, y):
        if NOBODY in (x, y):
            return 0.0
        x, y = self._older_first(x, y)
        if (x, y) not in self._known:
            self._known[x, y] = self._expand(x, y)
        return self._known[x, y]

    def _expand(self, x, y):
        draw = self._pedigree.draws.get(y)
        if draw is None:
            sire, dam = self._pedigree.sire[y], self._pedigree.dam[y]
            if x == y:
                return 0.5 + 0.5 * self._mean(sire, dam)
            return 0.5 * (self._mean(x, sire) + self._mean(x, dam))
        if x == y:
            own = sum(
                w * self._mean(c, c) for c, w in zip(draw.candidates, draw.weights)
            )
            return own + draw.rest * 0.5
        if x == draw.partner:
            return sum(w * self._mean(c, d) for c, d, w in draw.pairs)
        return sum(w * self._mean(x, c) for c, w in zip(draw.candidates, draw.weights))

    def _options(self, points):
        """What may be chosen at each drawn point above: candidates, or pairs at its first side."""
        options, waiting, seen = {}, list(points), set()
        while waiting:
            point = waiting.pop()
            if point == NOBODY or point in seen:
                continue
            seen.add(point)
            draw = self._pedigree.draws.get(point)
            if draw is None:
                waiting += [self._pedigree.sire[point], self._pedigree.dam[point]]
                continue
            waiting += [draw.partner, *draw.candidates]
            if draw.partner >= point:
                options[point] = (draw.pairs or draw.candidates) or (NOBODY,)
        return options

    def _chosen(self, point, draw, choice):
        if draw.partner == point:
            return choice[point]
        own = 0 if point < draw.partner else 1
        return choice[min(point, draw.partner)][own]

    def _given(self, x, y, choice, known):
        if NOBODY in (x, y):
            return 0.0
        x, y = self._older_first(x, y)
        if (x, y) not in known:
            known[x, y] = self._expand_given(x, y, choice, known)
        return known[x, y]

    def _expand_given(self, x, y, choice, known):
        draw = self._pedigree.draws.get(y)
        if draw is None:
            sire, dam = self._pedigree.sire[y], self._pedigree.dam[y]
            if x == y:
                return 0.5 + 0.5 * self._given(sire, dam, choice, known)
            above = (self._given(x, one, choice, known) for one in (sire, dam))
            return 0.5 * sum(above)
        one = self._chosen(y, draw, choice)
        if x == y:
            return 0.5 if one == NOBODY else self._given(one, one, choice, known)
        if x == draw.partner:
            other = self._chosen(x, self._pedigree.draws[x], choice)
            return self._given(one, other, choice, known)
        return self._given(x, one, choice, known)

    def _bound(self, x, y, known):
        if NOBODY in (x, y):
            return 0.0
        x, y = self._older_first(x, y)
        if (x, y) not in known:
            known[x, y] = self._expand_bound(x, y, known)
        return known[x, y]

    def _expand_bound(self, x, y, known):
        draw = self._pedigree.draws.get(y)
        if draw is None:
            sire, dam = self._pedigree.sire[y], self._pedigree.dam[y]
            if x == y:
                return 0.5 + 0.5 * self._bound(sire, dam, known)
            return 0.5 * (self._bound(x, sire, known) + self._bound(x, dam, known))
        if x == y:
            return max((self._bound(c, c, known) for c in draw.candidates), default=0.5)
        if x == draw.partner:
            return max(
                (self._bound(c, d, known) for c, d, _ in draw.pairs), default=0.0
            )
        return max((self._bound(x, c, known) for c in draw.candidates), default=0.0)

    def _share(self, point):
        if point == NOBODY:
            return 0.0
        if point not in self._traced:
            self._traced[point] = self._share_above(point)
        return self._traced[point]

    def _share_above(self, point):
        draw = self._pedigree.draws.get(point)
        if draw is not None:
            return sum(
                w * self._share(c) for c, w in zip(draw.candidates, draw.weights)
            )
        sire, dam = self._pedigree.sire[point], self._pedigree.dam[point]
        if sire == dam == NOBODY:
            return float(self._wild is None or self._pedigree.keys[point] in self._wild)
        return 0.5 * (self._share(sire) + self._share(dam))
