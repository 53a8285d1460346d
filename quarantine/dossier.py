"""All that bears on each of several batches on a day, and what their clocks then show."""

from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property

from registry import shelf

from . import dossier_rows as d
from . import evidence as e
from .clock import NotOpened, known_on, true_on
from .ledger import ledger
from .ledger_rows import batch_key
from .models import Scope
from .opened import opened
from .parts import stays_at
from .unit_arrivals import unit_arrivals


@dataclass(frozen=True, kw_only=True)
class Dossiers:
    """The facts about some isolations up to a day, each kind fetched once for all of them."""

    on: date
    isolations: tuple
    rows: d.Rows
    facts: e.Facts
    family: dict
    ledger: object

    @cached_property
    def readings(self):
        """What each clock shows on the day, as known today; None where it was not open."""
        return {i.pk: _read(true_on, self.true(i), self.on) for i in self.isolations}

    @cached_property
    def readings_known(self):
        """What each clock was known to show on the day."""
        return {i.pk: _read(known_on, self.known(i), self.on) for i in self.isolations}

    def true(self, isolation):
        """Return the facts of one batch, meetings and births as known today."""
        return self._of(isolation, self.ledger.standings, self.ledger.true)

    def known(self, isolation):
        """Return the facts of one batch, meetings and births as known on the day."""
        return self._of(isolation, self.ledger.standings_known, self.ledger.known)

    def _of(self, isolation, standings, ledger_facts):
        keys = {batch_key(pk) for pk in self.family[isolation.pk]}
        facts = _narrowed(self.facts, keys)
        born = tuple(_born(standings, ledger_facts, facts, keys, self.on))
        met = tuple(_meetings(standings, keys, self.on))
        return replace(
            facts,
            batch=batch_key(isolation.pk),
            memberships=facts.memberships + born,
            meetings=met,
        )


def _read(clock, facts, on):
    try:
        return clock(facts, on)
    except NotOpened:
        return None


def dossiers(isolations, on, since=None):
    """Return the dossiers of isolations on a day; `since` looks back beyond earlier clearances."""
    isolations = tuple(isolations)
    book = opened()
    family = {i.pk: book.family(i.pk) for i in isolations}
    rows, facts = _told({key for keys in family.values() for key in keys})
    book = ledger(rows.animals.values(), on, since=since)
    known = {"on": on, "isolations": isolations, "family": family}
    return Dossiers(**known, rows=rows, facts=facts, ledger=book)


def _told(keys):
    """Return the rows about isolations and their facts; a page fetches each isolation once."""
    known = shelf.kept("dossiers", dict)
    for others in known:
        if keys <= others:
            return known[others]
    rows = d.Rows(keys)
    found = rows, _facts(rows)
    shelf.kept("dossiers", dict)[frozenset(keys)] = found
    return found


def _facts(rows):
    stays = tuple(d.stays(rows))
    facts = e.Facts(
        batch="",
        openings=tuple(d.openings(rows)),
        memberships=tuple(d.memberships(rows)),
        splits=tuple(d.splits(rows)),
        stays=stays,
        unit_arrivals=tuple(_unit_arrivals(rows, stays)),
        samples=tuple(d.samples(rows)),
        results=tuple(d.results(rows)),
        courses=tuple(d.courses(rows)),
        deaths=tuple(d.deaths(rows)),
        one_of=tuple(d.one_of_these(rows)),
        missing=tuple(d.missing(rows)),
        necropsies=tuple(d.necropsies(rows)),
        **_observed(rows),
        assays=opened().assays,
    )
    return replace(facts, withdrawals=tuple(rows.withdrawals))


def _unit_arrivals(rows, stays):
    """Yield comings into the units of batches whose protocol watches the whole unit."""
    if any(i.version.scope == Scope.UNIT for i in rows.isolations):
        opened = min(i.opened for i in rows.isolations)
        yield from unit_arrivals({int(stay.unit) for stay in stays}, opened)


def _observed(rows):
    kinds = {e.Weight: [], e.Meal: [], e.Sign: []}
    for fact in d.observations(rows):
        kinds[type(fact)].append(fact)
    return {
        "weights": tuple(kinds[e.Weight]),
        "meals": tuple(kinds[e.Meal]),
        "signs": tuple(kinds[e.Sign]),
    }


def _narrowed(facts, keys):
    """Return the facts of these batches only."""
    memberships = tuple(m for m in facts.memberships if m.batch in keys)
    members = {m.member for m in memberships}
    stays = tuple(s for s in facts.stays if s.member in members)
    units = {s.unit for s in stays}
    samples = tuple(s for s in facts.samples if s.members & members or _stayed(s, stays))
    told = {s.key for s in samples}
    return replace(
        facts,
        openings=tuple(o for o in facts.openings if o.batch in keys),
        memberships=memberships,
        splits=tuple(s for s in facts.splits if s.part in keys),
        stays=stays,
        unit_arrivals=tuple(_from_others(facts.unit_arrivals, memberships, units)),
        one_of=tuple(o for o in facts.one_of if members & {*o.members}),
        samples=samples,
        results=tuple(r for r in facts.results if r.sample in told),
        courses=tuple(c for c in facts.courses if c.batch in keys),
    )


def _stayed(sample, stays):
    """Whether a member stayed where a sample was taken, on its day."""
    there = (s for s in stays if s.enclosure == sample.enclosure)
    return any(stays_at(there, sample.taken))


def _from_others(arrivals, memberships, units):
    """Yield comings of others: a member that moves about is no addition to its own batch."""
    inside = {}
    for one in memberships:
        inside.setdefault(one.member, []).append((one.joined, one.left or date.max))
    for arrival in arrivals:
        spans = inside.get(arrival.animal, ())
        if arrival.unit in units and not any(a <= arrival.day < b for a, b in spans):
            yield arrival


def _born(standings, book, facts, keys, on):
    """Yield the young that belong to a batch because their parents do."""
    named = {(m.member, m.batch) for m in facts.memberships if m.came is e.Coming.BORN}
    for birth in book.births:
        batch = _batch_by_birth(standings.history(birth.who), keys)
        if batch and (birth.who, batch) not in named:
            left, told = _parted(birth, book)
            yield e.Membership(
                key=f"born:{birth.who}",
                batch=batch,
                member=birth.who,
                joined=birth.day,
                came=e.Coming.BORN,
                left=left,
                left_entered=told,
                entered=birth.entered or birth.day,
            )


def _batch_by_birth(spans, keys):
    for span in spans:
        for reason in span.reasons:
            if reason.kind == "born" and reason.batch in keys:
                return reason.batch
    return None


def _parted(birth, book):
    """Return when young left the batch it was born into, for one of its own or alive."""
    days = [(m.start, m.entered) for m in book.memberships if m.who == birth.who]
    days += [(d.day, d.entered) for d in book.departures if d.who == birth.who]
    return min((d for d in days if d[0] >= birth.day), default=(None, None))


def _meetings(standings, keys, on):
    """Yield the last day each batch met somebody held for another reason than having met it."""
    for key in sorted(keys):
        if met := standings.last_met(key, on):
            yield e.Meeting(
                key=f"meeting:{met.member}:{met.other}:{met.day}",
                member=met.member,
                other=met.other,
                first=met.day,
                last=met.day,
                entered=on,
            )
