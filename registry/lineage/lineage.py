"""Kinship of the animals of one pedigree, expected and at worst."""

import numpy as np

from registry.lineage import pedigree as pedigrees
from registry.lineage.choices import worst_choice
from registry.lineage.descent import Descent
from registry.lineage.order import order_of
from registry.lineage.origins import Origins
from registry.lineage.paths import paths_between
from registry.lineage.pedigree import NOBODY
from registry.lineage.sweep import strata_of
from registry.lineage.table import kinship_table
from registry.lineage.worst import worst_figure
from registry.lineage.worst_table import worst_table


class Lineage:
    """The kinship of animals from their recorded parents.

    Kinship f(x, y) is the chance that one allele drawn at random from each is identical by
    descent; F of an animal is the kinship of its parents, f(x, x) is (1 + F) / 2 (Wright 1922,
    Am. Nat. 56:330-338). Founders are unrelated. It is computed for the ancestors of the animals
    asked about, and what was computed once is kept.

    Parameters
    ----------
    records : iterable of (key, sire, dam)
        In any order. A parent is a key, None, a `OneOf`, or one `PairOf` or `ClutchOf` for both.
    wild : collection of keys, optional
        The parentless animals known to come from the wild; without it every one counts.

    Raises
    ------
    PedigreeError
        RecordedTwice, OwnParent, UnknownAnimal, LoopInDescent, HalfAPair or NameUsedTwice.

    Examples
    --------
    >>> from registry.lineage import Lineage, OneOf
    >>> family = Lineage([
    ...     ("A", None, None), ("B", None, None), ("C", None, None),
    ...     ("P", OneOf({"A": 0.5, "B": 0.5}, name="K1"), "C"),
    ...     ("R", OneOf({"A": 0.5, "B": 0.5}, name="K2"), "C"),
    ... ])
    >>> family.kinship("P", "R"), family.at_worst("P", "R")
    (0.1875, 0.25)
    """

    def __init__(self, records=(), wild=None):
        self._open(pedigrees.read(records), wild)

    def _open(self, pedigree, wild, before=None):
        self.pedigree = pedigree
        self.wild = None if wild is None else frozenset(wild)
        self.order = order_of(pedigree)
        self.descent = Descent(pedigree, self.order, before)
        self.origins = Origins(pedigree, self.order, self.wild)

    @classmethod
    def from_arrays(cls, sire, dam, wild=None):
        """The lineage of animals called by their number from 0 on.

        Parameters
        ----------
        sire, dam : integer arrays of one length
            The parents' numbers, in any order; -1 where unknown.

        Examples
        --------
        >>> Lineage.from_arrays([-1, -1, 0, 0, 2], [-1, -1, 1, 1, 3]).inbreeding_array()
        array([0.  , 0.  , 0.  , 0.  , 0.25])
        """
        return cls._of(pedigrees.from_arrays(sire, dam), wild)

    @classmethod
    def _of(cls, pedigree, wild, before=None):
        self = cls.__new__(cls)
        self._open(pedigree, wild, before)
        return self

    def extended(self, records, wild=()):
        """A lineage with more animals, which keeps all that this one has computed.

        Raises as the class does; this lineage stays as it is. `wild` adds to the animals known
        to come from the wild, where those were given.

        Examples
        --------
        >>> pair = Lineage([("A", None, None), ("B", None, None)])
        >>> pair.extended([("P", "A", "B")]).kinship("A", "P")
        0.25
        """
        all_wild = None if self.wild is None else self.wild | frozenset(wild)
        return self._of(pedigrees.read(records, self.pedigree), all_wild, self.descent)

    def __contains__(self, key):
        return key in self.pedigree.index

    def __len__(self):
        return len(self.pedigree.index)

    @property
    def keys(self):
        """The keys of all animals, in the order of the records."""
        return tuple(self.pedigree.index)

    def kinship(self, a, b):
        """The expected kinship of two animals, from 0 to 1; raises UnknownAnimal."""
        return float(self.kinship_table([a], [b])[0, 0])

    def kinship_table(self, rows, columns):
        """The expected kinship of every row with every column, as an array of that shape.

        Examples
        --------
        >>> family = Lineage([("A", None, None), ("B", None, None), ("P", "A", "B")])
        >>> family.kinship_table(["A", "B"], ["A", "P"])
        array([[0.5 , 0.25],
               [0.  , 0.25]])
        """
        points = (self.pedigree.points(keys) for keys in (rows, columns))
        return kinship_table(self.descent, *points)

    def inbreeding(self):
        """The expected F of every animal, by key, from 0 to 1."""
        return dict(zip(self.pedigree.index, self.inbreeding_array().tolist(), strict=True))

    def inbreeding_array(self):
        """The expected F of every animal, as an array in the order of the records."""
        return 2 * self.descent.with_itself(self.pedigree.animals) - 1

    def at_worst(self, a, b):
        """The kinship of two animals at worst: the highest over all choices of parents.

        Returns
        -------
        AtWorst
            A float; its `is_bound` tells that there are more than 4,096 choices, and that the
            figure is what none of them exceeds.
        """
        return worst_figure(self.descent, self.pedigree.point(a), self.pedigree.point(b))

    def at_worst_table(self, rows, columns):
        """At-worst kinship of every row with every column: the figures, and which are bounds.

        Returns
        -------
        (array of float, array of bool), both of shape (rows, columns)
        """
        points = [self.pedigree.points(keys) for keys in (rows, columns)]
        return worst_table(self.descent, *points, kinship_table(self.descent, *points))

    def worst_choice(self, a, b):
        """The parents by whom two animals are as related as at worst: a `WorstChoice`.

        Examples
        --------
        >>> from registry.lineage import Lineage, OneOf
        >>> family = Lineage([
        ...     ("A", None, None), ("B", None, None),
        ...     ("P", OneOf({"A": 0.9, "B": 0.1}, name="sire of K1"), None),
        ... ])
        >>> [(one.name, one.chosen) for one in family.worst_choice("P", "B").choices]
        [('sire of K1', 'B')]
        """
        return worst_choice(self.descent, self.pedigree.point(a), self.pedigree.point(b))

    def paths(self, a, b):
        """Why two animals are related: the 20 largest paths, the largest first, then the rest.

        Returns
        -------
        list of Path
            Their contributions sum to the expected kinship; empty where that is 0.

        Examples
        --------
        >>> family = Lineage([("A", None, None), ("P", "A", None), ("Q", "A", None)])
        >>> [(path.animals, path.contribution) for path in family.paths("P", "Q")]
        [(('P', 'A', 'Q'), 0.125)]
        """
        points = self.pedigree.point(a), self.pedigree.point(b)
        return self._account(*points, self.kinship(a, b))

    def inbreeding_paths(self, a):
        """Why an animal is inbred: the paths between its parents, as `paths`; they sum to F."""
        point = self.pedigree.point(a)
        parents = int(self.pedigree.sire[point]), int(self.pedigree.dam[point])
        if NOBODY in parents:
            return []
        places = (self.order.place[[parent]] for parent in parents)
        return self._account(*parents, self.descent.between(*places).item())

    def _account(self, one, other, figure):
        strata = strata_of(self.pedigree, self.order, np.array([one, other]))
        return paths_between(self.descent, strata, one, other, figure)

    def traced(self, a):
        """The share of an animal's ancestry that leads to founders of known wild origin.

        1 for such a founder; 0 for a missing parent, an outsider, an unseen founder of a source
        group; for one of several the weighted mean; else the mean of the parents.
        """
        return self.origins.traced(self.pedigree.point(a))

    def generation(self, a):
        """How many generations from the wild an animal is: a `Generation`, in both counts."""
        return self.origins.generation(self.pedigree.point(a))
