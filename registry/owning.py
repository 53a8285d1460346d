"""The door by which an animal on loan passes to another owner, and stays where it is."""

from django.db import transaction
from django.utils import timezone

from .lending import keepings
from .lifetime import refuse_ahead
from .models import OwnerChange
from .phrases import written
from .presence import presences
from .telling import tell


class OwnerRefused(Exception):
    """An animal cannot have passed to that owner on that day."""


@transaction.atomic
def pass_on(animal, day, kind, owner, *, by, note="", at=None):
    """Enter that an animal on loan was sold, given or exchanged where it is; return the entry."""
    moment = at or timezone.now()
    type(animal).objects.select_for_update().get(pk=animal.pk)
    new = OwnerChange(
        animal=animal, day=day, kind=kind, owner=owner, note=note, entered_at=moment, entered_by=by
    )
    new.clean_fields(exclude=["replaces"])
    refuse_owner(new, None, moment)
    new.save()
    return new


def refuse_owner(new, old, moment):
    """Refuse a change of owner of one that was not on loan, or came or left again since."""
    refuse_ahead(new.day, moment)
    keeping = keepings([new.animal], new.day, without={old})[new.animal_id]
    told = {"animal": new.animal, "day": written(new.day)}
    if not keeping.loans:
        text = tell("{animal} was not on loan on {day}; enter how it left or came instead.", **told)
        raise OwnerRefused(text)
    if keeping.owner == new.owner:
        raise OwnerRefused(tell("{animal} belonged to {owner} already.", owner=new.owner, **told))
    presence = presences({new.animal_id: new.animal})[new.animal_id]
    later = [*presence.comings, *(day for day, _ in presence.goings)]
    if later := [day for day in later if day > new.day]:
        text = tell(
            "{animal} came or left again on {later}; its owner is as those entries say.",
            later=written(min(later)),
            **told,
        )
        raise OwnerRefused(text)
