"""Corrections of dated entries: a new one in the place of the old, held to what held the old."""

from copy import copy

from django.db import transaction
from django.utils import timezone

from .finding import refuse_finding
from .laying import refuse_count, refuse_loss
from .lifetime import refuse_ahead, refuse_unborn
from .mixing import refuse_clutch_of, refuse_part
from .observing import refuse_sight
from .one_of_these import refuse_correction, refuse_withdrawal
from .owning import refuse_owner
from .telling import tell


class WhyMissing(Exception):
    """A correction says why."""

    def __init__(self):
        super().__init__(tell("Say why; the reason is kept with the correction."))


def _finding(new, old, moment):
    refuse_finding(new.animal, new.sex, new.basis, new.day, moment)


def _observation(new, old, moment):
    refuse_sight(new.animal, new.start, moment)


def _mark(new, old, moment):
    refuse_ahead(new.day, moment)
    refuse_unborn(new.animal, new.day)


def _count(new, old, moment):
    refuse_count(new.clutch, new.stage, new.day, new.count, moment, instead_of=old)


def _loss(new, old, moment):
    refuse_loss(new.clutch, new.count, new.day, moment, instead_of=old)


def _part(new, old, moment):
    refuse_part(new, old, moment)


def _of_clutch(new, old, moment):
    refuse_ahead(new.day, moment)
    refuse_clutch_of(new.animal, new.clutch, new.day)


def _done(new, old, moment):
    refuse_ahead(new.day, moment)


# What may be corrected on its own: the fields, and what refuses a correction that cannot be.
KINDS = {
    "registry.sexfinding": (("sex", "basis", "day", "note"), _finding),
    "registry.observation": (("kind", "start", "grams", "text"), _observation),
    "registry.mark": (("kind", "value", "day"), _mark),
    "registry.stagecount": (("stage", "day", "count"), _count),
    "registry.loss": (("count", "reason", "left", "day"), _loss),
    "registry.clutchpart": (("weight",), _part),
    "registry.ofclutch": (("clutch", "basis", "day", "note"), _of_clutch),
    "registry.disinfection": (("day", "agent"), _done),
    "registry.thingsmoved": (("source", "target", "what", "day"), _done),
    "registry.oneofthese": (("day", "receiver", "cause", "note"), refuse_correction),
    "registry.ownerchange": (("day", "kind", "owner", "note"), refuse_owner),
}
# What refuses that something never was.
KEPT = {"registry.oneofthese": refuse_withdrawal}
# What is corrected through a door of its own.
DOORS = {"registry.stay", "registry.departure", "registry.descent"}


RIGHTS = {
    "registry.stay": "registry.place_animal",
    "registry.clutchpart": "registry.mix_clutches",
    "registry.departure": "registry.register_departure",
    "registry.arrival": "registry.register_arrival",
    "registry.oneofthese": "registry.register_departure",
    "registry.ownerchange": "registry.register_departure",
    "quarantine.hold": "quarantine.hold_by_hand",
    "quarantine.membership": "quarantine.open_isolation",
}


def right_to_correct(kind):
    """Return the right that a correction of a kind of entry needs."""
    app, _, model = kind.partition(".")
    return RIGHTS.get(kind, f"{app}.change_{model}")


def can_be_corrected(fact):
    """Return whether the register has a page on which this entry is corrected."""
    kind = fact._meta.label_lower
    return (kind in KINDS or kind in DOORS) and not fact.void and fact.superseded_at is None


@transaction.atomic
def correct(fact, changes, *, by, why, at=None):
    """Enter a fact anew with changes, or raise what refuses it; return the new entry."""
    if not why.strip():
        raise WhyMissing
    moment = at or timezone.now()
    new = copy(fact)
    for name, value in changes.items():
        setattr(new, name, value)
    new.clean_fields(exclude=["replaces"])
    KINDS[fact._meta.label_lower][1](new, fact, moment)
    return fact.corrected(by=by, why=why, at=moment, **changes)


def withdraw(fact, *, by, why, at=None):
    """Enter that something never was."""
    if not why.strip():
        raise WhyMissing
    if refuse := KEPT.get(fact._meta.label_lower):
        refuse(fact)
    return fact.withdrawn(by=by, why=why, at=at)
