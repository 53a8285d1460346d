"""The doors by which something is entered of one of several look-alikes, and settled later."""

from dataclasses import dataclass
from datetime import date

from django.conf import settings
from django.db import transaction
from django.utils import timezone
from django.utils.module_loading import import_string

from . import departing
from .amending import stay_ended_by, take_back_departure
from .departing import Leaving, depart_together, keep_answers
from .finding import SHOWN, find_sex
from .lifetime import refuse_ahead, refuse_away, refuse_unborn
from .models import Animal, Enclosure, OneOfThese, Party, Stay
from .objections import settle
from .phrases import in_a_row, written
from .placement import Placement
from .placement import objections as placed
from .register_lines import one_of_these_left
from .standing import held_keys
from .telling import tell
from .trying import undone
from .unsettled import DID, AmongRefused, opened


@dataclass(frozen=True, kw_only=True)
class Among:
    """A proposal: one of these, nobody knows which, died, left, called or laid on a day."""

    enclosure: Enclosure
    what: str
    day: date
    animals: tuple[Animal, ...]
    receiver: Party | None = None
    cause: str = ""
    note: str = ""

    @property
    def has_left(self):
        """Whether one of them is gone."""
        return OneOfThese(what=self.what).has_left


def objections(among, entered_on=None):
    """Return what the rules on leaving say if it was one of these; nothing to what was heard."""
    return departing.objections(_leaving(among, entered_on)) if among.has_left else []


def _leaving(among, entered_on, one_of=None):
    told = {name: getattr(among, name) for name in ("day", "animals", "receiver")}
    how = {"kind": among.what, "among": True, "entered_on": entered_on, "one_of": one_of}
    return Leaving(**told, **how)


@transaction.atomic
def enter_one_of_these(among, *, by, reasons=None, at=None):
    """Enter what happened to one of several, or raise what is objected; return the event."""
    moment = at or timezone.now()
    leaving = _leaving(among, timezone.localdate(moment))
    departing.lock(leaving)
    refuse(among, moment)
    found = objections(among, leaving.entered_on)
    settle(found, reasons or {})
    names = ("enclosure", "what", "day", "receiver", "cause", "note")
    event = OneOfThese.objects.create(
        **{name: getattr(among, name) for name in names},
        held=among.has_left and bool(held_keys(among.animals, among.day)),
        entered_at=moment,
        entered_by=by,
    )
    event.animals.set(among.animals)
    keep_answers({"one_of": event}, found, reasons or {}, by, moment)
    if event.has_left:
        one_of_these_left(event)
    return event


def refuse(among, moment):
    """Refuse what cannot have happened to one of these, so that nobody can ever settle it."""
    refuse_ahead(among.day, moment)
    animals = among.animals
    if len({a.pk for a in animals}) < 2:
        raise AmongRefused(
            tell("Name at least two; what happened to one alone is entered of that one.")
        )
    if len({a.taxon_id for a in animals}) > 1:
        raise AmongRefused(
            tell("Animals of different species can be told apart; name those of one.")
        )
    for animal in animals:
        refuse_unborn(animal, among.day)
        refuse_away(animal, among.day)
    there = Stay.objects.current().touching(among.day).filter(enclosure=among.enclosure)
    inside = set(there.filter(animal__in=animals).values_list("animal", flat=True))
    if others := [a for a in animals if a.pk not in inside]:
        text = tell(
            "{others} was not in {enclosure} on {day}.",
            others=in_a_row(others),
            enclosure=among.enclosure,
            day=written(among.day),
        )
        raise AmongRefused(text)
    if not among.has_left:
        _refuse_sexes(among)


def _refuse_sexes(among):
    """Refuse those that are surely of the sex that does not call, or does not lay."""
    event = OneOfThese(what=among.what, day=among.day)
    event.among = lambda: list(among.animals)
    (one,) = opened([event])
    if others := [a for a in among.animals if a not in one.possible]:
        verb = "calls" if SHOWN[among.what] == "male" else "lays"
        text = tell(
            "{others} was found to be of the sex that never {verb}; leave it out.",
            others=in_a_row(others),
            verb=verb,
        )
        raise AmongRefused(text)


# Settled, and settled otherwise


@transaction.atomic
def settle_on(event, animal, *, by, reasons=None, at=None):
    """Enter which one it was, through the door its own departure or finding goes through."""
    moment, event = at or timezone.now(), _locked(event)
    if event.settlement():
        raise AmongRefused(
            tell("It is settled on {animal}; correct that entry.", animal=event.settlement().animal)
        )
    _refuse_other(event, animal)
    told = {"note": event.note, "at": moment}
    if event.has_left:
        how = {"reasons": reasons, "cause": event.cause, **told}
        (settled,) = depart_together(leaving_of(event, animal), by=by, **how)
    else:
        basis = event.what
        settled = find_sex(animal, SHOWN[basis], basis, event.day, by, one_of=event, **told)
    _tell(event, [animal], by, tell("Settled: it was {animal}.", animal=animal), moment)
    return settled


def leaving_of(event, animal, entered_on=None):
    """Return the departure of one animal that would settle an event."""
    told = {"day": event.day, "kind": event.what, "receiver": event.receiver}
    return Leaving(animals=(animal,), one_of=event, entered_on=entered_on, **told)


def _refuse_other(event, animal):
    if animal.pk not in {a.pk for a in event.among()}:
        raise AmongRefused(tell("{animal} is none of those among which it was.", animal=animal))


@transaction.atomic
def open_again(event, *, by, why, reasons=None, breach=None, at=None):
    """Enter that it was settled wrongly: nobody knows again which one it was."""
    moment, event = at or timezone.now(), _locked(event)
    if not why.strip():
        raise AmongRefused(tell("Say why; the reason is kept."))
    settled = event.settlement()
    if settled is None:
        raise AmongRefused(tell("It is settled on nobody."))
    told = {"by": by, "why": why, "at": moment}
    if event.has_left:
        take_back_departure(settled, reasons=reasons, breach=breach, **told)
    else:
        settled.withdrawn(**told)
    _tell(event, event.among(), by, why, moment)
    return settled


@transaction.atomic
def settle_otherwise(event, animal, *, by, why, reasons=None, breach=None, at=None):
    """Enter that it was another one than it was settled on."""
    moment = at or timezone.now()
    settled = event.settlement()
    if settled and settled.animal_id == animal.pk:
        raise AmongRefused(tell("It is settled on {animal} already.", animal=animal))
    open_again(event, by=by, why=why, reasons=reasons, breach=breach, at=moment)
    return settle_on(event, animal, by=by, reasons=reasons, at=moment)


def objected_to_opening(event, by):
    """Return what the rules say if the one that it is settled on was where it had been."""
    return undone(lambda: _back(event, by))


def objected_otherwise(event, animal, by):
    """Return what the rules say if it was another one than it is settled on."""

    def looked():
        back = _back(event, by)
        gone = objections_to_settling(event, animal) if event.has_left else []
        return back + gone

    return undone(looked)


def objections_to_settling(event, animal):
    """Return what the rules on leaving say if it was this one."""
    return departing.objections(leaving_of(event, animal, timezone.localdate()))


def _back(event, by):
    """Withdraw what an event is settled on, and return what stands against its being back."""
    settled = event.settlement()
    before = stay_ended_by(settled) if event.has_left else None
    settled.withdrawn(by=by, why=tell("Looked at only."))
    if before is None:
        return []
    where = {"enclosure": before.enclosure, "animals": (settled.animal,)}
    return placed(Placement(day=settled.day, **where))


@transaction.atomic
def let_be(event, why, day, by, at=None):
    """Enter that it makes no difference which one it was; it can be settled all the same."""
    moment, event = at or timezone.now(), _locked(event)
    if not why.strip():
        raise AmongRefused(tell("Say why; the reason is kept."))
    refuse_ahead(day, moment)
    if day < event.day:
        raise AmongRefused(
            tell("It was on {day}; it is left open then or later.", day=written(event.day))
        )
    told = {"let_be_on": day, "let_be_why": why.strip(), "let_be_at": moment, "let_be_by": by}
    for name, value in told.items():
        setattr(event, name, value)
    event.save(update_fields=list(told))
    return event


def _locked(event):
    """Return an event as it stands, with nobody else acting on it meanwhile."""
    event = OneOfThese.objects.select_for_update().get(pk=event.pk)
    if event.void or event.superseded_at:
        raise AmongRefused(tell("That entry has been corrected; look at the newer one."))
    return event


def _tell(event, animals, by, why, moment):
    """Tell those the settings name whom an event is of now."""
    for path in settings.SETTLING_TOLD:
        import_string(path)(event, animals, by, why, moment)


# Corrected


def refuse_correction(new, old, moment):
    """Refuse a correction of an event with which nobody could settle it."""
    if settled := old.settlement():
        text = tell(
            "It is settled on {animal}; correct that entry, or open it again.",
            animal=settled.animal,
        )
        raise AmongRefused(text)
    told = {name: getattr(new, name) for name in ("enclosure", "what", "day", "receiver")}
    among = Among(animals=tuple(old.among()), **told)
    refuse(among, moment)
    if among.has_left:
        leaving = _leaving(among, timezone.localdate(moment), one_of=old)
        if stops := [o for o in departing.objections(leaving) if o.is_stop]:
            raise AmongRefused(" ".join(o.message for o in stops))


def refuse_withdrawal(event):
    """Refuse to say that something never was while it is settled on somebody."""
    if settled := event.settlement():
        raise AmongRefused(
            tell(
                "It is settled on {animal}: {animal} {did}. Correct that entry first, or open it "
                "again.",
                animal=settled.animal,
                did=DID[event.what],
            )
        )
