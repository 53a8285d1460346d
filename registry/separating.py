"""The door by which young leave their clutch as animals, singly or in bulk."""

from dataclasses import dataclass
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from .codes import CodesTaken, codes_in_use, refuse_repeats
from .company import gathered
from .conception import certain_laying_of
from .headcount import remaining
from .laying import refuse_mixed
from .lifetime import NotOnThatDay, refuse_ahead
from .models import Animal, Clutch, Enclosure, Locality
from .models.dates import earliest, latest
from .phrases import written
from .placement import Placement, objections, place
from .register_births import young_taken_out
from .telling import tell
from .trying import undone

MOST_AT_ONCE = 500


class SeparationRefused(Exception):
    """Young that cannot be taken out so: codes in use, too many, or born too early."""


@dataclass(frozen=True, kw_only=True)
class Separation:
    """A proposal: young of a clutch become animals on a day, under these codes."""

    clutch: Clutch
    day: date
    codes: tuple[str, ...]
    enclosure: Enclosure
    source_code: str = "F"
    locality: Locality | None = None
    born: date | None = None
    born_precision: str = "day"


@transaction.atomic
def take_out(separation, *, by, reasons=None, breach=None, at=None):
    """Make animals of young and place them, all of them or none; return the animals."""
    moment = at or timezone.now()
    placement = _placement(separation, moment)
    place(placement, by=by, reasons=reasons, breach=breach, at=moment)
    young_taken_out(separation, placement.animals, by=by, at=moment)
    return placement.animals


def proposed(separation, at=None):
    """Return what taking young out would meet, and who would be together; nothing is kept."""

    def looked():
        placement = _placement(separation, at or timezone.now())
        return objections(placement), gathered(placement)

    return undone(looked)


def _placement(separation, moment):
    """Make animals of the young, and return the move by which they leave the clutch."""
    refuse_ahead(separation.day, moment)
    list(Clutch.objects.select_for_update().filter(pk=separation.clutch.pk))
    _refuse_days(separation)
    _refuse_codes(separation)
    _refuse_count(separation)
    animals = tuple(_animal(separation, code) for code in separation.codes)
    return Placement(day=separation.day, enclosure=separation.enclosure, animals=animals)


def _animal(separation, code):
    animal = Animal(
        code=code,
        taxon=separation.clutch.taxon,
        locality=separation.locality,
        source_code=separation.source_code,
        born=separation.born,
        born_precision=separation.born_precision,
        clutch=separation.clutch,
        separated_on=separation.day,
    )
    animal.save()
    return animal


def _refuse_days(separation):
    """Young leave a clutch after it was found."""
    if separation.day < separation.clutch.found_on:
        raise NotOnThatDay(
            tell(
                "{clutch} was found on {found_on}.",
                clutch=separation.clutch,
                found_on=written(separation.clutch.found_on),
            )
        )
    refuse_mixed(separation.clutch, separation.day)
    refuse_birth(separation.clutch, separation.day, separation.born, separation.born_precision)


def refuse_birth(clutch, separated_on, born, precision):
    """Refuse a birth before the clutch was laid, or after the young left it."""
    first_born, last_born = earliest(born, precision), latest(born, precision)
    if first_born and first_born > separated_on:
        raise NotOnThatDay(
            tell(
                "Young taken out on {separated_on} were born by then.",
                separated_on=written(separated_on),
            )
        )
    first = certain_laying_of(clutch).first
    if first and last_born and last_born < first:
        raise NotOnThatDay(
            tell("{clutch} was laid on {first} or later.", clutch=clutch, first=written(first))
        )


def _refuse_codes(separation):
    codes = separation.codes
    if not codes or len(codes) > MOST_AT_ONCE:
        raise SeparationRefused(
            tell("Take out from 1 to {MOST_AT_ONCE} at once.", MOST_AT_ONCE=MOST_AT_ONCE)
        )
    try:
        refuse_repeats(codes)
    except ValidationError as error:
        raise SeparationRefused(" ".join(error.messages)) from error
    if taken := codes_in_use(codes):
        raise CodesTaken(taken)


def _refuse_count(separation):
    """No more leave a clutch than are in it."""
    rest = remaining(separation.clutch)
    if rest is not None and len(separation.codes) > rest:
        raise SeparationRefused(
            tell(
                "At most {rest} are left in {clutch} by the counts on record; "
                "correct the counts if there are more.",
                rest=rest,
                clutch=separation.clutch,
            )
        )
