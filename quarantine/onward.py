"""Who can have met some animals, or come after them, from a day on; followed forward in time."""

from datetime import timedelta
from itertools import batched

from registry.models import Animal, Clutch, Stay, ThingsMoved

from .reach import AT_ONCE


class Onward:
    """Animals and clutches with the first day on which something can have reached each."""

    def __init__(self, until):
        self.until = until
        self.first = {}
        self._fresh = set()

    def note(self, kind, key, day):
        """Note that somebody, or an enclosure, can have been reached on a day."""
        if day <= self.until and day < self.first.get((kind, key), self.until + timedelta(days=1)):
            self.first[kind, key] = day
            self._fresh.add((kind, key))

    def follow(self):
        """Follow stays, births and moved things forward until nobody is reached any earlier."""
        while self._fresh:
            fresh, self._fresh = self._fresh, set()
            self._follow_whos({k for kind, k in fresh if kind is Animal}, "animal", Animal)
            self._follow_whos({k for kind, k in fresh if kind is Clutch}, "clutch", Clutch)
            self._follow_enclosures({k for kind, k in fresh if kind == "enclosure"})
            self._follow_births({k for kind, k in fresh if kind is Clutch})
        return self

    def animals(self):
        """Return the animals that can have been reached, with clutches left out."""
        keys = [key for kind, key in self.first if kind is Animal]
        return [
            a
            for some in batched(keys, AT_ONCE, strict=False)
            for a in Animal.objects.filter(pk__in=some)
        ]

    def _follow_whos(self, keys, name, kind):
        for some in batched(keys, AT_ONCE, strict=False):
            for stay in self._stays(**{f"{name}__in": some}):
                day = self.first[kind, getattr(stay, f"{name}_id")]
                if stay.end is None or stay.end > day or stay.start == stay.end:
                    self.note("enclosure", stay.enclosure_id, max(stay.start, day))

    def _stays(self, **where):
        return Stay.objects.current().filter(start__lte=self.until, **where)

    def _follow_enclosures(self, keys):
        for some in batched(keys, AT_ONCE, strict=False):
            for stay in self._stays(enclosure__in=some):
                day = self.first["enclosure", stay.enclosure_id]
                if stay.end is None or stay.end > day or stay.start == stay.end == day:
                    self._reach(stay, max(stay.start, day))
            for moved in ThingsMoved.objects.current().filter(source__in=some):
                if moved.day >= self.first["enclosure", moved.source_id]:
                    self.note("enclosure", moved.target_id, moved.day)

    def _reach(self, stay, day):
        if stay.animal_id:
            self.note(Animal, stay.animal_id, day)
        else:
            self.note(Clutch, stay.clutch_id, day)

    def _follow_births(self, keys):
        for some in batched(keys, AT_ONCE, strict=False):
            for young in Animal.objects.filter(clutch__in=some, separated_on__isnull=False):
                day = self.first[Clutch, young.clutch_id]
                self.note(Animal, young.pk, max(day, young.separated_on))


def onward(animals, since, until, enclosures=()):
    """Return everyone whom something can have reached from these animals or enclosures."""
    found = Onward(until)
    for animal in animals:
        found.note(Animal, animal.pk, since)
    for enclosure in enclosures:
        found.note("enclosure", enclosure.pk, since)
    return found.follow().animals()
