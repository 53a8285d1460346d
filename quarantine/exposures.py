"""Held animals in no isolation: newcomers that wait for one, and those that were exposed."""

from dataclasses import dataclass
from datetime import date

from registry import shelf
from registry.models import Animal

from .held import CLEARED, Standing, standings
from .wards import kinds_waiting


@dataclass(frozen=True, kw_only=True)
class Exposed:
    """An animal held because it met a held one, with the day and the reason."""

    animal: Animal
    standing: Standing


def here_outside(on):
    """Return the animals in care on a day that wait in no isolation."""
    inside = kinds_waiting(on)
    return [a for a in Animal.objects.here(on).select_related("taxon") if a.pk not in inside]


def unopened(on):
    """Return (animal, standing) of those held on a day for whom no isolation was opened."""
    return shelf.kept(("unopened", on), lambda: _unopened(on))


def _unopened(on):
    animals = here_outside(on)
    now = standings(animals, on)
    found = [(a, now[a.pk]) for a in animals if a.pk in now]
    return [(a, s) for a, s in found if s.state != CLEARED and s.batch is None]


def exposed(on):
    """Return those held on a day because they met a held animal, in no isolation yet."""
    return [Exposed(animal=a, standing=s) for a, s in unopened(on) if s.met]


def last_exposure(rows):
    """Return the day from which days may count for all of these: of the last to be exposed."""
    return max((row.standing.since for row in rows), default=date.min)
