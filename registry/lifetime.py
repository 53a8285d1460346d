"""What can be seen of an animal on a day: not before it was born, not after it died, not ahead."""

from datetime import timedelta

from django.utils import timezone

from .models import Departure
from .phrases import dated, written
from .presence import presences
from .telling import tell


class NotOnThatDay(Exception):
    """An entry is about a day on which it cannot have happened; nothing was changed."""


def refuse_ahead(day, moment):
    """Refuse an entry about a day that is still to come at the moment of entry."""
    if day > timezone.localdate(moment):
        raise NotOnThatDay(
            tell("{day} is still to come; enter it once it happened.", day=written(day))
        )


def refuse_unborn(animal, day):
    """Refuse an entry about a day on which the animal was certainly not born."""
    first = animal.earliest_birth
    if first and day < first:
        born = dated(animal.born, animal.born_precision)
        raise NotOnThatDay(
            tell(
                "{animal} was not born on {day}; it was born {born}.",
                animal=animal,
                day=written(day),
                born=born,
            )
        )


def refuse_dead(animal, day):
    """Refuse an entry about a day after the animal died; the day of the death is allowed."""
    death = death_of(animal)
    if death and day > death.day:
        raise NotOnThatDay(tell("{animal} died on {day}.", animal=animal, day=written(death.day)))


def refuse_away(animal, day):
    """Refuse what can only be seen here on a day the animal was not; its last day is allowed."""
    refuse_dead(animal, day)
    presence = presences({animal.pk: animal})[animal.pk]
    problem = presence.problem(day)
    if problem and presence.problem(day - timedelta(days=1)):
        raise NotOnThatDay(problem)


def death_of(animal):
    """Return the recorded death of an animal, or None."""
    return Departure.objects.current().filter(animal=animal, kind="death").first()
