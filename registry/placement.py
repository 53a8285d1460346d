"""The one door by which an animal or a clutch comes to be in an enclosure."""

from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from .herd import Herd
from .models import Animal, Answer, Breach, Clutch, Enclosure, Stay
from .objections import Stopped, collected, impossible, settle
from .phrases import written
from .telling import tell


@dataclass(frozen=True, kw_only=True)
class Company:
    """Everyone who would be together in one enclosure on one day."""

    day: date
    animals: tuple[Animal, ...]
    clutches: tuple[Clutch, ...] = ()

    def adults(self):
        """Return those that may be mature on the day."""
        return [a for a in self.animals if a.is_adult(self.day)]


@dataclass(frozen=True, kw_only=True)
class Happened:
    """What somebody did against a stop: why, and who it was."""

    why: str
    who: str


@dataclass(frozen=True, kw_only=True)
class Placement:
    """A proposal: these animals and clutches into this enclosure from a day on."""

    day: date
    enclosure: Enclosure
    animals: tuple[Animal, ...] = ()
    clutches: tuple[Clutch, ...] = ()
    until: date | None = None
    herd_given: Herd | None = field(default=None, compare=False)
    stays_given: list | None = field(default=None, compare=False)

    @cached_property
    def unit(self):
        """The unit the enclosure stands in."""
        return self.enclosure.unit

    @cached_property
    def stays(self):
        """The recorded stays of others in the enclosure that reach into the proposal."""
        if self.stays_given is not None:
            return self.stays_given
        moved, clutches = {a.pk for a in self.animals}, {c.pk for c in self.clutches}
        rows = Stay.objects.current().filter(enclosure=self.enclosure)
        rows = rows.exclude(end__lt=self.day).select_related(
            "animal__taxon", "animal__locality", "animal__source_group", "clutch__taxon"
        )
        return [s for s in rows if s.animal_id not in moved and s.clutch_id not in clutches]

    @cached_property
    def days(self):
        """The day of the move, and each later day on which the company changes."""
        later = {s.start for s in self.stays if s.start > self.day}
        if self.until:
            later = {d for d in later if d < self.until}
        return [self.day, *sorted(later)]

    @cached_property
    def companies(self):
        """Everyone who would be together, day by day."""
        return [self.company_on(day) for day in self.days]

    def company_on(self, day):
        """Everyone who would be together on a day."""
        there = [s for s in self.stays if s.touches(day)]
        animals = {s.animal_id: s.animal for s in there if s.animal_id}
        clutches = {s.clutch_id: s.clutch for s in there if s.clutch_id}
        animals |= {a.pk: a for a in self.animals}
        clutches |= {c.pk: c for c in self.clutches}
        return Company(
            day=day,
            animals=tuple(sorted(animals.values(), key=lambda a: a.code)),
            clutches=tuple(sorted(clutches.values(), key=lambda c: c.code)),
        )

    @cached_property
    def herd(self):
        """Everyone who would be together on any of the days."""
        return self.herd_given or Herd({a for c in self.companies for a in c.animals})


def objections(placement):
    """Return what every rule in PLACEMENT_RULES says to a placement.

    What stands between those who are there already is asked once, not at every clutch laid or
    frog put in beside them; a stop is always said.
    """
    movers = {*placement.animals, *placement.clutches}
    found = collected(settings.PLACEMENT_RULES, placement)
    return [o for o in found if o.is_stop or not movers or movers & {*o.animals} or not o.animals]


def standing_objections(enclosure, on):
    """Return what the same rules say to what stands in an enclosure on a day."""
    return objections(Placement(day=on, enclosure=enclosure))


@transaction.atomic
def place(placement, *, by, reasons=None, breach=None, at=None):
    """Make the stays of a placement, or raise what is objected; all of it or nothing."""
    _refuse_backwards(placement)
    _lock(placement)
    found = objections(placement)
    settle(found, reasons or {}, breach)
    moment = at or timezone.now()
    stays = [_enter(placement, by, moment, animal=a) for a in placement.animals]
    stays += [_enter(placement, by, moment, clutch=c) for c in placement.clutches]
    for stay in stays:
        _keep_answers(stay, found, reasons or {}, breach, by, moment)
    return stays


def go_on_as(mix, stays, placement, by, moment):
    """Let clutches just placed together go on as the mix they are from that day.

    The rules were asked of the clutches, which are the same young.
    """
    for stay in stays:
        if stay.start < placement.day:
            end_stay(stay, placement.day, by, moment)
            stay = _enter(placement, by, moment, clutch=stay.clutch)
        end_stay(stay, placement.day, by, moment, tell("Reared in {mix} since.", mix=mix))
    return _enter(placement, by, moment, clutch=mix)


def _refuse_backwards(placement):
    if placement.until and placement.until < placement.day:
        raise Stopped(
            [impossible(tell("They cannot go back before they came."), day=placement.until)]
        )


def _lock(placement):
    """Make two moves of the same animals or into the same enclosure wait for each other."""
    list(Enclosure.objects.select_for_update().filter(pk=placement.enclosure.pk))
    keys = sorted(a.pk for a in placement.animals)
    list(Animal.objects.select_for_update().filter(pk__in=keys).order_by("pk"))


def _enter(placement, by, moment, **who):
    """End the stay that covers the day, enter the new one, and go back where it is temporary."""
    before = _covering(placement.day, **who)
    if before and before.enclosure_id == placement.enclosure.pk and not placement.until:
        return before
    rest = before.end if before else None
    if before:
        end_stay(before, placement.day, by, moment)
    stay = Stay.objects.create(
        **who,
        enclosure=placement.enclosure,
        start=placement.day,
        end=placement.until or rest,
        ended_at=moment if placement.until or rest else None,
        ended_by=by if placement.until or rest else None,
        entered_at=moment,
        entered_by=by,
    )
    if before and placement.until and (rest is None or rest > placement.until):
        _return(before, placement.until, rest, by, moment, who)
    return stay


def _return(before, day, rest, by, moment, who):
    Stay.objects.create(
        **who,
        enclosure=before.enclosure,
        start=day,
        end=rest,
        ended_at=moment if rest else None,
        ended_by=by if rest else None,
        entered_at=moment,
        entered_by=by,
    )


def _covering(day, **who):
    return Stay.objects.current().running(day).filter(**who).order_by("-start", "-pk").first()


def end_stay(stay, day, by, moment, why=""):
    """Record where a stay ended; an end already recorded is corrected, not overwritten."""
    if stay.end is None:
        stay.end, stay.ended_at, stay.ended_by = day, moment, by
        stay.save(update_fields=["end", "ended_at", "ended_by"])
        return stay
    why = why or tell("Moved on {day}, earlier than recorded.", day=written(day))
    return stay.corrected(by=by, why=why, at=moment, end=day, ended_at=moment, ended_by=by)


def _keep_answers(stay, found, reasons, breach, by, moment):
    """Keep the written reasons, and a breach for every stop it happened against."""
    mine = [o for o in found if not o.is_stop and o.is_ask]
    for objection in mine:
        Answer.objects.create(
            stay=stay,
            rule=objection.rule,
            message=objection.message,
            reason=reasons.get(objection.key) or breach.why,
            entered_at=moment,
            entered_by=by,
        )
    for objection in (o for o in found if o.is_stop):
        row = Breach.objects.create(
            stay=stay,
            rule=objection.rule,
            message=objection.message,
            why=breach.why,
            who=breach.who,
            entered_at=moment,
            entered_by=by,
        )
        row.animals.set({a for a in objection.animals if isinstance(a, Animal)})
