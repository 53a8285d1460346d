"""Everyone whose contacts can bear on some animals, each back to its last clearance before.

What an animal is on a day follows from whom it met since it was last cleared, and what those were
then. So the register is followed backwards only, and never fetched as a whole.
"""

from datetime import date, timedelta
from functools import reduce
from itertools import batched
from operator import or_

from django.db.models import Q

from registry.models import Animal, Candidate, Clutch, ClutchPart, Enclosure, ThingsMoved
from registry.models.facts import end_of
from registry.together import again, fetch

from .ledger_questions import EVERYONE, QUESTIONS, STAYS
from .models import Clearance

AT_ONCE = 900  # keys per query, below SQLite's limit on parameters
DAY = timedelta(days=1)


class Reach:
    """Animals, clutches and enclosures with the days on which each one matters."""

    def __init__(self, on, back):
        self.on, self.back = on, timedelta(days=back)
        self.days = {Animal: {}, Clutch: {}, "enclosures": {}}
        self.animals, self.clutches, self.stays, self.transfers = {}, {}, {}, {}
        self._cleared = {}
        self._fresh = {Animal: set(), Clutch: set(), "enclosures": set()}

    def near(self, name, **keys):
        """Return the rows that answer a question and name any of these keys."""
        about = (Q(**{f"{name}__in": some}) for name, some in keys.items())
        return QUESTIONS[name].filter(reduce(or_, about)).distinct()

    def enclosures(self):
        """Return every enclosure somebody reached stayed in, or that matters otherwise, by key."""
        stays = self.stays.values()
        wanted = {s.enclosure_id for s in stays if s.animal_id in self.animals}
        wanted |= {s.enclosure_id for s in stays if s.clutch_id in self.clutches}
        return Enclosure.objects.in_bulk(wanted | self.days["enclosures"].keys())

    def want(self, kind, key, since, until):
        """Note that somebody, or an enclosure, matters on these days too."""
        known = self.days[kind].get(key)
        wider = (min(since, known[0]), max(until, known[1])) if known else (since, until)
        if wider != known:
            self.days[kind][key] = wider
            self._fresh[kind].add(key)

    def follow(self):
        """Follow stays, births and moved things backwards until nobody new is met."""
        while any(self._fresh.values()):
            self._follow_animals(self._taken(Animal))
            self._follow_clutches(self._taken(Clutch))
            self._follow_enclosures(self._taken("enclosures"))
        return self

    def _taken(self, kind):
        keys, self._fresh[kind] = self._fresh[kind], set()
        return keys

    def since(self, key):
        """Return the day from which an animal's contacts matter: its last clearance before."""
        asked = self.days[Animal][key][0]
        return max((d for d in self._cleared.get(key, ()) if d < asked), default=date.min)

    def _follow_animals(self, keys):
        self._fetch_animals(keys - self.animals.keys())
        for stay in self._fetch_stays("animal", keys):
            self._follow_stay(stay, self.since(stay.animal_id), self.days[Animal][stay.animal_id])
        for key in keys:
            self._follow_birth(self.animals[key])

    def _fetch_animals(self, keys):
        for some in batched(keys, AT_ONCE, strict=False):
            self.animals |= Animal.objects.in_bulk(some)
            cleared = Clearance.objects.current().filter(animals__in=some)
            cleared = cleared.filter(entered_at__lt=end_of(self.on))
            for key, day in cleared.values_list("animals", "day"):
                self._cleared.setdefault(key, []).append(day)

    def _fetch_stays(self, name, keys):
        for some in batched(keys, AT_ONCE, strict=False):
            for stay in STAYS.filter(start__lte=self.on, **{f"{name}__in": some}):
                self.stays[stay.pk] = stay
                yield stay

    def _follow_stay(self, stay, since, days):
        until = days[1]
        if stay.start <= until and _last(stay, until) >= since:
            first, last = max(stay.start, since), min(_last(stay, until), until)
            self.want("enclosures", stay.enclosure_id, first, max(first, last))

    def _follow_birth(self, animal):
        if (
            animal.clutch_id
            and animal.separated_on
            and animal.separated_on >= self.since(animal.pk)
        ):
            self.want(Clutch, animal.clutch_id, animal.separated_on, animal.separated_on)

    def _follow_clutches(self, keys):
        self._fetch_clutches(keys - self.clutches.keys())
        for stay in self._fetch_stays("clutch", keys):
            self._follow_stay(stay, date.min, self.days[Clutch][stay.clutch_id])
        self._follow_laying(keys)

    def _fetch_clutches(self, keys):
        for some in batched(keys, AT_ONCE, strict=False):
            self.clutches |= Clutch.objects.in_bulk(some)

    def _follow_laying(self, keys):
        for key in keys:
            clutch, until = self.clutches[key], self.days[Clutch][key][1]
            laid = min(laid_on(clutch), until)
            self.want("enclosures", clutch.enclosure_id, laid, max(laid, clutch.found_on))
        for mix, part, day in parts_of(keys):
            self.want(Clutch, part, day, min(day, self.days[Clutch][mix][1]))
        for clutch, *parents in parents_of(keys):
            for parent in filter(None, parents):
                until = self.days[Clutch][clutch][1]
                self.want(Animal, parent, min(laid_on(self.clutches[clutch]), until), until)

    def _follow_enclosures(self, keys):
        for stay in self._fetch_stays("enclosure", keys):
            self._follow_company(stay, *self.days["enclosures"][stay.enclosure_id])
        for some in batched(keys, AT_ONCE, strict=False):
            for clutch in Clutch.objects.filter(enclosure__in=some):
                self._follow_laid(clutch, *self.days["enclosures"][clutch.enclosure_id])
            for moved in ThingsMoved.objects.filter(void=False, target__in=some, day__lte=self.on):
                self._follow_things(moved, *self.days["enclosures"][moved.target_id])

    def _follow_company(self, stay, since, until):
        last = _last(stay, until)
        if stay.start > until or last < since - self.back:
            return
        first = max(stay.start, min(since, last - DAY))
        kind = Animal if stay.animal_id else Clutch
        self.want(kind, stay.animal_id or stay.clutch_id, first, max(first, min(last, until)))

    def _follow_laid(self, clutch, since, until):
        """A clutch stood a day where it was laid, whether or not it was ever moved in there."""
        if since - self.back <= laid_on(clutch) <= until:
            self.want(Clutch, clutch.pk, laid_on(clutch), laid_on(clutch))

    def _follow_things(self, moved, since, until):
        if since - self.back <= moved.day <= until:
            self.transfers[moved.pk] = moved
            self.want("enclosures", moved.source_id, moved.day, moved.day)


class Whole:
    """Everyone of a register that is small enough to be looked at whole, fetched at one moment."""

    def __init__(self):
        asked = {name: again(rows) for name, rows in (QUESTIONS | EVERYONE).items()}
        fetch(*asked.values())
        self._found = asked
        self.animals, self.clutches = self._by_key("animals"), self._by_key("clutches")
        self.stays, self.transfers = self._by_key("stays"), self._by_key("transfers")

    def _by_key(self, name):
        return {row.pk: row for row in self._found[name]}

    def near(self, name, **keys):
        """Return all rows that answer a question: everything is near."""
        return self._found[name]

    def enclosures(self):
        """Return every enclosure by its key."""
        return self._by_key("enclosures")


def _last(stay, until):
    """Return the end of a stay; one that a correction replaced may still have been running."""
    return stay.end if stay.end and stay.superseded_at is None else until


def laid_on(clutch):
    """Return the first day a clutch can have been there."""
    return min(clutch.earliest_laying or clutch.found_on, clutch.found_on)


def parents_of(clutches):
    """Yield (clutch, parent, parent or None) for all that may be parents of these clutches."""
    for some in batched(clutches, AT_ONCE, strict=False):
        rows = Candidate.objects.filter(descent__clutch__in=some, descent__void=False)
        yield from rows.values_list("descent__clutch", "animal", "mate")


def parts_of(mixes):
    """Yield (mix, clutch, day) for the clutches that are reared together in some of these."""
    for some in batched(mixes, AT_ONCE, strict=False):
        rows = ClutchPart.objects.filter(mix__in=some, void=False, superseded_at__isnull=True)
        yield from rows.values_list("mix", "clutch", "day")
