"""Photographs of several animals beside each other, to tell look-alikes apart."""

from dataclasses import dataclass

from .models import Animal, Mark

MOST_ANIMALS = 24
MOST_EACH = 12


@dataclass(frozen=True, kw_only=True)
class Pictured:
    """One animal and its photographs, the newest first; `more` are left to its own page."""

    animal: Animal
    photos: tuple[Mark, ...]
    more: int

    @property
    def is_bare(self):
        """Whether it was never photographed."""
        return not self.photos


def side_by_side(animals):
    """Return animals in the order asked, each with its photographs, with one query for all."""
    animals = list(animals)
    found = {a.pk: [] for a in animals}
    rows = Mark.objects.current().filter(animal__in=found).exclude(photo="")
    for mark in rows.order_by("-day", "-pk"):
        found[mark.animal_id].append(mark)
    return [
        Pictured(
            animal=one,
            photos=tuple(found[one.pk][:MOST_EACH]),
            more=max(0, len(found[one.pk]) - MOST_EACH),
        )
        for one in animals
    ]
