"""The one door by which an animal leaves: sold, given, lent, dead, escaped or handed over."""

from dataclasses import dataclass, field, replace
from datetime import date
from functools import cached_property

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from . import shelf
from .herd import Herd
from .lending import keepings
from .models import Animal, Answer, Departure, DepartureKind, OneOfThese, Pairing, Party, Stay
from .objections import collected, settle
from .phrases import written
from .placement import end_stay
from .presence import presences
from .register_lines import departures_went, one_of_these_settled
from .standing import held_keys
from .telling import tell


@dataclass(frozen=True, kw_only=True)
class Leaving:
    """A proposal: these animals leave together on a day; `entered_on` is when somebody says so.

    With `among` it is one of them that leaves, nobody knows which; `one_of` is such an event on
    record, which this settles or corrects.
    """

    day: date
    animals: tuple[Animal, ...]
    kind: str
    receiver: Party | None = None
    due_back: date | None = None
    onward: bool = False  # to other premises of this register, in the same act
    entered_on: date | None = None
    instead_of: Departure | None = None
    among: bool = False
    one_of: OneOfThese | None = None
    herd_given: Herd | None = field(default=None, compare=False)

    @cached_property
    def herd(self):
        """Those that leave, with what is known of each."""
        return self.herd_given or Herd(self.animals)

    @cached_property
    def presences(self):
        """When each of them came and went, without the departure that is corrected."""
        found = presences(self.herd.animals)
        if old := self.instead_of:
            found[old.animal_id].goings.remove((old.day, old.kind))
        return found

    @cached_property
    def backs(self):
        """The day each came back after this one, by key; those that never did are left out.

        Of a move between premises put right, that is the later of the day it was and is.
        """
        if self.onward and self.instead_of:
            return dict.fromkeys(self.presences, max(self.day, self.instead_of.day))
        later = {
            key: min((d for d in one.comings if d > self.day), default=None)
            for key, one in self.presences.items()
        }
        return {key: day for key, day in later.items() if day}

    @cached_property
    def later_stays(self):
        """The stays on record that begin after the day, up to the day somebody came back."""
        if self.among:
            return []
        rows = Stay.objects.current().filter(animal__in=self.animals, start__gt=self.day)
        return [
            s
            for s in rows.select_related("animal", "enclosure")
            if s.animal_id not in self.backs or s.start < self.backs[s.animal_id]
        ]

    @cached_property
    def keepings(self):
        """Who holds and who owns each of them as it leaves."""
        old = self.instead_of
        return keepings(self.animals, self.day, {old, old.arrived_as} if old else ())

    @cached_property
    def pairings(self):
        """The pairings of those that leave which have not ended by the day."""
        if self.among:
            return []
        rows = Pairing.objects.current().filter(ended_on__isnull=True, planned_on__lte=self.day)
        mine = rows.filter(first__in=self.animals) | rows.filter(second__in=self.animals)
        return list(mine.select_related("first", "second"))


def objections(leaving):
    """Return what every rule in DEPARTURE_RULES says to a departure."""
    return collected(settings.DEPARTURE_RULES, leaving)


def depart(animal, day, kind, receiver, by, reasons=None, cause="", note="", at=None):
    """Enter that one animal left, or raise what is objected; return the departure."""
    leaving = Leaving(day=day, animals=(animal,), kind=kind, receiver=receiver)
    (departure,) = depart_together(leaving, by=by, reasons=reasons, cause=cause, note=note, at=at)
    return departure


@transaction.atomic
def depart_together(leaving, *, by, reasons=None, cause="", note="", at=None):
    """Enter that animals left together: all of them or none."""
    moment = at or timezone.now()
    leaving = replace(leaving, entered_on=timezone.localdate(moment))
    lock(leaving)
    found = objections(leaving)
    settle(found, reasons or {})
    told = {"cause": cause, "note": note, "entered_at": moment, "entered_by": by}
    rows = _departures(leaving, told)
    for row in rows:
        mine = [o for o in found if not o.animals or row.animal in o.animals]
        keep_answers({"departure": row}, mine, reasons or {}, by, moment)
    if leaving.one_of:
        one_of_these_settled(leaving.one_of, rows[0])
    else:
        departures_went(rows)
    end_what_ran(leaving, by, moment)
    return rows


def lock(leaving):
    """Make two acts on the same animals wait for each other."""
    keys = sorted(a.pk for a in leaving.animals)
    list(Animal.objects.select_for_update().filter(pk__in=keys).order_by("pk"))


def _departures(leaving, told):
    with shelf.of_herd(leaving.herd):  # as the rules were asked: nothing is written yet
        held = held_keys(leaving.animals, leaving.day)
    return [
        Departure.objects.create(
            animal=animal,
            day=leaving.day,
            kind=leaving.kind,
            receiver=leaving.receiver,
            due_back=leaving.due_back,
            held=animal.pk in held,
            one_of=leaving.one_of,
            **told,
        )
        for animal in leaving.animals
    ]


def end_what_ran(leaving, by, moment):
    """End the running stays and the pairings, and withdraw the stays planned for later."""
    why = tell(
        "Left on {day} ({kind}).",
        day=written(leaving.day),
        kind=DepartureKind(leaving.kind).label,
    )
    running = Stay.objects.current().running(leaving.day).filter(animal__in=leaving.animals)
    for stay in running:
        end_stay(stay, leaving.day, by, moment, why)
    for stay in leaving.later_stays:
        stay.withdrawn(by=by, why=why, at=moment)
    for pairing in leaving.pairings:
        pairing.ended_on, pairing.ended_why = max(leaving.day, pairing.about), why
        pairing.save(update_fields=["ended_on", "ended_why"])


def keep_answers(about, found, reasons, by, moment):
    """Keep the written reason to every ask with what it is about."""
    for objection in (o for o in found if o.is_ask):
        Answer.objects.create(
            **about,
            rule=objection.rule,
            message=objection.message,
            reason=reasons[objection.key],
            entered_at=moment,
            entered_by=by,
        )
