"""Who met whom: direct, through an enclosure, by things moved. Pure; every question takes its days.

Build ``where`` with ``quarantine.whereabouts.whereabouts(facts)``, once, from
``quarantine.facts.true_on(facts, day)`` or ``known_on(facts, day)``, and ask many times.
Traces along these meetings are in ``quarantine.traces``.
"""

from dataclasses import dataclass
from datetime import date

from quarantine.facts import Facts, Stay
from quarantine.whereabouts import FOREVER, whereabouts


@dataclass(frozen=True, kw_only=True)
class Meeting:
    """Two met: ``how`` is "direct" (both ways), "through" or "things" (from giver to taker).

    ``last`` is the last day of it, ``None`` while it runs; a one-way meeting is of one day.
    """

    giver: str
    taker: str
    first: date
    last: date | None
    how: str
    enclosure: str


@dataclass(frozen=True, kw_only=True)
class Left:
    """Somebody left something in an enclosure on a day, by staying there or by things moved."""

    who: str
    day: date
    how: str


@dataclass(frozen=True, kw_only=True)
class UnitContact:
    """Two stayed in one unit, in different enclosures, from ``first`` to ``last``."""

    who: str
    other: str
    unit: str
    first: date
    last: date | None


def company(where, enclosure, day):
    """Who stays in an enclosure on a day, by code.

    >>> company(_example(), "E10", date(2026, 6, 12))
    ('D-02', 'D-03')
    """
    there = where.lane(enclosure).overlapping(day.toordinal(), day.toordinal())
    return tuple(sorted({visit.who for visit in there}))


def left_behind(where, enclosure, day):
    """What one that comes to an enclosure on ``day`` would meet there, though it has gone.

    Those that left up to that day, within the persistence days, and not disinfected after: on
    neither the day of leaving, nor the day of coming, nor between.

    >>> [left.who for left in left_behind(_example(), "E10", date(2026, 12, 31))]
    ['D-02', 'D-03']
    >>> left_behind(_example(), "E10", date(2027, 1, 1))
    ()
    """
    trails = where.trails_in(enclosure, day.toordinal())
    left = {Left(who=t.who, day=_date(t.left), how=t.how) for t in trails}
    return tuple(sorted(left, key=lambda x: (x.day, x.who, x.how)))


def meetings(where, who, start, until):
    """All meetings of ``who`` from ``start`` to ``until``, both included, given and taken.

    In a direct meeting ``who`` is written as the giver.

    >>> [(m.taker, m.how, m.first.day, m.last.day)
    ...     for m in meetings(_example(), "D-03", date(2026, 6, 1), date(2026, 7, 31))]
    [('D-02', 'direct', 12, 13), ('D-07', 'through', 1, 1)]
    """
    found = {m for visit in where.visits_of.get(who, ()) for m in _meetings_of(where, visit)}
    found.update(m for visit in where.visits_of.get(who, ()) for m in _given_by(where, visit))
    wanted = (m for m in found if m.first <= until and (m.last or until) >= start)
    return sorted(wanted, key=lambda m: (m.first, m.how, m.giver, m.taker))


def would_meet(where, stay):
    """All meetings a proposed stay would make, were nothing else changed.

    Those it would take from others and those it would give to stays already planned there.

    >>> stay = Stay(who="D-09", enclosure="E10", start=date(2026, 6, 13))
    >>> [(m.giver, m.taker, m.how) for m in would_meet(_example(), stay)]
    [('D-09', 'D-02', 'direct'), ('D-09', 'D-03', 'direct'), ('D-09', 'D-07', 'direct')]
    """
    proposed = where.with_stays([stay])
    mine = [v for v in proposed.visits_of[stay.who] if v not in where.visits_of.get(stay.who, ())]
    mine = [v for v in mine if v.enclosure == stay.enclosure]
    found = {m for v in mine for m in (*_meetings_of(proposed, v), *_given_by(proposed, v))}
    return sorted(found, key=lambda m: (m.first, m.how, m.giver, m.taker))


def unit_contacts(where, who, start, until):
    """Weaker contacts: who shared a unit, but no enclosure, with ``who`` in those days.

    >>> from quarantine.facts import Station
    >>> stations = tuple(Station(enclosure=e, unit="rack") for e in ("E1", "E2"))
    >>> stays = tuple(Stay(who=w, enclosure=e, start=date(2026, 3, d))
    ...     for w, e, d in (("A", "E1", 1), ("B", "E2", 5)))
    >>> where = whereabouts(Facts(stays=stays, stations=stations))
    >>> [(c.other, c.unit, c.first.day) for c in
    ...     unit_contacts(where, "A", date(2026, 3, 1), date(2026, 3, 31))]
    [('B', 'rack', 5)]
    """
    first, until = start.toordinal(), until.toordinal()
    found = set()
    for visit in where.visits_of.get(who, ()):
        for unit, since, last in _in_units(where, visit, first, until):
            found.update(_in_unit(where, visit, unit, since, last))
    return sorted(found, key=lambda c: (c.first, c.other, c.unit))


def _meetings_of(where, visit):
    """The meetings a visit takes from others."""
    for other in where.lane(visit.enclosure).overlapping(visit.start, visit.last):
        if other.who != visit.who:
            first, last = max(visit.start, other.start), min(visit.last, other.last)
            yield _meeting(visit.who, other.who, first, last, "direct", visit.enclosure)
    for trail in where.trails_in(visit.enclosure, visit.start):
        yield from _one_way(trail.who, visit.who, visit.start, trail.how, visit.enclosure)
    for day, source in where.received.get(visit.enclosure, ()):
        if visit.start <= day <= visit.last:
            for trail in where.brought(source, day):
                yield from _one_way(trail.who, visit.who, day, "things", visit.enclosure)


def _given_by(where, visit):
    """The one-way meetings a visit gives to others."""
    for enclosure, trail, things_day in where.trails_of(visit):
        lane = where.lane(enclosure)
        came = visit.end if things_day is None else things_day + 1
        for other in lane.coming(came, trail.until):
            yield from _one_way(visit.who, other.who, other.start, trail.how, enclosure)
        for other in lane.overlapping(things_day, things_day) if things_day is not None else ():
            yield from _one_way(visit.who, other.who, things_day, "things", enclosure)


def _one_way(giver, taker, day, how, enclosure):
    if giver != taker:
        yield _meeting(giver, taker, day, day, how, enclosure)


def _meeting(giver, taker, first, last, how, enclosure):
    ended = None if last >= FOREVER - 1 else _date(last)
    return Meeting(
        giver=giver, taker=taker, first=_date(first), last=ended, how=how, enclosure=enclosure
    )


def _in_units(where, visit, first, until):
    """The units a visit was in, each with its first and last day there, within the days asked."""
    for start, end, unit in where.units.get(visit.enclosure, ()):
        since, last = max(visit.start, start, first), min(visit.last, end - 1, until)
        if since <= last:
            yield unit, since, last


def _in_unit(where, visit, unit, since, last):
    """The contacts of a visit with those in other enclosures of a unit."""
    for enclosure, start, end in where.racks[unit]:
        if enclosure != visit.enclosure:
            for other in where.lane(enclosure).overlapping(max(since, start), min(last, end - 1)):
                if other.who != visit.who:
                    first = max(since, start, other.start)
                    yield _contact(
                        visit.who, other.who, unit, first, min(last, end - 1, other.last)
                    )


def _contact(who, other, unit, first, last):
    return UnitContact(who=who, other=other, unit=unit, first=_date(first), last=_date(last))


def _example():
    """The loaned animal of the doctests: D-03 with D-02 in E10, then D-07 comes there."""
    stays = (
        Stay(who="D-02", enclosure="E10", start=date(2026, 6, 1), end=date(2026, 6, 14)),
        Stay(who="D-02", enclosure="E11", start=date(2026, 6, 14)),
        Stay(who="D-03", enclosure="E10", start=date(2026, 6, 12), end=date(2026, 6, 14)),
        Stay(who="D-07", enclosure="E10", start=date(2026, 7, 1)),
    )
    return whereabouts(Facts(stays=stays))


_date = date.fromordinal
