"""Whom an animal may be paired with: every candidate with its reasons, the best first."""

from dataclasses import dataclass
from functools import cached_property

from .herd import Herd
from .models import Animal, Sexing, Stay
from .pairing import Match, objections
from .phrases import figure, kin_words, share
from .rules import may_breed
from .standing import standings
from .telling import tell


@dataclass(frozen=True, kw_only=True)
class Mate:
    """One candidate, with what speaks for and against it."""

    animal: Animal
    sexing: Sexing
    expected: float
    worst: float
    traced: float
    mean_kinship: float
    objections: tuple
    standing: object
    enclosure: object

    @cached_property
    def stops(self):
        """Whether some rule stops the pair."""
        return any(o.is_stop for o in self.objections)

    @cached_property
    def asks(self):
        """How many objections want a written reason."""
        return sum(o.is_ask for o in self.objections)

    @property
    def rank(self):
        """No stop, then few asks, F at worst, F expected, mean kinship of the two."""
        return (
            self.stops,
            self.asks,
            round(self.worst, 12),
            round(self.expected, 12),
            round(self.mean_kinship, 12),
            self.animal.code,
        )

    @property
    def is_unrelated(self):
        """Whether they are unrelated for certain, not only for want of records."""
        return self.expected == 0 and self.worst == 0 and self.traced >= 1

    def kinship_words(self):
        """Say how close the two are, and never more than the register knows."""
        return relation_words(self.expected, self.worst, self.traced)


def relation_words(expected, worst, traced):
    """Say a relation in words; without a figure above 0 it says how much is traced.

    >>> relation_words(0, 0, 1)
    'unrelated'
    >>> relation_words(0, 0, 0.62)
    'no relation on record, 62 % traced'
    """
    words = kin_words(expected)
    if expected == 0 and worst == 0 and traced >= 1:
        return tell("unrelated")
    if worst and not expected:
        words = tell("{kin} at worst", kin=kin_words(worst))
    return words if traced >= 1 else tell("{kin}, {share} traced", kin=words, share=share(traced))


def worst_words(worst):
    """Print the at-worst figure, as a bound where it is one."""
    if getattr(worst, "is_bound", False):
        return tell("at most {figure}", figure=figure(worst))
    return figure(worst)


def candidates_for(animal, on):
    """Return the animals of its taxon that are here on a day, itself left out."""
    rows = Animal.objects.here(on).filter(taxon=animal.taxon).exclude(pk=animal.pk)
    return rows.select_related("taxon", "locality", "source_group")


def mates(animal, candidates, on):
    """Return a `Mate` for each candidate that may be of the other sex and mature, best first."""
    candidates = [c for c in candidates if c.is_adult(on)]
    collection = list(collection_of(animal, on))
    herd = Herd([animal, *candidates, *collection])
    own = herd.sexing(animal)
    fitting = [c for c in candidates if may_breed(own, herd.sexing(c))]
    return sorted(_judged(animal, fitting, collection, herd, on), key=lambda m: m.rank)


def collection_of(animal, on):
    """Return the living animals of the taxon and locality of an animal, on a day."""
    rows = Animal.objects.here(on).filter(taxon=animal.taxon, locality=animal.locality)
    return rows.select_related("taxon", "locality", "source_group")


def _judged(animal, fitting, collection, herd, on):
    means = _mean_kinships([animal, *fitting], collection, herd)
    places, standing = enclosures_of(fitting, on), standings(fitting, on)
    for one in fitting:
        expected, worst = herd.kinship(animal, one)
        match = Match(day=on, first=animal, second=one, herd_given=herd)
        yield Mate(
            animal=one,
            sexing=herd.sexing(one),
            expected=expected,
            worst=worst,
            traced=min(herd.lineage.traced(animal.pk), herd.lineage.traced(one.pk)),
            mean_kinship=(means[animal.pk] + means[one.pk]) / 2,
            objections=tuple(objections(match)),
            standing=standing.get(one.pk),
            enclosure=places.get(one.pk),
        )


def _mean_kinships(animals, collection, herd):
    """Return the mean kinship of each to the living of its collection, itself included."""
    keys = [a.pk for a in animals]
    others = [a.pk for a in collection] or keys
    table = herd.lineage.kinship_table(keys, others)
    return dict(zip(keys, table.mean(axis=1).tolist(), strict=True))


def enclosures_of(animals, on):
    """Return the enclosure each animal is in on a day."""
    stays = Stay.objects.current().running(on).filter(animal__in=[a.pk for a in animals])
    return {s.animal_id: s.enclosure for s in stays.select_related("enclosure__unit")}
