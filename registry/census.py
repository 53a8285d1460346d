"""Who of a line was here on any day, and what those kept of its founders.

Animals that never bred and have no parent on record are counted and left out by turns: they
bring genes that may never reach a young one. Those bred here are counted in any case.
"""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.db.models import Q

from .herd import sexings_of
from .lineage import Collection, Lineage, collection
from .lines import Line, Tally
from .missing import COUNTS_AS_DEAD
from .mixes import young_named_in
from .models import Animal, Candidate, Missing, Sexing
from .pedigree import ancestry_of
from .phrases import dated
from .presence import presences

MOST_YEARS = 60  # a line is followed back so far


@dataclass(frozen=True, kw_only=True)
class Member:
    """One living animal of a line; mean kinship is to all living of it, itself included."""

    animal: Animal
    sexing: Sexing
    mean_kinship: float
    traced: float
    has_bred: bool
    is_founder: bool

    def cells(self):
        """Return the row as it is exported."""
        one = self.animal
        return (
            one.code,
            one.name,
            self.sexing.words(),
            dated(one.born, one.born_precision) if one.born else "",
            f"{self.mean_kinship:.6f}",
            f"{self.traced:.4f}",
            "yes" if self.has_bred else "no",
            "yes" if self.is_founder else "no",
        )


@dataclass(frozen=True, kw_only=True)
class Kept:
    """What a line keeps on a day: of all living, and without founders that never bred.

    Either is None where there is nobody to count.
    """

    on: date
    living: Collection | None
    proven: Collection | None
    idle: tuple


class Census:
    """Everybody ever on record of a line, each fetched once, with the engine over them all."""

    def __init__(self, line: Line):
        self.line = line

    @cached_property
    def animals(self):
        """Everybody of the line, by key."""
        rows = self.line.animals().select_related("taxon", "locality", "source_group")
        return {a.pk: a for a in rows}

    @cached_property
    def ancestry(self):
        """The line, its young of whatever line, and all their ancestors."""
        return ancestry_of([*self._young(), *self.animals.values()])

    def _young(self):
        """Return the animals a parent of which may be of this line."""
        mine = self.line.animals().order_by().values("pk")
        named = Candidate.objects.filter(
            Q(animal__in=mine) | Q(mate__in=mine),
            descent__superseded_at__isnull=True,
            descent__void=False,
        ).values("descent")
        return young_named_in(named).select_related("taxon", "locality", "source_group")

    @cached_property
    def records(self):
        """What the engine is told of them; figures of the same records are the same."""
        return self.ancestry.records()

    @cached_property
    def lineage(self):
        """The kinship engine over them."""
        return Lineage(self.records, wild=self.ancestry.wild())

    @cached_property
    def presences(self):
        """When each came and went."""
        return presences(self.animals)

    @cached_property
    def sexings(self):
        """What is concluded on the sex of each."""
        return sexings_of(list(self.animals))

    def sexing(self, animal):
        """Return what is concluded on the sex of one."""
        return self.sexings.get(animal.pk, Sexing())

    @cached_property
    def _missing(self):
        """The times each was missing, from when it counts as dead until it was found."""
        found = defaultdict(list)
        for row in Missing.objects.current().filter(animal__in=self.animals):
            found[row.animal_id].append(row)
        return found

    def is_here(self, key, on):
        """Return whether one is here and living on a day."""
        if not self.presences[key].is_here(on):
            return False
        return not any(counts_as_dead(row, on) for row in self._missing.get(key, ()))

    def here(self, on):
        """Return the living of the line on a day, by code."""
        found = (a for key, a in self.animals.items() if self.is_here(key, on))
        return sorted(found, key=lambda a: a.code)

    def _named(self, animal):
        """Return the keys of those that may be parents of one."""
        told = self.ancestry.statements(animal)
        candidates = (c for statement in told for c in statement.candidates.all())
        return {k for c in candidates for k in (c.animal_id, c.mate_id) if k is not None}

    @cached_property
    def founders(self):
        """The keys of those without a parent on record."""
        return {key for key, animal in self.animals.items() if not self._named(animal)}

    @cached_property
    def bred(self):
        """The first day each had young, of those that may be a parent; an unknown day is long ago.

        Eggs that came to nothing do not count.
        """
        found = {}
        for young in self.ancestry.animals.values():
            day = young.earliest_birth or young.separated_on or date.min
            for key in self._named(young):
                found[key] = min(day, found.get(key, day))
        return found

    def has_bred(self, key, on):
        """Return whether one may have had young by a day."""
        return key in self.bred and self.bred[key] <= on

    def idle(self, on):
        """Return the living founders that never bred by a day."""
        return [a for a in self.here(on) if a.pk in self.founders and not self.has_bred(a.pk, on)]

    def kept(self, on):
        """Return what the line keeps of its founders on a day."""
        here, idle = [a.pk for a in self.here(on)], tuple(self.idle(on))
        without = [key for key in here if key not in {a.pk for a in idle}]
        living = self._collected(here)
        proven = living if not idle else self._collected(without)
        return Kept(on=on, living=living, proven=proven, idle=idle)

    def _collected(self, keys):
        return collection(self.lineage, keys) if keys else None

    def members(self, on):
        """Return the living on a day, those with the rarest genes first."""
        here = self.here(on)
        kept = self._collected([a.pk for a in here])
        found = [
            Member(
                animal=a,
                sexing=self.sexing(a),
                mean_kinship=kept.mean_kinships[a.pk],
                traced=self.lineage.traced(a.pk),
                has_bred=self.has_bred(a.pk, on),
                is_founder=a.pk in self.founders,
            )
            for a in here
        ]
        return sorted(found, key=lambda m: (round(m.mean_kinship, 12), m.animal.code))

    def tally(self, on):
        """Return the line counted on a day, as in the list of lines."""
        here = self.here(on)
        came = {k: min(one.comings) for k, one in self.presences.items() if one.comings}
        came = {k: day for k, day in came.items() if day <= on}
        bred = [a for k, a in self.animals.items() if k in came and a.clutch_id]
        left = self._roots(here)
        return Tally(
            line=self.line,
            on=on,
            living=self._sexes(here),
            able=self._sexes(a for a in here if a.is_adult(on)),
            ever=len(came),
            founders=len(left | (self.founders & came.keys())),
            left=len(left),
            youngest=max((a.born for a in here if a.earliest_birth), default=None),
            last_young=max((a.born or a.separated_on for a in bred), default=None),
            since=min((d for k, d in came.items() if not self.animals[k].clutch_id), default=None),
        )

    def _sexes(self, animals):
        columns = [self.sexing(a).column for a in animals]
        return tuple(columns.count(column) for column in range(3))

    def _roots(self, animals):
        """Return the keys of the founders among some animals and their ancestors."""
        seen, wave = set(), {a.pk for a in animals}
        while wave:
            seen |= wave
            above = (self._named(self.ancestry.animals[key]) for key in wave)
            wave = {key for keys in above for key in keys} - seen
        return {key for key in seen if not self._named(self.ancestry.animals[key])}

    def years(self, on):
        """Return the last day of each year since the first came, the day asked for the running."""
        came = [d for one in self.presences.values() for d in one.comings if d <= on]
        first = max(min(came, default=on).year, on.year - MOST_YEARS)
        return [*(date(year, 12, 31) for year in range(first, on.year)), on]

    def over_the_years(self, on):
        """Return what the line kept at the end of each year, known as it is today."""
        return [self.kept(day) for day in self.years(on)]


def counts_as_dead(row, on):
    """Return whether one entry of an animal missing makes it count as dead on a day."""
    found = row.found_on is not None and row.found_on <= on
    return not found and on - row.day >= COUNTS_AS_DEAD
