"""Animals as a list shows them: sex and how sure, standing, and where each is on a day."""

from dataclasses import dataclass
from itertools import batched

from django.db.models import Q

from .herd import sexings_of
from .models import Animal, Clutch, Sexing, Stay
from .phrases import dated
from .standing import standings

AT_ONCE = 500
HEADS = (
    "code",
    "name",
    "taxon",
    "locality",
    "origin",
    "sex",
    "born",
    "standing",
    "enclosure",
    "unit",
    "clutch",
    "note",
)


@dataclass(frozen=True, kw_only=True)
class Row:
    """One animal of a list, with what is known of it on the day."""

    animal: Animal
    sexing: Sexing
    standing: object
    stay: Stay | None

    @property
    def born(self):
        """The birth as exactly as it is known."""
        one = self.animal
        return dated(one.born, one.born_precision) if one.born else ""

    def cells(self):
        """Return the row as it is exported."""
        one, stay = self.animal, self.stay
        return (
            one.code,
            one.name,
            one.taxon.name,
            one.locality.name if one.locality else "",
            one.source_code,
            self.sexing.words(),
            self.born,
            self.standing.sentence if self.standing else "not here",
            stay.enclosure.code if stay else "",
            stay.enclosure.unit.name if stay else "",
            one.clutch.code if one.clutch_id else "",
            one.note,
        )


def rows(animals, on):
    """Return a row for each of some animals, with a few queries for all."""
    animals = list(animals)
    keys = [a.pk for a in animals]
    sexings, told, there = sexings_of(keys), standings(animals, on), stays_of(animals, on)
    return [
        Row(
            animal=a,
            sexing=sexings.get(a.pk, Sexing()),
            standing=told.get(a.pk),
            stay=there.get(a.pk),
        )
        for a in animals
    ]


def all_rows(animals, on):
    """Yield a row for each of any number of animals, some hundreds at once."""
    for some in batched(animals, AT_ONCE, strict=False):
        yield from rows(some, on)


def stays_of(animals, on):
    """Return where each animal stays on a day, by key."""
    stays = Stay.objects.current().running(on).filter(animal__in=[a.pk for a in animals])
    return {s.animal_id: s for s in stays.select_related("enclosure__unit__holding")}


def notation(sexings):
    """Return animals as males.females.unsexed.

    >>> notation([Sexing(sex="male"), Sexing(), Sexing()])
    '1.0.2'
    """
    counts = [0, 0, 0]
    for sexing in sexings:
        counts[sexing.column] += 1
    return ".".join(map(str, counts))


def clutches_in(enclosure, on) -> list[Clutch]:
    """Return the clutches that stand in an enclosure on a day."""
    stays = Stay.objects.current().running(on).filter(enclosure=enclosure, clutch__isnull=False)
    return [s.clutch for s in stays.select_related("clutch__taxon")]


def clutches_of(enclosure, on) -> list[Clutch]:
    """Return the clutches that stand in an enclosure on a day, or were laid there and stand yet."""
    stays = Stay.objects.current().running(on).filter(clutch__isnull=False)
    mine = Q(enclosure=enclosure) | Q(clutch__enclosure=enclosure)
    rows = stays.filter(mine).select_related("clutch__taxon").order_by("-clutch__found_on")
    return [s.clutch for s in rows]
