"""A plan for a line: which pairs to make, so that the next generation keeps the most.

The mean kinship of the young, if all pairs rear as many, depends only on which animals breed;
F of the young depends on who breeds with whom. So the animals are chosen first and matched
afterwards (mean kinship as the aim: Ballou & Lacy 1995; Montgomery et al. 1997, Zoo Biol.
16:377-389). The matching is Edmonds' (networkx), which needs no sexes known.
"""

from dataclasses import dataclass, replace

import networkx as nx
import numpy as np

from registry.lineage.errors import PedigreeError
from registry.lineage.worst import ROUNDING, AtWorst

FINE = 1_000_000
RANDOM_SETS = 200


@dataclass(frozen=True, kw_only=True)
class PlannedPair:
    """Two animals to breed, F of their young expected and at worst, and if it was asked for."""

    one: object
    other: object
    expected: float
    at_worst: AtWorst
    locked: bool


@dataclass(frozen=True, kw_only=True)
class PairFigures:
    """What a set of pairs comes to; nothing where there are no pairs.

    `inbreeding` is the mean expected F of the young, `at_worst` the highest F at worst of a
    pair; `mean_kinship` is that of the young, if all pairs rear as many.
    """

    pairs: int
    inbreeding: float | None = None
    at_worst: float | None = None
    mean_kinship: float | None = None

    @property
    def gene_diversity(self):
        """The share of the wild's heterozygosity that the young have."""
        return None if self.mean_kinship is None else 1 - self.mean_kinship


@dataclass(frozen=True, kw_only=True)
class Plan:
    """The pairs of a plan, who is left without, and its figures.

    Beside them those of today's pairs, and the means of random sets of as many pairs.
    """

    pairs: tuple[PlannedPair, ...]
    unpaired: tuple
    figures: PairFigures
    today: PairFigures
    random: PairFigures


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """What a plan is to heed.

    `below` and `below_at_worst` are what F of the young must stay under, expected and at worst.
    `locked` pairs are made whatever comes of them, `forbidden` ones never; animals `left_out`
    are in no pair; `most` is how many pairs there may be.
    """

    below: float = 1 / 8
    below_at_worst: float = 1 / 4
    locked: tuple = ()
    forbidden: tuple = ()
    left_out: tuple = ()
    most: int | None = None


def plan_pairs(lineage, *, males=(), females=(), unsexed=(), wishes=None, today=(), seed=0):
    """A plan for the animals of a line, each in one pair at most.

    Parameters
    ----------
    lineage : Lineage
    males, females, unsexed : iterables of keys
        Who can breed; the unsexed may be paired with anybody.
    wishes : Wishes, optional
    today : iterable of (key, key)
        The pairs in force, for comparison only.
    seed : int
        For the random sets.

    Raises
    ------
    PedigreeError
        An animal is given twice, or is locked and left out; UnknownAnimal without a record.

    Examples
    --------
    >>> from registry.lineage import Lineage
    >>> founders = [(key, None, None) for key in "ABCD"]
    >>> young = [("P", "A", "B"), ("Q", "A", "B"), ("R", "C", "D"), ("S", "C", "D")]
    >>> plan = plan_pairs(Lineage(founders + young), males=["P", "R"], females=["Q", "S"])
    >>> [(pair.one, pair.other, pair.expected) for pair in plan.pairs]
    [('P', 'S', 0.0), ('R', 'Q', 0.0)]
    >>> plan.figures.gene_diversity
    0.8125
    """
    wishes = wishes or Wishes()
    today = [tuple(pair) for pair in today]
    line = _Line(lineage, {"male": males, "female": females, "unsexed": unsexed}, wishes, today)
    chosen = line.dropped(line.matched(line.likeness, line.matched(line.commonness)))
    pairs = line.matched(line.inbreeding, chosen)
    paired = {key for pair in pairs for key in pair}
    planned = tuple(line.planned(pair) for pair in pairs)
    return Plan(
        pairs=tuple(sorted(planned, key=lambda pair: not pair.locked)),
        unpaired=tuple(key for key in line.free if key not in paired),
        figures=line.figures(pairs),
        today=line.figures(today),
        random=line.random_figures(len(pairs), np.random.default_rng(seed)),
    )


class _Line:
    """The animals of a line, their kinship, and the pairs that may be made."""

    def __init__(self, lineage, by_sex, wishes, today):
        self.sex = _sexes(by_sex)
        self.wishes = wishes
        self.locked = [tuple(pair) for pair in wishes.locked]
        _refuse_doubles(self.locked, set(wishes.left_out))
        bound = {key for pair in self.locked for key in pair}
        self.free = [key for key in self.sex if key not in bound | set(wishes.left_out)]
        extra = [key for pair in (*self.locked, *today) for key in pair]
        self.keys = list(dict.fromkeys([*self.sex, *extra]))
        self.at = {key: at for at, key in enumerate(self.keys)}
        self.kinship = lineage.kinship_table(self.keys, self.keys)
        self.worst, self.bound = lineage.at_worst_table(self.keys, self.keys)
        self.mean = self.kinship[:, : len(self.sex)].sum(axis=1) / max(1, len(self.sex))
        self.fitting = self._fitting()

    def _fitting(self):
        """The pairs of free animals that sexes allow and nobody forbids."""
        forbidden = {frozenset(pair) for pair in self.wishes.forbidden}
        return [
            (one, other)
            for rank, one in enumerate(self.free)
            for other in self.free[rank + 1 :]
            if (self.sex[one] != self.sex[other] or self.sex[one] == "unsexed")
            and frozenset((one, other)) not in forbidden
        ]

    def _places(self, pair):
        return self.at[pair[0]], self.at[pair[1]]

    def allows(self, pair):
        """Whether F of a pair's young is below what it must be."""
        at = self._places(pair)
        wishes = self.wishes
        return self.kinship[at] < wishes.below and self.worst[at] < wishes.below_at_worst

    def commonness(self, pair):
        """How common the genes of both are; the first thing to keep low."""
        one, other = self._places(pair)
        return self.mean[one] + self.mean[other]

    def likeness(self, pair):
        """How far the two differ in that, so that what is common is dropped together."""
        one, other = self._places(pair)
        return abs(self.mean[one] - self.mean[other])

    def inbreeding(self, pair):
        """F of the young, expected; at worst where that is the same."""
        at = self._places(pair)
        return self.kinship[at] + self.worst[at] / 1000

    def matched(self, cost, among=None):
        """As many pairs as can be made at the least cost; of the animals of some pairs, if told."""
        wanted = None if among is None else {key for pair in among for key in pair}
        graph = nx.Graph()
        for pair in filter(self.allows, self.fitting):
            if wanted is None or wanted.issuperset(pair):
                graph.add_edge(*pair, weight=-round(FINE * float(cost(pair))))
        matching = nx.max_weight_matching(graph, maxcardinality=True)
        pairs = [tuple(sorted(pair, key=self.at.get)) for pair in matching]
        return [*self.locked, *sorted(pairs, key=self._places)]

    def dropped(self, pairs):
        """The pairs without those whose loss lowers the mean kinship of the young."""
        pairs, most = list(pairs), self.wishes.most
        while len(pairs) > max(1, len(self.locked)):
            mean, worst = min(
                (self._mean_of(pairs[:at] + pairs[at + 1 :]), at)
                for at in range(len(self.locked), len(pairs))
            )
            too_many = most is not None and len(pairs) > most
            if not too_many and mean >= self._mean_of(pairs) - ROUNDING:
                break
            del pairs[worst]
        return pairs

    def _mean_of(self, pairs):
        shares = np.bincount(
            [self.at[key] for pair in pairs for key in pair], minlength=len(self.keys)
        ) / (2 * len(pairs))
        return float(shares @ self.kinship @ shares)

    def planned(self, pair):
        """A pair as the plan tells it."""
        at = self._places(pair)
        return PlannedPair(
            one=pair[0],
            other=pair[1],
            expected=float(self.kinship[at]),
            at_worst=AtWorst(self.worst[at], self.bound[at]),
            locked=pair in self.locked,
        )

    def figures(self, pairs):
        """What some pairs come to."""
        if not pairs:
            return PairFigures(pairs=0)
        at = [self._places(pair) for pair in pairs]
        return PairFigures(
            pairs=len(pairs),
            inbreeding=float(np.mean([self.kinship[one] for one in at])),
            at_worst=float(max(self.worst[one] for one in at)),
            mean_kinship=self._mean_of(pairs),
        )

    def random_figures(self, count, rng):
        """The mean figures of random sets of so many pairs, whatever their F."""
        if not self.fitting or not count:
            return PairFigures(pairs=0)
        sets = [self.figures(self._random_pairs(count, rng)) for _ in range(RANDOM_SETS)]
        names = ("inbreeding", "at_worst", "mean_kinship")
        means = {name: float(np.mean([getattr(one, name) for one in sets])) for name in names}
        return replace(sets[0], **means)

    def _random_pairs(self, count, rng):
        taken, pairs = set(), []
        for at in rng.permutation(len(self.fitting)).tolist():
            pair = self.fitting[at]
            if len(pairs) < count and taken.isdisjoint(pair):
                pairs.append(pair)
                taken.update(pair)
        return pairs


def _sexes(by_sex):
    """The sex of each animal, in the order given."""
    sexes = {}
    for sex, keys in by_sex.items():
        for key in keys:
            if key in sexes:
                raise PedigreeError(f"{key} is given twice.", [key])
            sexes[key] = sex
    return sexes


def _refuse_doubles(locked, left_out):
    seen = set()
    for key in (key for pair in locked for key in pair):
        if key in seen:
            raise PedigreeError(f"{key} is in two locked pairs.", [key])
        if key in left_out:
            raise PedigreeError(f"{key} is left out and in a locked pair.", [key])
        seen.add(key)
