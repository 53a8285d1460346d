"""Parents that are not known for certain: one of several, a pair of pairs, those of a clutch.

Source: several possible parents with weights keep an animal that would otherwise count as
unknown (Putnam & Ivy 2014, J. Hered. 105:303-311).
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import fsum

from registry.lineage.errors import ImpossibleWeights, PairOfOne

ROUNDING = 1e-9


def _weighed(weights, animals):
    """Refuse weights that are no shares of one whole."""
    values = [float(weight) for weight in weights.values()]
    if not all(value >= 0 for value in values):
        raise ImpossibleWeights("a weight is at least 0", animals)
    if fsum(values) > 1 + ROUNDING:
        raise ImpossibleWeights("together they are at most 1", animals)


@dataclass(frozen=True, eq=False)
class OneOf:
    """A parent that is one of several animals.

    Parameters
    ----------
    weights : mapping of key to float
        How likely each candidate is. Where they sum to less than 1 the rest is an outsider,
        a founder of its own. No candidate at all is a parent nobody knows, but the same for
        all young that share it.
    name : hashable, optional
        Young whose parent has one name (or is the very same object) share the parent, whoever
        it is; otherwise their parents are drawn apart.

    Raises
    ------
    ImpossibleWeights
        A weight is below 0, or the sum is above 1.

    Examples
    --------
    >>> OneOf({"A": 0.5, "B": 0.25}, name="sire of K1").rest
    0.25
    """

    weights: Mapping[Hashable, float]
    name: Hashable = None

    def __post_init__(self):
        _weighed(self.weights, list(self.weights))

    @property
    def rest(self):
        """The share of the outsider."""
        return _rest(self.weights)


@dataclass(frozen=True, eq=False)
class PairOf:
    """Two parents that are one of several pairs; given as sire and as dam of the young.

    Parameters
    ----------
    weights : mapping of (sire, dam) to float
        How likely each pair is. `None` in a pair is an outsider; where the weights sum to less
        than 1 the rest is a pair of two outsiders.
    name : hashable, optional
        As for `OneOf`: young of one clutch share it.

    Raises
    ------
    ImpossibleWeights
        A weight is below 0, or the sum is above 1.
    PairOfOne
        A pair is one animal twice.

    Examples
    --------
    >>> PairOf({("X", "Y"): 0.5, ("Y", "X"): 0.5}, name="parents of K1").rest
    0.0
    """

    weights: Mapping[tuple[Hashable, Hashable], float]
    name: Hashable = None

    def __post_init__(self):
        for one, other in self.weights:
            if one is not None and one == other:
                raise PairOfOne(one)
        _weighed(
            self.weights,
            [key for pair in self.weights for key in pair if key is not None],
        )

    @property
    def rest(self):
        """The share of a pair of outsiders."""
        return _rest(self.weights)


@dataclass(frozen=True, eq=False)
class ClutchOf:
    """The parents of one of several clutches; given as sire and as dam of a young of the mix.

    Whichever clutch it is, the young has the sire and the dam of that one, so that it is a full
    sibling of those known to be of it, whoever their parents turn out to be.

    Parameters
    ----------
    families : sequence of (sire, dam, weight)
        The parents of each clutch as a record gives them (a key, None, a `OneOf`, a `PairOf`
        for both), and how likely the young is of it. Where the weights sum to less than 1 the
        rest is a clutch of two outsiders.
    name : hashable, optional
        As for `OneOf`; young found separately have a name each.

    Raises
    ------
    ImpossibleWeights
        A weight is below 0, or the sum is above 1.

    Examples
    --------
    >>> mixed = ClutchOf([("A", "C", 0.5), (OneOf({"A": 0.5, "B": 0.5}), "D", 0.25)], name="P")
    >>> mixed.rest
    0.25
    """

    families: Sequence[tuple[Hashable, Hashable, float]]
    name: Hashable = None

    def __post_init__(self):
        _weighed(self.weights, self.weights)

    @property
    def weights(self):
        """How likely each clutch is, by its place among them."""
        return {at: float(weight) for at, (_, _, weight) in enumerate(self.families)}

    @property
    def rest(self):
        """The share of a clutch of two outsiders."""
        return _rest(self.weights)


def pairs_of(sire, dam):
    """Who the parents may be together: `{(sire, dam): weight}`, None for a missing one or outsider.

    Examples
    --------
    >>> pairs_of(OneOf({"A": 0.75}), "C")
    {('A', 'C'): 0.75, (None, 'C'): 0.25}
    """
    if isinstance(sire, ClutchOf):
        found = _added(
            (pair, share * weight)
            for one, other, share in sire.families
            for pair, weight in pairs_of(one, other).items()
        )
        return found | ({(None, None): sire.rest} if sire.rest else {})
    if isinstance(sire, PairOf):
        return dict(sire.weights) | ({(None, None): sire.rest} if sire.rest else {})
    sides = _each(sire).items(), _each(dam).items()
    return {(one, other): w * v for (one, w), (other, v) in product(*sides)}


def _each(parent):
    if not isinstance(parent, OneOf):
        return {parent: 1.0}
    return dict(parent.weights) | ({None: parent.rest} if parent.rest else {})


def _added(told):
    weights = {}
    for one, weight in told:
        weights[one] = weights.get(one, 0.0) + weight
    return weights


def _rest(weights):
    """What is left to 1, rounded to nothing where only the arithmetic left it."""
    left = 1 - fsum(weights.values())
    return left if left > ROUNDING else 0.0
