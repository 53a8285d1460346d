"""A plan for a line: which pairs to make so that it keeps the most, judged by the rules for pairs.

What is worked out is plain numbers and keys, so that it can be kept; what the rules say is asked
anew whenever the plan is shown, and once more when it is entered.
"""

from dataclasses import asdict, dataclass, field, replace
from functools import cached_property

from .herd import Herd
from .kin_tables import tables_of
from .lineage import AtWorst, PairFigures, Wishes, plan_pairs
from .mates import relation_words
from .models import Animal, Pairing
from .pairing import Match, objections
from .rules import may_breed
from .standing import held_keys

MOST_ROUNDS = 12


@dataclass(frozen=True, kw_only=True)
class Steering:
    """What a keeper wants of a plan; pairs are two keys, the smaller first."""

    below: float = 1 / 8
    worst: float = 1 / 4
    most: int | None = None
    locked: tuple = ()
    forbidden: tuple = ()
    left_out: tuple = ()


def named(pair_key, found):
    """Return objections under keys of their own pair, so that each pair has its own reasons."""
    return [replace(o, rule=f"{pair_key} {o.rule}") for o in found]


@dataclass(frozen=True, kw_only=True)
class Suggestion:
    """One pair of a plan, with what speaks for and against it."""

    one: Animal
    other: Animal
    sexings: tuple
    expected: float
    worst: float
    traced: float
    mean_kinship: float
    objections: tuple
    is_locked: bool
    together: Pairing | None
    elsewhere: tuple

    @property
    def key(self):
        """What an address and a form tell the pair by."""
        return "{}-{}".format(*ordered(self.one.pk, self.other.pk))

    def kinship_words(self):
        """Say how close the two are, and never more than the register knows."""
        return relation_words(self.expected, self.worst, self.traced)

    @property
    def is_stopped(self):
        """Whether a rule stops it, so that it cannot be planned."""
        return any(o.is_stop for o in self.objections)

    @property
    def questions(self):
        """What wants a written reason before it is planned."""
        return [o for o in named(self.key, self.objections) if o.is_ask]

    @property
    def can_be_entered(self):
        """Whether it may become a planned pairing."""
        return not self.is_stopped and self.together is None


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """A plan as it is shown: its pairs, who is in none, and figures to hold it against."""

    pairs: tuple
    unpaired: tuple
    left_out: tuple
    forbidden: tuple
    stopped: tuple
    figures: PairFigures
    today: PairFigures
    random: PairFigures

    @property
    def columns(self):
        """The figures side by side: of this plan, of the pairs in force, of random ones."""
        return (self.figures, self.today, self.random)

    @property
    def enterable(self):
        """The pairs that may become planned pairings."""
        return [pair for pair in self.pairs if pair.can_be_entered]


class Breeders:
    """Who of a line can breed on a day, with the pairings in force among them."""

    def __init__(self, census, on):
        self.census = census
        self.on = on
        self.animals = {a.pk: a for a in census.here(on) if a.is_adult(on)}

    def of_sex(self, sex):
        """Return the keys of one sex, None of the unsexed."""
        return [k for k, a in self.animals.items() if self.census.sexing(a).sex == sex]

    def may_pair(self, one, other):
        """Return whether two of them may be of different sex."""
        return may_breed(*(self.census.sexing(self.animals[key]) for key in (one, other)))

    @cached_property
    def in_force(self):
        """The pairings planned or active in which any of them is."""
        rows = Pairing.objects.current().filter(ended_on__isnull=True)
        rows = rows.filter(first__in=self.animals) | rows.filter(second__in=self.animals)
        return list(rows.select_related("first", "second"))

    @cached_property
    def today(self):
        """The pairs in force of two of them, each once."""
        found = {ordered(p.first_id, p.second_id) for p in self.in_force}
        return sorted(pair for pair in found if self.animals.keys() >= set(pair))

    def question(self, steering):
        """Return all that a plan rests on but kinship, as plain values that can be kept."""
        return {
            "males": self.of_sex("male"),
            "females": self.of_sex("female"),
            "unsexed": self.of_sex(None),
            "held": sorted(held_keys(self.animals.values(), self.on)),
            "today": [list(pair) for pair in self.today],
            "steering": asdict(steering),
        }


def ordered(one, other):
    """Return a pair with the smaller key first.

    >>> ordered(7, 3)
    (3, 7)
    """
    return (one, other) if one < other else (other, one)


class KnownHerd(Herd):
    """A herd of which some kinship is worked out already, as `known(one, other)` tells."""

    def __init__(self, animals, known):
        super().__init__(animals)
        self.known = known

    def kinship(self, a, b):
        """Return expected and at-worst kinship of two of them."""
        return self.known(a.pk, b.pk) or super().kinship(a, b)


def _herd(breeders, known):
    """Return everybody who can breed, with what is known of them."""
    herd = KnownHerd(breeders.animals.values(), known)
    herd.lineage, herd.sexings = breeders.census.lineage, breeders.census.sexings
    return herd


def figures_of(worked):
    """Return what tells both figures of a pair of a worked-out plan, None of any other pair."""
    figures = {
        ordered(one, other): (expected, AtWorst(worst, is_bound))
        for one, other, _, expected, worst, is_bound in worked["pairs"]
    }
    return lambda one, other: figures.get(ordered(one, other))


@dataclass(kw_only=True)
class Planner:
    """Works a plan out: matched, judged, and matched again without the pairs that are stopped."""

    breeders: Breeders
    question: dict
    tables: object
    barred: set = field(default_factory=set)
    stopped: list = field(default_factory=list)

    @cached_property
    def herd(self):
        """Everybody who can breed, with what is known of them."""
        return _herd(self.breeders, self.tables.pair)

    def plan(self):
        """Return the best pairs that no rule stops."""
        for _ in range(MOST_ROUNDS):
            plan = self._matched()
            found = [pair for pair in plan.pairs if not pair.locked and self._stop(pair)]
            if not found:
                break
            for pair in found:
                self._bar(pair)
        return plan

    def _matched(self):
        asked = self.question
        sexes = {sex: asked[sex] for sex in ("males", "females", "unsexed")}
        steering = Steering(**asked["steering"])
        wishes = Wishes(
            below=steering.below,
            below_at_worst=steering.worst,
            locked=tuple(map(tuple, steering.locked)),
            forbidden=(*map(tuple, steering.forbidden), *self.barred),
            left_out=tuple(steering.left_out),
            most=steering.most,
        )
        return plan_pairs(self.tables, **sexes, wishes=wishes, today=asked["today"])

    def _stop(self, pair):
        """Return the sentence that stops a pair, if any."""
        return self._stops(pair.one, pair.other)

    def _stops(self, one, other):
        animals = self.breeders.animals
        match = Match(
            day=self.breeders.on,
            first=animals[one],
            second=animals[other],
            herd_given=self.herd,
        )
        return next((o.message for o in objections(match) if o.is_stop), "")

    def _bar(self, pair):
        """Leave out a stopped pair, and every other in which either of the two is stopped."""
        self.stopped.append([pair.one, pair.other, self._stop(pair)])
        for one in (pair.one, pair.other):
            others = (k for k in self.breeders.animals if k != one)
            self.barred |= {ordered(one, k) for k in others if self._stops(one, k)}


def work_out(census, on, question, progress=None):
    """Return the plan of a line as plain values; `progress(done, whole)` hears of each part."""
    breeders = Breeders(census, on)
    tables = tables_of(census, breeders.animals, progress)
    planner = Planner(breeders=breeders, question=question, tables=tables)
    plan = planner.plan()
    return {
        "pairs": [_plain(pair) for pair in plan.pairs],
        "unpaired": list(plan.unpaired),
        "stopped": planner.stopped,
        "figures": asdict(plan.figures),
        "today": asdict(plan.today),
        "random": asdict(plan.random),
    }


def _plain(pair):
    worst = pair.at_worst
    return [pair.one, pair.other, pair.locked, pair.expected, float(worst), worst.is_bound]


def proposal(breeders, steering, worked):
    """Return a worked-out plan as it is shown, judged by the rules as they stand now."""
    animals = breeders.animals
    herd, means = _herd(breeders, figures_of(worked)), _mean_kinships(breeders)
    return Proposal(
        pairs=tuple(_suggestion(breeders, herd, means, *pair[:3]) for pair in worked["pairs"]),
        unpaired=tuple(animals[key] for key in worked["unpaired"]),
        left_out=tuple(animals[key] for key in steering.left_out),
        forbidden=tuple((animals[one], animals[other]) for one, other in steering.forbidden),
        stopped=tuple((animals[one], animals[other], why) for one, other, why in worked["stopped"]),
        **{name: PairFigures(**worked[name]) for name in ("figures", "today", "random")},
    )


def _mean_kinships(breeders):
    """Return the mean kinship of each to all living of the line."""
    return {m.animal.pk: m.mean_kinship for m in breeders.census.members(breeders.on)}


def _suggestion(breeders, herd, means, one, other, locked):
    first, second = breeders.animals[one], breeders.animals[other]
    expected, worst = herd.kinship(first, second)
    match = Match(day=breeders.on, first=first, second=second, herd_given=herd)
    in_force = [p for p in breeders.in_force if {one, other} & {p.first_id, p.second_id}]
    together = [p for p in in_force if {one, other} == {p.first_id, p.second_id}]
    return Suggestion(
        one=first,
        other=second,
        sexings=(herd.sexing(first), herd.sexing(second)),
        expected=expected,
        worst=worst,
        traced=min(herd.lineage.traced(one), herd.lineage.traced(other)),
        mean_kinship=(means[one] + means[other]) / 2,
        objections=tuple(objections(match)),
        is_locked=locked,
        together=next(iter(together), None),
        elsewhere=tuple(p for p in in_force if p not in together),
    )
