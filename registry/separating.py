"""The door by which young leave their clutch as animals, singly or in bulk."""

import re
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils import timezone

from .conception import certain_laying_of
from .laying import remaining
from .lifetime import NotOnThatDay, refuse_ahead
from .models import Animal, Clutch, Enclosure, Locality
from .phrases import in_a_row, written
from .placement import Placement, place

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
    refuse_ahead(separation.day, moment)
    list(Clutch.objects.select_for_update().filter(pk=separation.clutch.pk))
    _refuse_days(separation)
    _refuse_codes(separation)
    _refuse_count(separation)
    animals = tuple(_animal(separation, code) for code in separation.codes)
    placement = Placement(day=separation.day, enclosure=separation.enclosure, animals=animals)
    place(placement, by=by, reasons=reasons, breach=breach, at=moment)
    return animals


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
    """Young leave a clutch after it was found, and are not born before it was laid."""
    clutch, born = separation.clutch, separation.born
    if separation.day < clutch.found_on:
        raise NotOnThatDay(f"{clutch} was found on {written(clutch.found_on)}.")
    probe = Animal(born=born, born_precision=separation.born_precision)
    if probe.earliest_birth and probe.earliest_birth > separation.day:
        raise NotOnThatDay(f"Young taken out on {written(separation.day)} were born by then.")
    first = certain_laying_of(clutch).first
    if first and probe.latest_birth and probe.latest_birth < first:
        raise NotOnThatDay(f"{clutch} was laid on {written(first)} or later.")


def _refuse_codes(separation):
    codes = separation.codes
    if not codes or len(codes) > MOST_AT_ONCE:
        raise SeparationRefused(f"Take out from 1 to {MOST_AT_ONCE} at once.")
    if twice := sorted({c for c in codes if codes.count(c) > 1}):
        raise SeparationRefused(f"Given twice: {in_a_row(twice)}.")
    if taken := Animal.objects.filter(code__in=codes).order_by("code"):
        raise SeparationRefused(f"In use already: {in_a_row(taken)}.")


def _refuse_count(separation):
    """No more leave a clutch than are in it."""
    rest = remaining(separation.clutch)
    if rest is not None and len(separation.codes) > rest:
        raise SeparationRefused(
            f"At most {rest} are left in {separation.clutch} by the counts on record; "
            f"correct the counts if there are more."
        )


def codes_from(pattern, count, taken=()):
    """Return codes by a pattern: each run of # is a number, as wide as the run, from 1 on.

    >>> codes_from("K7-##", 3, taken={"K7-01"})
    ['K7-02', 'K7-03', 'K7-04']
    >>> codes_from("K7-x", 1)
    ['K7-x']
    """
    if "#" not in pattern and count == 1 and pattern not in taken:
        return [pattern]
    if "#" not in pattern:
        pattern = f"{pattern}-#"
    codes, number = [], 1
    while len(codes) < count:
        code = re.sub("#+", lambda run, n=number: f"{n:0{len(run.group())}d}", pattern, count=1)
        number += 1
        if code not in taken:
            codes.append(code)
    return codes


def codes_taken(pattern):
    """Return the codes in use that a pattern could give."""
    stem = pattern.partition("#")[0]
    return set(Animal.objects.filter(code__startswith=stem).values_list("code", flat=True))
