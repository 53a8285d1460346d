"""Possible parents of a clutch from who was in its enclosure when it may have been begun."""

from dataclasses import dataclass
from datetime import timedelta

from django.db.models import F, Q

from .conception import Window, expected, laying_of
from .herd import Herd
from .models import Animal, Clutch, Departure, Enclosure, Role, Stay
from .phrases import in_a_row, written
from .telling import tell


@dataclass(frozen=True, kw_only=True)
class Housing:
    """Who was in an enclosure in the window of conception, and may be sire or dam."""

    enclosure: Enclosure
    window: Window
    sires: tuple[Animal, ...]
    dams: tuple[Animal, ...]

    @property
    def either(self):
        """Those who could be either parent: no strong sex rules one out."""
        return tuple(a for a in self.sires if a in self.dams)

    def seen(self, *, sire=None, dam=None):
        """Return the same with one parent known; the other is somebody else."""
        return Housing(
            enclosure=self.enclosure,
            window=self.window,
            sires=(sire,) if sire else tuple(a for a in self.sires if a != dam),
            dams=(dam,) if dam else tuple(a for a in self.dams if a != sire),
        )

    def statements(self):
        """Return `(role, candidates)` for each parent that can be proposed, equal weights."""
        if self.either:
            pairs = [(s, d) for s in self.sires for d in self.dams if s != d]
            return [(Role.PAIR, [(*two, 1 / len(pairs)) for two in pairs])] if pairs else []
        sides = ((Role.SIRE, self.sires), (Role.DAM, self.dams))
        return [(role, [(a, 1 / len(of)) for a in of]) for role, of in sides if of]

    def words(self):
        """Say the window and who was there, as it is kept with the statement."""
        there = sorted({*self.sires, *self.dams}, key=str)
        told = {"enclosure": self.enclosure, "there": in_a_row(there)}
        told |= {"first": written(self.window.first), "last": written(self.window.last)}
        if not there:
            return tell("Nobody on record was in {enclosure} between {first} and {last}.", **told)
        return tell("Begun between {first} and {last}; in {enclosure} then: {there}.", **told)


def housing_of(clutch: Clutch):
    """Return who may be the parents of a clutch, from the enclosure it was found in."""
    window = laying_of(clutch) if clutch.earliest_laying else None
    return housing(
        clutch.enclosure,
        clutch.taxon,
        window or expected(clutch.taxon, clutch.found_on, clutch.found_as, clutch.began_seen),
    )


def housing(enclosure, taxon, laying):
    """Return who may be the parents of what was laid in an enclosure in a window of days."""
    stored = timedelta(days=taxon.stored_sperm_days)
    window = Window(first=laying.first - stored, last=laying.last)
    there = [a for a in _there(enclosure, window) if _may_breed(a, taxon, window)]
    herd = Herd(there)
    return Housing(
        enclosure=enclosure,
        window=window,
        sires=tuple(a for a in there if not _surely(herd, a, "female")),
        dams=tuple(a for a in there if not _surely(herd, a, "male")),
    )


def _there(enclosure, window):
    """Return the animals that stayed in an enclosure on any day of a window, and lived then."""
    stays = Stay.objects.current().filter(enclosure=enclosure, start__lte=window.last)
    then = Q(end__isnull=True) | Q(end__gt=window.first) | Q(end=window.first, start=F("end"))
    stays = stays.filter(then, animal__isnull=False)
    dead = Departure.objects.current().filter(kind="death", day__lt=window.first)
    rows = Animal.objects.filter(pk__in=stays.order_by().values("animal")).order_by("code")
    rows = rows.exclude(pk__in=dead.values("animal"))
    return list(rows.select_related("taxon", "locality"))


def _may_breed(animal, taxon, window):
    same = animal.taxon_id == taxon.pk or animal.taxon.could_cross_with(taxon)
    return same and animal.is_adult(window.last)


def _surely(herd, animal, sex):
    sexing = herd.sexing(animal)
    return sexing.strong and sexing.sex == sex
