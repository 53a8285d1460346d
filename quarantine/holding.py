"""Holding by hand: an animal, an enclosure or a unit is held because somebody says so, and why."""

from django.db import transaction
from django.utils import timezone

from registry.lifetime import NotOnThatDay, refuse_away
from registry.models import Animal, Enclosure
from registry.phrases import written
from registry.telling import tell

from .models import Hold
from .refusals import ActRefused, NoRight

RIGHT = "quarantine.hold_by_hand"


@transaction.atomic
def hold(thing, reason, day, *, by, at=None):
    """Hold an animal, or everyone in an enclosure or unit, from a day on."""
    moment = at or timezone.now()
    _refuse(thing, reason, day, by, timezone.localdate(moment))
    return Hold.objects.create(
        **{kind_of(thing): thing},
        reason=reason.strip(),
        start=day,
        entered_at=moment,
        entered_by=by,
    )


def kind_of(thing):
    """Return which field of a hold names this thing."""
    if isinstance(thing, Animal):
        return "animal"
    return "enclosure" if isinstance(thing, Enclosure) else "unit"


def _refuse(thing, reason, day, by, today):
    refuse_without_right(by)
    if not reason.strip():
        raise ActRefused(tell("Write why it is held."), "reason")
    if day > today:
        raise ActRefused(tell("{day} is still to come.", day=written(day)), "day")
    if isinstance(thing, Animal):
        try:
            refuse_away(thing, day)
        except NotOnThatDay as problem:
            raise ActRefused(str(problem), "day") from problem


def refuse_without_right(by):
    """Refuse somebody who may not hold by hand."""
    if not by.has_perm(RIGHT):
        raise NoRight(tell("{by} may not hold by hand; ask somebody with that right.", by=by))


@transaction.atomic
def end_hold(held, day, *, by, at=None):
    """Lift a hold: it takes nobody more in; those it holds wait for a clearance."""
    moment = at or timezone.now()
    refuse_without_right(by)
    held = Hold.objects.select_for_update().get(pk=held.pk)
    if held.end is not None or held.superseded_at or held.void:
        raise ActRefused(tell("This hold has ended or was corrected meanwhile."))
    if not held.start <= day <= timezone.localdate(moment):
        text = tell(
            "It began on {start}; it ends on that day or later, not ahead.",
            start=written(held.start),
        )
        raise ActRefused(text, "day")
    held.end, held.ended_at, held.ended_by = day, moment, by
    held.save(update_fields=["end", "ended_at", "ended_by"])
    return held
