"""Animals that are not found, and those that are out and back on one day."""

from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from .lifetime import NotOnThatDay, refuse_ahead, refuse_away
from .models import Animal, Missing, Outing
from .phrases import written
from .placement import Placement, place
from .register_lines import animal_found, animal_missed
from .telling import tell

COUNTS_AS_DEAD = timedelta(days=7)


class AlreadyMissing(Exception):
    """The animal is entered as not found, and not yet as found again."""

    def __init__(self, missing):
        super().__init__(
            tell(
                "{animal} is entered as not found since {day}.",
                animal=missing.animal,
                day=written(missing.day),
            )
        )


class ReasonWanted(Exception):
    """An outing says why it is no new arrival."""

    def __init__(self):
        super().__init__(
            tell("Say why this is no new arrival: it came back that day and met nobody.")
        )


def missing_now(animal):
    """Return the entry of an animal that is not found, or None."""
    return missed(animal).first()


def missed(animal):
    """Return the entries of an animal that is not found."""
    return animal.missing.current().filter(found_on__isnull=True)


@transaction.atomic
def miss(animal, day, by, at=None):
    """Enter that an animal was not found; after seven days it counts as dead until found."""
    moment = at or timezone.now()
    list(Animal.objects.select_for_update().filter(pk=animal.pk))
    refuse_ahead(day, moment)
    refuse_away(animal, day)
    if running := missing_now(animal):
        raise AlreadyMissing(running)
    missing = Missing.objects.create(animal=animal, day=day, entered_at=moment, entered_by=by)
    animal_missed(missing)
    return missing


@transaction.atomic
def find_again(missing, day, enclosure, by, at=None, reasons=None, breach=None):
    """Enter that an animal was found again, and where; elsewhere than on record it has moved."""
    moment = at or timezone.now()
    refuse_ahead(day, moment)
    if day < missing.day:
        raise NotOnThatDay(
            tell("It was not found on {day}; found is on or after it.", day=written(missing.day))
        )
    missing.found_on, missing.found_at, missing.found_in = day, moment, enclosure
    missing.save(update_fields=["found_on", "found_at", "found_in"])
    animal_found(missing, by)
    if move := move_of(missing.animal, day, enclosure):
        place(move, by=by, reasons=reasons, breach=breach, at=moment)
    return missing


def move_of(animal, day, enclosure):
    """Return the move by which an animal came where it was found; None where it was on record."""
    stays = animal.stays.current()
    if stays.touching(day).filter(enclosure=enclosure).exists():
        return None
    later = stays.filter(start__gt=day).order_by("start").first()
    until = later.start if later else None
    return Placement(day=day, enclosure=enclosure, animals=(animal,), until=until)


def go_out(animal, day, purpose, reason, by, at=None):
    """Enter that an animal was out and back on one day and met nobody, with the reason."""
    moment = at or timezone.now()
    if not reason.strip():
        raise ReasonWanted
    refuse_ahead(day, moment)
    refuse_away(animal, day)
    return Outing.objects.create(
        animal=animal, day=day, purpose=purpose, reason=reason, entered_at=moment, entered_by=by
    )
