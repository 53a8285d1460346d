"""The founders of a line: where each came from, and what is left of it among the living."""

import re
from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from .census import Census
from .lineage import Missing as MissingParent
from .lineage import Outsider, Unseen
from .models import Animal, ArrivalMember, Clutch
from .phrases import written
from .telling import tell, to_tell

UNSEEN = re.compile(r"(source|unsaid) (\d+) (sire|dam) (\d+)")
STATEMENT = re.compile(r"(sire|dam|pair) (\d+)")
BRED_HERE = to_tell("bred here")
NOT_RECORDED = to_tell("no arrival on record")


@dataclass(frozen=True, kw_only=True)
class Founder:
    """A founder, seen or not; shares are of the genes of the living, from 0 to 1.

    `proven` is its share without founders that never bred, None where nobody is left then.
    """

    words: str
    animal: Animal | None
    source: str
    came: str
    state: str
    share: float
    proven: float | None

    @property
    def is_lost(self):
        """Whether nothing of it is left among the living."""
        return self.share == 0


@dataclass(frozen=True, kw_only=True)
class Source:
    """A breeder, dealer or place, with how many founders came from there and are left."""

    name: str
    founders: int
    left: int
    share: float


def founders_of(census: Census, on, kept):
    """Return every founder of a line, those with the largest share first and the lost last."""
    shares, proven = _shares(kept.living), _shares(kept.proven)
    lost = [key for key in _ever_here(census, on) if key not in shares]
    book = _Book(census, on, [*shares, *lost])
    found = [
        Founder(
            words=book.words(key),
            animal=book.animal(key),
            source=book.source(key),
            came=book.came(key),
            state=book.state(key),
            share=shares.get(key, 0.0),
            proven=proven.get(key, 0.0) if kept.proven else None,
        )
        for key in [*shares, *lost]
    ]
    return sorted(found, key=lambda one: (-round(one.share, 12), one.words))


def _shares(collected):
    return {one.founder: one.share for one in collected.contributions} if collected else {}


def _ever_here(census, on):
    """Return the founders that came by a day and may have been forgotten since.

    An animal of a breeder's stock whose own founders nobody saw is counted by those.
    """
    came = (k for k in census.founders if any(d <= on for d in census.presences[k].comings))
    return [k for k in came if census.ancestry.parents(census.animals[k]) == (None, None)]


def founder_words(census, on, keys):
    """Return what each of some founders is called."""
    book = _Book(census, on, keys)
    return {key: book.words(key) for key in keys}


def by_source(founders):
    """Return the founders summed up by where they came from, the largest share first."""
    groups = defaultdict(list)
    for founder in founders:
        groups[founder.source].append(founder)
    found = [
        Source(
            name=name,
            founders=len(some),
            left=sum(not one.is_lost for one in some),
            share=sum(one.share for one in some),
        )
        for name, some in groups.items()
    ]
    return sorted(found, key=lambda one: (-round(one.share, 12), one.name))


class _Book:
    """What is written of each founder: an animal's key, or what stands for one nobody saw."""

    def __init__(self, census, on, founders):
        self.census = census
        self.on = on
        self.stands_for = {key: self._animals_of(key) for key in founders}
        self.arrivals = _first_arrivals({k for some in self.stands_for.values() for k in some})

    def animal(self, key):
        """Return the animal a founder is, None of one nobody saw."""
        return self.census.ancestry.animals.get(key) if isinstance(key, int) else None

    def _animals_of(self, key):
        """Return the keys of the animals by which a founder came here."""
        if isinstance(key, int):
            return [key]
        if isinstance(key, MissingParent):
            return [key.child]
        kind, number = _unseen(key)[:2]
        if kind == "unsaid":
            return [number]
        animals = self.census.ancestry.animals.values()
        return [a.pk for a in animals if kind == "source" and a.source_group_id == number]

    def words(self, key):
        """Name a founder."""
        if isinstance(key, int):
            return str(self.animal(key))
        if isinstance(key, MissingParent):
            return tell(
                "unknown {role} of {child}", role=tell(key.side), child=self._code(key.child)
            )
        if isinstance(key, Outsider):
            return self._outsider(key)
        kind, number, side, count = _unseen(key)
        whose = self._group(number) if kind == "source" else self._code(number)
        return tell("unseen {role} {count} of {whose}", role=tell(side), count=count, whose=whose)

    def _code(self, key):
        return str(self.census.ancestry.animals.get(key, key))

    def _group(self, number):
        animals = self.census.ancestry.animals.values()
        return next(str(a.source_group) for a in animals if a.source_group_id == number)

    def _outsider(self, key):
        """Say which statement leaves room for an animal it does not name."""
        found = STATEMENT.match(str(key.choice))
        statement = self._statements.get(int(found[2])) if found else None
        if statement is None:
            return tell("a parent nobody named")
        told = {"role": tell("parent" if statement.role == "pair" else statement.role)}
        if statement.clutch_id:
            told["child"] = self._clutches[statement.clutch_id]
        else:
            told["child"] = self._code(statement.animal_id)
        return tell("a {role} nobody named, of {child}", **told)

    @cached_property
    def _statements(self):
        ancestry = self.census.ancestry
        tables = (*ancestry.of_animal.values(), *ancestry.of_clutch.values())
        return {d.pk: d for table in tables for d in table.values()}

    @cached_property
    def _clutches(self):
        keys = {d.clutch_id for d in self._statements.values() if d.clutch_id}
        return Clutch.objects.in_bulk(keys)

    def _arrival(self, key):
        rows = (self.arrivals.get(k) for k in self.stands_for[key])
        return min(filter(None, rows), key=lambda a: (a.day, a.pk), default=None)

    def source(self, key):
        """Name whom or what a founder came from."""
        arrival = self._arrival(key)
        if arrival is None:
            return tell(BRED_HERE if self._is_bred_here(key) else NOT_RECORDED)
        return str(arrival.supplier or arrival.get_kind_display())

    def _is_bred_here(self, key):
        if isinstance(key, int):
            return self.animal(key).clutch_id is not None
        return isinstance(key, MissingParent | Outsider)

    def came(self, key):
        """Say when and how a founder came."""
        arrival = self._arrival(key)
        return f"{arrival.get_kind_display()}, {written(arrival.day)}" if arrival else ""

    def state(self, key):
        """Say where a founder is."""
        if not isinstance(key, int):
            return tell("nobody saw it")
        if key not in self.census.animals:
            return tell("of another line")
        if self.census.is_here(key, self.on):
            return tell("here")
        gone = [kind for day, kind in self.census.presences[key].goings if day <= self.on]
        if not gone:
            here = self.census.presences[key].is_here(self.on)
            return tell("missing") if here else tell("never here")
        return tell("dead") if gone[-1] == "death" else tell("gone ({kind})", kind=tell(gone[-1]))


def _unseen(key):
    """Return what stands behind a founder nobody saw: (kind, number, side, count)."""
    if isinstance(key, Unseen):
        kind, _, number = str(key.group).partition(" ")
        return kind, int(number), key.side, key.number
    found = UNSEEN.fullmatch(str(key))
    return (found[1], int(found[2]), found[3], int(found[4])) if found else ("", 0, "", 0)


def _first_arrivals(keys):
    """Return the arrival by which each animal first came."""
    rows = ArrivalMember.objects.filter(
        animal__in=keys, arrival__void=False, arrival__superseded_at__isnull=True
    )
    rows = rows.select_related("arrival__supplier").order_by("-arrival__day", "-arrival")
    return {row.animal_id: row.arrival for row in rows}
