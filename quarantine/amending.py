"""Entries of quarantine corrected or withdrawn: a new one replaces the old, and says why."""

from copy import copy

from django.db import transaction
from django.utils import timezone

from registry.arriving import ArrivalRefused, refuse_due_back
from registry.lifetime import NotOnThatDay
from registry.models import Arrival, Stay
from registry.models.facts import AlreadyReplaced
from registry.phrases import written
from registry.presence import presences
from registry.telling import tell
from registry.transferring import correct_transfer, is_half, take_back_transfer

from .examining import Finding
from .examining import refuse as refuse_finding
from .holding import refuse_without_right as refuse_hold
from .models import Membership
from .refusals import ActRefused
from .rounds import refuse_animal, refuse_empty
from .treating import Treatment
from .treating import refuse as refuse_treatment


def _sample(new, today):
    _past(new.day, today)
    if new.enclosure_id:
        refuse_empty(new.enclosure, new.day)
    for animal in () if new.carcass else new.animals.all():
        refuse_animal(animal, new.day)


def _course(new, today):
    told = {"what": new.what, "day": new.start, "planned_last": new.planned_last}
    refuse_treatment(new.isolation, Treatment(**told), today)
    if new.end and not new.start <= new.end <= today:
        raise ActRefused(tell("The last dose was given after the first, and not ahead."), "end")


def _necropsy(new, today):
    told = {"cause": new.cause, "accepted": new.accepted, "veterinarian": new.veterinarian}
    finding = Finding(day=new.day, none_can_be_found=new.none_can_be_found, **told)
    refuse_finding(new.death, finding, today)


def _hold(new, today):
    _past(new.start, today, "start")
    if not new.reason.strip():
        raise ActRefused(tell("Write why it is held."), "reason")


def _membership(new, today):
    _past(new.start, today, "start")
    if new.start < new.isolation.opened:
        text = tell(
            "{isolation} opened on {opened}.",
            isolation=new.isolation,
            opened=written(new.isolation.opened),
        )
        raise ActRefused(text, "start")
    here = presences({new.animal_id: new.animal})[new.animal_id]
    if problem := here.problem(new.start):
        raise ActRefused(problem, "start")


def _isolation(new, today):
    _past(new.opened, today, "opened")


def _arrival(new, today):
    _past(new.day, today)
    try:
        refuse_due_back(new.kind, new.day, new.due_back)
    except ArrivalRefused as problem:
        raise ActRefused(str(problem), problem.field) from problem


def _paper(new, today):
    if new.day:
        _past(new.day, today)


def _clearance(new, today):
    raise ActRefused(tell("A clearance is not changed; withdraw it, or sign anew."))


def _past(day, today, field="day"):
    if day > today:
        raise ActRefused(
            tell("{day} is still to come; enter it once it happened.", day=written(day)), field
        )


# What may be corrected: the fields, and what refuses a correction that cannot be.
KINDS = {
    "quarantine.sample": (("day", "assay", "enclosure", "laboratory", "label", "note"), _sample),
    "quarantine.course": (("what", "assay", "start", "planned_last", "end"), _course),
    "quarantine.necropsy": (
        ("day", "cause", "accepted", "none_can_be_found", "veterinarian"),
        _necropsy,
    ),
    "quarantine.hold": (("reason", "start"), _hold),
    "quarantine.membership": (("start",), _membership),
    "quarantine.isolation": (("name", "kind", "version", "opened", "note"), _isolation),
    "quarantine.clearance": ((), _clearance),
    "registry.arrival": (
        ("day", "kind", "supplier", "country", "due_back", "route", "note"),
        _arrival,
    ),
    "registry.paper": (("kind", "number", "issuer", "day", "valid_until", "note"), _paper),
}
RIGHTS = {
    "quarantine.hold": "quarantine.hold_by_hand",
    "quarantine.membership": "quarantine.open_isolation",
    "quarantine.isolation": "quarantine.open_isolation",
    "quarantine.clearance": "quarantine.sign_clearance",
    "registry.arrival": "registry.register_arrival",
}

# What must be taken back before an entry can be, and what is taken back along with it.
RESTING = {"quarantine.isolation": ("clearances", "courses", "parts")}
ALONG = {"quarantine.isolation": ("members",), "quarantine.sample": ("results",)}


def right_to_correct(kind):
    """Return the right by which somebody may correct entries of a kind."""
    app, model = kind.split(".")
    return RIGHTS.get(kind, f"{app}.change_{model}")


@transaction.atomic
def amend(fact, changes, *, by, why, reason="", breach=None, at=None):
    """Enter a fact anew with changes, or raise what refuses it; return the new entry.

    Half of a move between premises takes the other along, through the rules; `reason` answers them.
    """
    moment = _begin(fact, by, why, at)
    new = copy(fact)
    for name, value in changes.items():
        setattr(new, name, value)
    KINDS[fact._meta.label_lower][1](new, timezone.localdate(moment))
    if "end" in changes and changes["end"] != fact.end:
        changes = changes | {"ended_at": moment, "ended_by": by}
    told = {"by": by, "why": why, "at": moment}
    if _is_half(fact):
        _refuse_in_batch(fact, before=changes.get("day", fact.day))
        how = {"reason": reason, "breach": breach}
        entered = _replaced(lambda: correct_transfer(fact, changes, **told, **how))
    else:
        entered = _replaced(lambda: fact.corrected(**told, **changes))
    _refuse_lives_apart(fact)
    return entered


@transaction.atomic
def take_back(fact, *, by, why, reason="", breach=None, at=None):
    """Enter that something never was; of a move between premises, both halves."""
    moment = _begin(fact, by, why, at)
    kind = fact._meta.label_lower
    for row in _pointing(fact, RESTING.get(kind, ())):
        raise ActRefused(tell("This rests on it: {row}. Take that back first.", row=row))
    for row in _pointing(fact, ALONG.get(kind, ())):
        row.withdrawn(by=by, why=why, at=moment)
    told = {"by": by, "why": why, "at": moment}
    if _is_half(fact):
        _refuse_in_batch(fact, before=None)
        how = {"reason": reason, "breach": breach}
        entered = _replaced(lambda: take_back_transfer(fact, **told, **how))
    else:
        entered = _replaced(lambda: fact.withdrawn(**told))
    _refuse_lives_apart(fact)
    return entered


def _is_half(fact):
    return isinstance(fact, Arrival) and is_half(fact)


def _refuse_in_batch(arrival, before):
    """Refuse to take an arrival from under a batch that its animals joined since, by a day."""
    rows = Membership.objects.current().filter(animal__in=arrival.animals.all())
    rows = rows.filter(start__gte=arrival.day)
    if before:
        rows = rows.filter(start__lt=before)
    for row in rows.select_related("animal", "isolation"):
        text = tell(
            "{animal} is in {isolation} since {start}",
            animal=row.animal,
            isolation=row.isolation,
            start=written(row.start),
        )
        raise ActRefused(
            tell("{text}; put that right first.", text=text), "day" if before else None
        )


def _pointing(fact, names):
    return [row for name in names for row in getattr(fact, name).current()]


def _refuse_lives_apart(fact):
    """Refuse what would leave an animal staying, or leaving, when it had not come."""
    if not isinstance(fact, Arrival):
        return
    here = presences({a.pk: a for a in fact.animals.all()})
    stays = Stay.objects.current().filter(animal__in=here).select_related("animal", "enclosure")
    for stay in stays:
        if problem := here[stay.animal_id].problem(stay.start):
            text = tell(
                "{animal} is entered in {enclosure} from {day}, "
                "and then would not be here: {problem}",
                animal=stay.animal,
                enclosure=stay.enclosure,
                day=written(stay.start),
                problem=problem,
            )
            raise ActRefused(text, "day")
    for presence in here.values():
        if problem := presence.contradiction():
            raise ActRefused(problem, "day")


def _begin(fact, by, why, at):
    if not why.strip():
        raise ActRefused(tell("Say why; the reason is kept with the correction."), "why")
    if fact._meta.label_lower == "quarantine.hold":
        refuse_hold(by)
    return at or timezone.now()


def _replaced(act):
    try:
        return act()
    except (AlreadyReplaced, NotOnThatDay) as problem:
        raise ActRefused(str(problem)) from problem
    except ArrivalRefused as problem:
        raise ActRefused(str(problem), problem.field) from problem
