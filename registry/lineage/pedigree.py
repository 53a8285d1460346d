"""A pedigree as arrays: every animal and every drawn parent is a point with a number.

A drawn parent (one of several, or one side of a pair) is a point of its own: its kinship to
others is the weighted mean of its candidates'. Nothing here computes kinship.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from registry.lineage.errors import (
    HalfAPair,
    NameUsedTwice,
    OwnParent,
    PedigreeError,
    RecordedTwice,
    UnknownAnimal,
)
from registry.lineage.parents import ClutchOf, OneOf, PairOf

NOBODY = -1
TOGETHER = (ClutchOf, PairOf)  # parents that are drawn as two


@dataclass(frozen=True, kw_only=True)
class Draw:
    """One drawn parent: which points it may be, and how likely; one may be drawn itself.

    `partner` is the point of the other side of a pair, the draw's own point where there is
    none. Of a pair `pairs` holds (own candidate, partner's candidate, weight), with NOBODY for
    an outsider. `rest` is the share of an outsider.
    """

    name: object
    candidates: tuple[int, ...]
    weights: tuple[float, ...]
    rest: float
    partner: int
    pairs: tuple[tuple[int, int, float], ...] = ()

    @property
    def options(self):
        """What can be chosen here: pairs of points, or points; an outsider if nothing else."""
        pairs = tuple((one, other) for one, other, _ in self.pairs)
        return pairs or self.candidates or (NOBODY,)


@dataclass(frozen=True, kw_only=True)
class Pedigree:
    """The points of a pedigree.

    `keys` gives the animal of a point (None for a drawn one), `index` the point of an animal,
    `sire` and `dam` the parents' points (NOBODY where missing), `draws` the drawn points, and
    `named` remembers which choice of parents became which points.
    """

    keys: Sequence
    index: Mapping
    sire: np.ndarray
    dam: np.ndarray
    draws: Mapping[int, Draw]
    named: Mapping

    def __len__(self):
        return len(self.sire)

    @property
    def animals(self):
        """The points of the animals, in the order of the records, as an array."""
        drawn = np.zeros(len(self), dtype=bool)
        drawn[list(self.draws)] = True
        return np.flatnonzero(~drawn)

    def point(self, key):
        """The point of an animal; raises UnknownAnimal."""
        try:
            return self.index[key]
        except (KeyError, TypeError):
            raise UnknownAnimal(key) from None

    def points(self, keys):
        """The points of several animals, as an array."""
        keys = list(keys)
        try:
            return np.fromiter(map(self.index.__getitem__, keys), np.int64)
        except (KeyError, TypeError):
            return np.array([self.point(key) for key in keys], dtype=np.int64)


EMPTY = Pedigree(
    keys=(),
    index={},
    sire=np.empty(0, np.int64),
    dam=np.empty(0, np.int64),
    draws={},
    named={},
)


class Numbered(Mapping):
    """The index of animals that are called by their number, from 0 on."""

    def __init__(self, count):
        self._numbers = range(count)

    def __getitem__(self, key):
        if key not in self._numbers:
            raise KeyError(key)
        return int(key)

    def __iter__(self):
        return iter(self._numbers)

    def __len__(self):
        return len(self._numbers)

    def copy(self):
        """The same as a plain dict, to which other animals can be added."""
        return dict(zip(self._numbers, self._numbers, strict=True))


def from_arrays(sire, dam):
    """The pedigree of animals that are called by their number; -1 is a missing parent.

    Raises
    ------
    ValueError
        The arrays are not of one length, or not of whole numbers.
    UnknownAnimal, OwnParent
        A parent is no number of an animal, or the animal itself.
    """
    parents = [_whole_numbers(side) for side in (sire, dam)]
    if parents[0].shape != parents[1].shape:
        raise ValueError("Sires and dams must be two arrays of one length.")
    own = np.arange(len(parents[0]))
    for side in parents:
        _refuse(UnknownAnimal, side[(side < NOBODY) | (side >= len(side))])
        _refuse(OwnParent, own[side == own])
    index = Numbered(len(own))
    return Pedigree(
        keys=range(len(own)), index=index, sire=parents[0], dam=parents[1], draws={}, named={}
    )


def _whole_numbers(side):
    side = np.asarray(side)
    if side.ndim != 1 or not (side.size == 0 or np.issubdtype(side.dtype, np.integer)):
        raise ValueError("Parents must be a flat array of whole numbers.")
    return side.astype(np.int64, copy=True)


def _refuse(error, animals):
    if animals.size:
        raise error(int(animals[0]))


def read(records, known=EMPTY):
    """The pedigree of (key, sire, dam) records in any order, added to a known one."""
    records = list(records)
    reader = _Reader(known)
    for key, _, _ in records:
        reader.enter(key)
    for record in records:
        reader.set_parents(*record)
    return reader.pedigree()


class _Reader:
    """Reads records into a copy of a pedigree."""

    def __init__(self, known):
        self.known = known
        self.keys = list(known.keys)
        self.index = known.index.copy()
        self.draws = dict(known.draws)
        self.named = dict(known.named)
        self.parents = {}

    def pedigree(self):
        """The pedigree of all that was read."""
        sides = np.full((2, len(self.keys)), NOBODY, dtype=np.int64)
        sides[:, : len(self.known)] = self.known.sire, self.known.dam
        if self.parents:
            sides[:, list(self.parents)] = np.array(list(self.parents.values())).T
        return Pedigree(
            keys=self.keys,
            index=self.index,
            sire=sides[0],
            dam=sides[1],
            draws=self.draws,
            named=self.named,
        )

    def enter(self, key):
        """Give an animal its point."""
        if key is None:
            raise PedigreeError("A record has no key.")
        if key in self.index:
            raise RecordedTwice(key)
        self.index[key] = self._new_point(key)

    def set_parents(self, child, sire, dam):
        """Give an animal its two parents."""
        self.parents[self.index[child]] = self._parents(child, sire, dam)

    def _parents(self, child, sire, dam):
        """The points of two parents; a pair or a clutch is given for both."""
        if not isinstance(sire, TOGETHER) and not isinstance(dam, TOGETHER):
            return self._parent(child, sire), self._parent(child, dam)
        if not _same_pair(sire, dam):
            raise HalfAPair(child)
        return self._drawn(child, sire)

    def _new_point(self, key):
        self.keys.append(key)
        return len(self.keys) - 1

    def _parent(self, child, parent):
        if parent is None:
            return NOBODY
        if isinstance(parent, OneOf):
            return self._drawn(child, parent)[0]
        return self._animal(child, parent)

    def _animal(self, child, parent):
        if parent == child:
            raise OwnParent(child)
        if parent not in self.index:
            raise UnknownAnimal(parent, child)
        return self.index[parent]

    def _drawn(self, child, choice):
        """The points of a choice, made once for all young that share it."""
        label = (type(choice), choice.name) if choice.name is not None else id(choice)
        make = {ClutchOf: self._clutch, PairOf: self._pair, OneOf: self._one}[type(choice)]
        if label not in self.named:
            self.named[label] = choice, make(child, choice)
        known, points = self.named[label]
        if known is not choice and not self._same(child, known, choice):
            raise NameUsedTwice(choice.name, _mentioned(known, choice))
        if child in _mentioned(choice):
            raise OwnParent(child)
        return points

    def _same(self, child, known, choice):
        """Whether two choices of one name are the same choice."""
        if not isinstance(choice, ClutchOf):
            return dict(known.weights) == dict(choice.weights)
        return self._families(child, known) == self._families(child, choice)

    def _one(self, child, choice):
        weights = {self._animal(child, key): float(w) for key, w in choice.weights.items() if w > 0}
        return (self._one_point(choice, weights),)

    def _one_point(self, choice, weights):
        """The point of one of several points; NOBODY among them is an outsider."""
        outsider = weights.pop(NOBODY, 0.0)
        point = self._new_point(None)
        self.draws[point] = Draw(
            name=choice.name,
            candidates=tuple(weights),
            weights=tuple(weights.values()),
            rest=choice.rest + outsider,
            partner=point,
        )
        return point

    def _pair(self, child, choice):
        pairs = [
            (*(NOBODY if key is None else self._animal(child, key) for key in pair), float(weight))
            for pair, weight in choice.weights.items()
            if weight > 0
        ]
        return self._pair_sides(choice, pairs)

    def _clutch(self, child, choice):
        """The two points of a clutch; a parent that all clutches have in common is no choice."""
        pairs = self._families(child, choice)
        if not pairs:
            return NOBODY, NOBODY
        sires, dams = (_added((pair[side], w) for pair, w in pairs.items()) for side in (0, 1))
        if choice.rest or min(len(sires), len(dams)) > 1:
            return self._pair_sides(choice, [(*pair, w) for pair, w in pairs.items()])
        return tuple(
            next(iter(side)) if len(side) == 1 else self._one_point(choice, side)
            for side in (sires, dams)
        )

    def _families(self, child, choice):
        """How likely each two points are the parents."""
        told = ((self._parents(child, s, d), float(w)) for s, d, w in choice.families if w > 0)
        return _added(told)

    def _pair_sides(self, choice, pairs):
        points = self._new_point(None), self._new_point(None)
        turned = [(dam, sire, weight) for sire, dam, weight in pairs]
        self.draws[points[0]] = _side_of_pair(choice, points[1], pairs)
        self.draws[points[1]] = _side_of_pair(choice, points[0], turned)
        return points


def _same_pair(sire, dam):
    if sire is dam:
        return True
    both = type(sire) is type(dam) and isinstance(sire, TOGETHER)
    return both and sire.name is not None and sire.name == dam.name


def _added(told):
    """The weights of what is told, each once."""
    weights = {}
    for one, weight in told:
        weights[one] = weights.get(one, 0.0) + weight
    return weights


def _mentioned(*choices):
    """The animals that choices name, each once."""
    return list(dict.fromkeys(key for choice in choices for key in _names(choice)))


def _names(parent):
    """The animals that a parent, a pair of them or a choice of them names."""
    if isinstance(parent, ClutchOf):
        return [key for sire, dam, _ in parent.families for key in (*_names(sire), *_names(dam))]
    if isinstance(parent, PairOf):
        return [key for pair in parent.weights for key in pair if key is not None]
    if isinstance(parent, OneOf):
        return list(parent.weights)
    return [] if parent is None else [parent]


def _side_of_pair(choice, partner, pairs):
    """One side of a pair: each candidate weighs what its pairs weigh together."""
    weights = _added((own, weight) for own, _, weight in pairs)
    outsider = weights.pop(NOBODY, 0.0)
    return Draw(
        name=choice.name,
        candidates=tuple(weights),
        weights=tuple(weights.values()),
        rest=choice.rest + outsider,
        partner=partner,
        pairs=tuple(pairs),
    )
