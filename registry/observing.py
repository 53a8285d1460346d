"""The door by which what is seen of an animal from day to day is entered."""

from django.utils import timezone

from .lifetime import NotOnThatDay, refuse_ahead, refuse_away, refuse_unborn
from .models import Observation, ObservationKind
from .phrases import written
from .telling import tell


def observe(animal, kind, day, by, grams=None, text="", at=None):
    """Enter that an animal was weighed, ate, refused food, showed a sign, or anything of note."""
    moment = at or timezone.now()
    refuse_sight(animal, day, moment)
    return Observation.objects.create(
        animal=animal,
        kind=kind,
        start=day,
        grams=grams,
        text=text,
        entered_at=moment,
        entered_by=by,
    )


def refuse_sight(animal, day, moment):
    """Refuse what nobody can have seen of an animal on that day."""
    refuse_ahead(day, moment)
    refuse_unborn(animal, day)
    refuse_away(animal, day)


def sign_gone(sign, day, by, at=None):
    """Enter that an open sign of illness was gone on a day; return the sign."""
    moment = at or timezone.now()
    refuse_ahead(day, moment)
    if day < sign.start:
        raise NotOnThatDay(tell("The sign was first seen on {start}.", start=written(sign.start)))
    sign.end, sign.ended_at, sign.ended_by = day, moment, by
    sign.save(update_fields=["end", "ended_at", "ended_by"])
    return sign


def open_signs(animal):
    """Return the signs of illness of an animal that are not recorded gone."""
    rows = animal.observations.current()
    return rows.filter(kind=ObservationKind.SIGN, end__isnull=True)
