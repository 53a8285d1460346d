"""The lines of the register: a taxon of one collecting place, and how each stands on a day."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .herd import sexings_of
from .light import Light
from .missing import COUNTS_AS_DEAD
from .models import Animal, ArrivalMember, Locality, Missing, Sexing, Taxon
from .models.dates import earliest
from .phrases import written
from .telling import tell, tell_many

FEW = 4  # with so few left of more, a line is dying
YEARS_WITHOUT_YOUNG = 3  # after so many years without young, a line is dying
YEAR = 365.25
UNKNOWN = _("unknown locality")
SEXES = ("males", "females", "unsexed")


@dataclass(frozen=True, kw_only=True)
class Line:
    """The animals of one taxon that stem from one collecting place, or from none known."""

    taxon: Taxon
    locality: Locality | None = None

    def __str__(self):
        return f"{self.taxon}, {self.place}"

    @property
    def place(self):
        """The name of the place."""
        return str(self.locality or UNKNOWN)

    @property
    def address(self):
        """What an address tells a line by."""
        return self.taxon.pk, self.locality and self.locality.pk

    @property
    def is_mixed(self):
        """Whether these are young of several places, who belong to the collection of none."""
        return self.locality is not None and self.locality.is_mixed

    def animals(self):
        """Return everybody on record of this line, wherever and whenever."""
        return Animal.objects.filter(taxon=self.taxon, locality=self.locality)


def missing(on):
    """Return the entries of animals that count as dead on a day, since they were not found."""
    gone = Missing.objects.current().filter(day__lte=on - COUNTS_AS_DEAD)
    return gone.filter(Q(found_on__isnull=True) | Q(found_on__gt=on))


def living(on):
    """Return the animals that are here and living on a day."""
    return Animal.objects.here(on).exclude(pk__in=missing(on).values("animal"))


@dataclass(frozen=True, kw_only=True)
class Tally:
    """A line counted on a day; counts are (males, females, unsexed).

    `ever` were here at some time; of the founders `left` live here or have living descendants
    here. `youngest` is the birth of the youngest living, `last_young` when the last young was
    born here, `since` the first day anybody came.
    """

    line: Line
    on: date
    living: tuple[int, int, int]
    able: tuple[int, int, int]
    ever: int
    founders: int
    left: int
    youngest: date | None = None
    last_young: date | None = None
    since: date | None = None

    @property
    def count(self):
        """How many live here."""
        return sum(self.living)

    @cached_property
    def dangers(self):
        """What lets the line die out, as (how grave, sentence), the gravest first."""
        return sorted(_dangers(self), reverse=True) if self.count else []

    @property
    def is_dying(self):
        """Whether it will die out if nothing is done."""
        return bool(self.dangers)

    @property
    def rank(self):
        """The dying before the others, the gravest first; those that are gone last."""
        grave = [weight for weight, _ in self.dangers]
        return (
            not self.count,
            [-weight for weight in grave] or [1],
            self.count if grave else 0,
            str(self.line.taxon),
            self.line.place,
        )


def counted(counts):
    """Return counts as keepers write them.

    >>> counted((1, 2, 3))
    '1.2.3'
    """
    return ".".join(map(str, counts))


def can_pair(counts):
    """Return whether there may be a male and a female among so many.

    >>> can_pair((2, 0, 0)), can_pair((1, 1, 0)), can_pair((0, 0, 2))
    (False, True, True)
    """
    males, females, unsexed = counts
    return bool(males and females) or bool(unsexed and males + females + unsexed > 1)


def years(day, on):
    """Return how many years have passed since a day.

    >>> years(date(2023, 1, 1), date(2026, 1, 1))
    3
    """
    return on.year - day.year - ((on.month, on.day) < (day.month, day.day))


def span(day, on):
    """Return the time since a day, in words.

    >>> span(date(2025, 12, 1), date(2026, 1, 20)), span(date(2024, 1, 1), date(2026, 1, 1))
    ('1 month', '2 years')
    """
    whole = years(day, on)
    months = 12 * (on.year - day.year) + on.month - day.month - (on.day < day.day)
    if whole:
        return tell_many("{count} year", "{count} years", whole)
    if months:
        return tell_many("{count} month", "{count} months", months)
    return tell("under a month")


def _dangers(tally):
    """Yield what lets a line die out."""
    if tally.count == 1:
        yield 4, tell("One animal is left.")
    elif not can_pair(tally.living):
        yield (
            4,
            tell(
                "No pair is possible: all {count} are {sex}.",
                count=tally.count,
                sex=tell(_only_sex(tally.living)),
            ),
        )
    elif not can_pair(tally.able):
        yield (
            3,
            tell(
                "No pair is possible until the young are grown; {who}.",
                who=_able_words(tally.able),
            ),
        )
    if why := _without_young(tally):
        yield 2, why
    if 1 < tally.count <= FEW and tally.count < tally.ever:
        yield (
            1,
            tell_many(
                "{count} is left of {ever} that were ever here.",
                "{count} are left of {ever} that were ever here.",
                tally.count,
                ever=tally.ever,
            ),
        )


def _only_sex(counts):
    return next(sex for sex, count in zip(SEXES, counts, strict=True) if count)


def _able_words(counts):
    return tell("{who} can breed", who=counted(counts)) if any(counts) else tell("none can breed")


def _without_young(tally):
    """Say for how long there have been no young, where that is long."""
    last, since = tally.last_young, tally.since
    if last and years(last, tally.on) >= YEARS_WITHOUT_YOUNG:
        return tell(
            "No young for {span}: the last was born {day}.",
            span=span(last, tally.on),
            day=written(last),
        )
    if not last and since and years(since, tally.on) >= YEARS_WITHOUT_YOUNG:
        return tell("No young in the {span} it has been here.", span=span(since, tally.on))
    return ""


def lines_on(on, taxon=None):
    """Return a tally of every line that is or was here by a day, the dying first."""
    tallies = _Register(on).tallies()
    found = (t for t in tallies if taxon is None or t.line.taxon == taxon)
    return sorted(found, key=lambda tally: tally.rank)


class _Register:
    """Everybody who was ever here by a day, in light rows by line."""

    def __init__(self, on):
        self.on = on
        self.light = Light()

    def tallies(self):
        """Yield a tally of each line that was ever here."""
        taxa, places = Taxon.objects.in_bulk(), Locality.objects.in_bulk()
        for key in self.came.keys() | self.bred.keys():
            yield self._tally(Line(taxon=taxa[key[0]], locality=places.get(key[1])), key)

    def _tally(self, line, key):
        here, came, bred = (rows.get(key, {}) for rows in (self.here, self.came, self.bred))
        mature = timedelta(days=line.taxon.mature_days)
        grown = [k for k, (first, _) in here.items() if first is None or first + mature <= self.on]
        left = self._roots(here)
        return Tally(
            line=line,
            on=self.on,
            living=self._sexes(here),
            able=self._sexes(grown),
            ever=len(came.keys() | bred.keys()),
            founders=len(left | self._founders(came)),
            left=len(left),
            youngest=max((born for first, born in here.values() if first), default=None),
            last_young=max(bred.values(), default=None),
            since=min(came.values(), default=None),
        )

    def _sexes(self, keys):
        counts = [0, 0, 0]
        for key in keys:
            counts[self.sexings.get(key, Sexing()).column] += 1
        return tuple(counts)

    @cached_property
    def here(self):
        """`{animal: (first day it may have been born, day it was born)}` of the living, by line."""
        found = defaultdict(dict)
        names = ("pk", "taxon_id", "locality_id", "born", "born_precision")
        for key, taxon, place, born, precision in living(self.on).order_by().values_list(*names):
            found[taxon, place][key] = (earliest(born, precision), born)
        return found

    @cached_property
    def sexings(self):
        """What is concluded on the sex of each of the living."""
        return sexings_of(living(self.on).order_by().values("pk"))

    @cached_property
    def came(self):
        """`{animal: first day it came}` of those that came from elsewhere, by line."""
        found = defaultdict(dict)
        rows = ArrivalMember.objects.order_by("-arrival__day").filter(
            arrival__day__lte=self.on, arrival__void=False, arrival__superseded_at__isnull=True
        )
        names = ("animal_id", "animal__taxon_id", "animal__locality_id", "arrival__day")
        for key, taxon, place, day in rows.values_list(*names):
            found[taxon, place][key] = day
        return found

    @cached_property
    def bred(self):
        """`{animal: day it was born}` of those bred here, by line."""
        found = defaultdict(dict)
        rows = Animal.objects.order_by().filter(clutch__isnull=False, separated_on__lte=self.on)
        names = ("pk", "taxon_id", "locality_id", "born", "separated_on")
        for key, taxon, place, born, separated in rows.values_list(*names):
            found[taxon, place][key] = born or separated
        return found

    def _parents(self, key):
        return {p for parents in self.light.holding(key).values() for p in parents}

    def _founders(self, keys):
        return {key for key in keys if not self._parents(key)}

    def _roots(self, keys):
        """Return the founders among some animals and their ancestors."""
        seen, wave = set(), set(keys)
        while wave:
            seen |= wave
            wave = {p for key in wave for p in self._parents(key)} - seen
        return self._founders(seen)
