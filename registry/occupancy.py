"""Who is in the enclosures, unit by unit, and what happened to one of them."""

from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

from django.db.models import Exists, OuterRef, Q, Subquery

from .herd import sexings_of
from .models import Enclosure, Sexing, Stay, Unit, UnitRole
from .phrases import written
from .telling import tell
from .timeline import entry, newest_first, told
from .together import fetch
from .unsettled import fewer, open_departures

# Within a holding: residents first, then those held, the sick last.
ORDER = [UnitRole.RESIDENT, UnitRole.QUARANTINE, UnitRole.SICK_BAY]
OFFERED = 3  # empty enclosures that are offered to move to
LAST = 60  # entries of an enclosure's history that are shown


@dataclass(frozen=True, kw_only=True)
class Occupied:
    """One enclosure with who is in it."""

    enclosure: Enclosure
    notation: str
    animals: tuple
    clutches: tuple
    count: int

    @property
    def taxa(self):
        """The taxa that live in it."""
        return sorted({one.taxon.name for one in (*self.animals, *self.clutches)})

    @property
    def is_full(self):
        """Whether there is room for nobody else."""
        return self.count >= self.enclosure.room_for


def by_unit(enclosures, on):
    """Return `(unit, those of these enclosures that stand in it)`, in the order of work."""
    stays = Stay.objects.current().running(on).select_related("animal__taxon", "clutch__taxon")
    there = {}
    for stay in stays.order_by("animal__code", "clutch__code"):
        there.setdefault(stay.enclosure_id, []).append(stay)
    sexings = sexings_of([s.animal_id for s in stays if s.animal_id])
    known, units = (sexings, open_departures(on)), {}
    for enclosure in enclosures.order_by("code"):
        occupied = _occupied(enclosure, there.get(enclosure.pk, ()), *known)
        units.setdefault(enclosure.unit_id, []).append(occupied)
    rows = sorted(Unit.objects.select_related("holding"), key=_work)
    return [(unit, units.get(unit.pk, [])) for unit in rows]


def one_by_one(units):
    """Return `(unit, one in it)` for all in some units, `(unit, None)` of a unit without any."""
    return [(unit, one) for unit, some in units for one in some or [None]]


def unit_by_unit(rows):
    """Return such rows as units again, those of one unit together."""
    units = groupby(rows, key=itemgetter(0))
    return [(unit, [one for _, one in some if one]) for unit, some in units]


def nearby(enclosure, on):
    """Return a few enclosures of the same unit to move to: empty ones, and those used last."""
    rows = Enclosure.objects.filter(unit=enclosure.unit, retired_on__isnull=True)
    rows = rows.exclude(pk=enclosure.pk).select_related("unit__holding")
    here = Stay.objects.current().filter(enclosure=OuterRef("pk"))
    used = here.filter(start__lte=on).order_by("-start").values("start")[:1]
    taken = Exists(here.filter(Q(end__isnull=True) | Q(end__gt=on)))
    rows = list(rows.annotate(taken=taken, used=Subquery(used)).order_by("code"))
    empty = [e for e in rows if not e.taken]
    last = [e for e in rows if e.taken and e.used]
    last.sort(key=lambda e: e.used, reverse=True)
    return [*empty[:OFFERED], *last[: OFFERED - 1]]


def _work(unit):
    return (str(unit.holding), ORDER.index(unit.role), unit.name)


def _occupied(enclosure, stays, sexings, events):
    animals = tuple(s.animal for s in stays if s.animal_id)
    few = fewer(animals, events)
    return Occupied(
        enclosure=enclosure,
        animals=animals,
        clutches=tuple(s.clutch for s in stays if s.clutch_id),
        notation=few.notation({a.pk: sexings.get(a.pk, Sexing()) for a in animals}),
        count=len(animals) - len(few.surely),
    )


def history(enclosure):
    """Return what happened in an enclosure, the newest day first."""
    beside = ("replaced_by", "entered_by")
    stays = enclosure.stays.select_related("animal", "clutch", *beside)
    stays, done, given, got, events = fetch(
        stays.order_by("-start", "-pk")[:LAST],
        enclosure.disinfections.select_related(*beside),
        enclosure.things_given.select_related("target", *beside),
        enclosure.things_received.select_related("source", *beside),
        enclosure.one_of_these.select_related("receiver", *beside).prefetch_related("animals"),
    )
    entries = [entry(s, _stay_words(s)) for s in stays]
    entries += [entry(d, _disinfection_words(d)) for d in done]
    entries += [
        entry(t, tell("{what} went to {target}.", what=t.what, target=t.target)) for t in given
    ]
    entries += [entry(e, told(e, None)) for e in events]
    entries += [
        entry(t, tell("{what} came from {source}.", what=t.what, source=t.source)) for t in got
    ]
    return newest_first(entries)[:LAST]


def _stay_words(stay):
    who = stay.animal or stay.clutch
    if stay.end:
        return tell("{who} came, until {day}.", who=who, day=written(stay.end))
    return tell("{who} came.", who=who)


def _disinfection_words(done):
    if done.agent:
        return tell("Disinfected: {agent}.", agent=done.agent)
    return tell("Disinfected.")
