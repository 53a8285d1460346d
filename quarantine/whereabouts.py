"""Who was where: stays, clipped and joined, with what is needed to ask for meetings quickly.

Inside, a day is its proleptic ordinal (``date.toordinal``, in days), so that days can be compared
and added without cost; the public modules ``contacts`` and ``standing`` speak in dates.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from datetime import date
from itertools import accumulate
from typing import NamedTuple

FOREVER = date.max.toordinal()
PERSISTENCE = 200  # days; dried ranavirus relatives stay infective for 113-200 (trade literature)


class Visit(NamedTuple):
    """One in an enclosure from ``start`` to ``last``, both included; it left on ``end``.

    A stay begun and ended on one day has ``start == end == last``, else ``last`` is ``end - 1``.
    """

    who: str
    enclosure: str
    start: int
    end: int
    last: int


class Leave(NamedTuple):
    """One leaves the premises; ``returns`` when it left first and arrived again the same day."""

    day: int
    kind: str
    receiver: str
    returns: bool


class Trail(NamedTuple):
    """What one left in an enclosure: ``left`` on that day, in force there up to ``until``.

    It carries what the one had by the day ``by`` (or, if its own and not met that day, ``own``).
    """

    who: str
    left: int
    until: int
    by: int
    own: int
    how: str


class Step(NamedTuple):
    """Something passes from one to another on a day: ``how`` as in ``traces.Link``."""

    giver: str
    taker: str
    day: int
    how: str
    enclosure: str


class Lane:
    """The visits of one enclosure, ready to be asked who overlaps, came or left in some days."""

    def __init__(self, visits):
        self.visits = sorted(visits, key=lambda v: v.start)
        self.starts = [v.start for v in self.visits]
        self.reach = list(accumulate((v.last for v in self.visits), max))
        self.by_end = sorted(self.visits, key=lambda v: v.end)
        self.ends = [v.end for v in self.by_end]

    def overlapping(self, first, last):
        """Visits of which some day lies from ``first`` to ``last``, both included."""
        if last < first:
            return
        for i in range(bisect_right(self.starts, last) - 1, -1, -1):
            if self.reach[i] < first:
                return
            if self.visits[i].last >= first:
                yield self.visits[i]

    def coming(self, first, last):
        """Visits that start from ``first`` to ``last``, both included."""
        return self.visits[bisect_left(self.starts, first) : bisect_right(self.starts, last)]

    def leaving(self, first, last):
        """Visits that end from ``first`` to ``last``, both included."""
        return self.by_end[bisect_left(self.ends, first) : bisect_right(self.ends, last)]


NOBODY = Lane(())


class Whereabouts:
    """Everybody's visits; made by ``whereabouts``, changed only by making another."""

    def __init__(self, persistence):
        self.persistence = persistence
        self.stays_of = {}  # as entered
        self.visits_of = {}  # those that go on in one enclosure made one
        self.lanes = {}
        self.leaves = {}
        self.perhaps_left = {}
        self.washed = {}
        self.given = {}
        self.received = {}
        self.units = {}
        self.racks = {}
        self.births = []
        self.layings = []
        self.parents = {}
        self.clutch_of = {}
        self.broods = {}

    def lane(self, enclosure):
        """The visits of an enclosure; an unknown one has none."""
        return self.lanes.get(enclosure, NOBODY)

    def clean_before(self, enclosure, day):
        """The last day before the first disinfection on or after ``day``."""
        washed = self.washed.get(enclosure, ())
        at = bisect_left(washed, day)
        return washed[at] - 1 if at < len(washed) else FOREVER

    def unit(self, enclosure, day):
        """The unit in which an enclosure stands on a day, or ``""``."""
        for start, end, unit in self.units.get(enclosure, ()):
            if start <= day < end:
                return unit
        return ""

    def trails_of(self, visit):
        """Yield ``(enclosure, trail, things_day)`` for all that a visit leaves anywhere.

        ``things_day`` is the day on which things brought it there (whoever stays there that day
        meets it), ``None`` for what stayed behind in the enclosure of the visit.
        """
        if visit.end < FOREVER:
            left = self._left_by(visit)
            yield visit.enclosure, left, None
            yield from self._carried(visit.enclosure, left, visit.last + 1)
        for day, target in self.given.get(visit.enclosure, ()):
            if visit.start <= day <= visit.last:
                trail = self._moved(Trail(visit.who, day, FOREVER, day - 1, day, ""), day, target)
                yield target, trail, day
                yield from self._carried(target, trail, day + 1)

    def _left_by(self, visit):
        until = self.in_force(visit.enclosure, visit.end, visit.end)
        return Trail(visit.who, visit.end, until, visit.last, visit.last, "through")

    def in_force(self, enclosure, left, day):
        """The last day on which what was left on one day, and lies here since another, counts."""
        return min(left + self.persistence, self.clean_before(enclosure, day))

    def _moved(self, trail, day, target):
        """The trail as things bring it on into another enclosure: it gets no younger."""
        return trail._replace(until=self.in_force(target, trail.left, day), how="things")

    def _carried(self, source, trail, first):
        """What things moved on from an enclosure, from day ``first``, make of a trail in it."""
        for day, target in self.given.get(source, ()):
            if first <= day <= trail.until:
                moved = self._moved(trail, day, target)
                yield target, moved, day
                yield from self._carried(target, moved, day + 1)

    def trails_in(self, enclosure, day):
        """The trails in force in an enclosure for one that comes on ``day``."""
        lane = self.lane(enclosure)
        for visit in lane.leaving(day - self.persistence, day):
            trail = self._left_by(visit)
            if trail.until >= day:
                yield trail
        for moved_on, source in self.received.get(enclosure, ()):
            if moved_on < day:
                moved = (
                    self._moved(t, moved_on, enclosure) for t in self.brought(source, moved_on)
                )
                yield from (trail for trail in moved if trail.until >= day)

    def brought(self, source, day):
        """What things that leave ``source`` on a day carry: of those there, and of trails there."""
        for visit in self.lane(source).overlapping(day, day):
            yield Trail(visit.who, day, FOREVER, day - 1, day, "things")
        yield from (trail for trail in self.trails_in(source, day) if trail.by < day)

    def with_stays(self, stays):
        """The same with proposed stays, each in place of what its mover did in those days."""
        other = Whereabouts(self.persistence)
        other.__dict__.update(self.__dict__)
        other.stays_of = dict(self.stays_of)
        other.visits_of, other.lanes = dict(self.visits_of), dict(self.lanes)
        for stay in stays:
            other._take_in(stay)
        return other

    def _take_in(self, stay):
        leaves = self.leaves.get(stay.who, ())
        olds, new = self.stays_of.get(stay.who, ()), _clipped(stay, leaves)
        if new.end == FOREVER:
            new = _ended(new, next((old.end for old in olds if _covers(old, new)), FOREVER))
        self.stays_of[stay.who] = [part for old in olds for part in _cut(old, new)] + [new]
        before = self.visits_of.get(stay.who, ())
        self.visits_of[stay.who] = _joined(self.stays_of[stay.who], leaves)
        for enclosure in {v.enclosure for v in (*before, new)}:
            others = [v for v in self.lane(enclosure).visits if v.who != stay.who]
            own = [v for v in self.visits_of[stay.who] if v.enclosure == enclosure]
            self.lanes[enclosure] = Lane(others + own)


def whereabouts(facts, persistence=PERSISTENCE):
    """Put the facts in order; ``persistence`` is in days.

    >>> from quarantine.facts import Facts, Stay
    >>> stays = (Stay(who="D-01", enclosure="E10", start=date(2026, 6, 1)),)
    >>> [v.enclosure for v in whereabouts(Facts(stays=stays)).visits_of["D-01"]]
    ['E10']
    """
    where = Whereabouts(persistence)
    where.leaves = _leaves(facts)
    where.perhaps_left = _grouped(
        (p.who, (p.day.toordinal(), p.receiver)) for p in facts.perhaps_left
    )
    where.stays_of = _stays(facts, where.leaves)
    where.visits_of = {
        who: _joined(stays, where.leaves.get(who, ())) for who, stays in where.stays_of.items()
    }
    in_enclosure = _grouped(
        (visit.enclosure, visit) for visits in where.visits_of.values() for visit in visits
    )
    where.lanes = {enclosure: Lane(visits) for enclosure, visits in in_enclosure.items()}
    where.washed = _days((d.enclosure, d.day) for d in facts.disinfections)
    moves = [(t, t.day.toordinal()) for t in facts.transfers]
    where.given = _grouped((t.source, (day, t.target)) for t, day in moves)
    where.received = _grouped((t.target, (day, t.source)) for t, day in moves)
    where.units = _grouped((s.enclosure, (*_days_of(s), s.unit)) for s in facts.stations)
    where.racks = _grouped((s.unit, (s.enclosure, *_days_of(s))) for s in facts.stations)
    where.births = [(b.who, b.clutch, _begun(b.who, b.day, where)) for b in facts.births]
    where.layings = [(x.clutch, x.parents, _begun(x.clutch, x.day, where)) for x in facts.layings]
    where.parents = {clutch: parents for clutch, parents, _ in where.layings}
    where.clutch_of = {who: (clutch, day) for who, clutch, day in where.births}
    where.broods = _grouped((clutch, (day, who)) for who, clutch, day in where.births)
    return where


def _grouped(pairs):
    groups = defaultdict(list)
    for name, value in pairs:
        groups[name].append(value)
    return {name: sorted(values) for name, values in groups.items()}


def _days(pairs):
    return _grouped((name, day.toordinal()) for name, day in pairs)


def _days_of(fact):
    """First day and end of a fact that lasts, as ordinals."""
    start = fact.start.toordinal() if fact.start else 0
    return start, fact.end.toordinal() if fact.end else FOREVER


def _begun(who, day, where):
    """The day a life begins here: as entered, or with an earlier first stay."""
    visits = where.visits_of.get(who)
    return min(day.toordinal(), visits[0].start) if visits else day.toordinal()


def _stays(facts, leaves):
    visits = defaultdict(list)
    for stay in facts.stays:
        visits[stay.who].append(_clipped(stay, leaves.get(stay.who, ())))
    for laying in facts.layings:
        day = laying.day.toordinal()
        visits[laying.clutch].append(Visit(laying.clutch, laying.enclosure, day, day, day))
    return dict(visits)


def _clipped(stay, leaves):
    """The visit of a stay, which no leaving outlasts."""
    start, end = _days_of(stay)
    for leave in leaves:
        if leave.day > start or (leave.day == start and not leave.returns):
            end = min(end, leave.day)
            break
    return Visit(stay.who, stay.enclosure, start, end, max(start, end - 1))


def _ended(visit, day):
    return visit._replace(end=day, last=max(visit.start, day - 1))


def _cut(visit, new):
    """What is left of a stay where another takes its place: up to it, and from its end on."""
    if not _covers(visit, new):
        return [visit]
    rest = [visit._replace(start=new.end)] if new.end < visit.end else []
    return [_ended(visit, new.start), *rest]


def _covers(visit, other):
    return visit.start <= other.start < visit.end


def _joined(visits, leaves):
    """The visits in order of time, those that continue in one enclosure made one."""
    if len(visits) < 2:
        return visits
    apart = {leave.day for leave in leaves}
    joined = []
    for visit in sorted(visits, key=lambda v: (v.start, -v.end)):
        at = next((i for i, v in enumerate(joined) if _continues(v, visit, apart)), None)
        if at is None:
            joined.append(visit)
        else:
            end = max(joined[at].end, visit.end)
            joined[at] = _ended(joined[at], end)
    return joined


def _continues(earlier, later, apart):
    """One that stays on did not come: what lies in its enclosure is nothing new to it."""
    if earlier.enclosure != later.enclosure or later.start > earlier.end:
        return False
    # A visit of one day after the last one counts as that day, which joining would lose.
    return later.start < earlier.end or (later.start not in apart and later.end > later.start)


def _leaves(facts):
    """For each that left or died, its leavings in order of time."""
    gone = [(d.who, (d.day.toordinal(), "departure", d.receiver)) for d in facts.departures]
    gone += [(d.who, (d.day.toordinal(), "death", "")) for d in facts.deaths]
    gone = _grouped(gone)
    comings = _comings(facts, gone)
    return {who: _in_order(days, comings[who]) for who, days in gone.items()}


def _comings(facts, gone):
    """The days on which those that left some day began to be here, or were seen here."""
    comings = {who: {"arrival": set(), "other": set()} for who in gone}
    arrivals = ((who, "arrival", a.day) for a in facts.arrivals for who in a.who)
    stays = ((s.who, "other", s.start) for s in facts.stays)
    births = ((b.who, "other", b.day) for b in facts.births)
    layings = ((x.clutch, "other", x.day) for x in facts.layings)
    joinings = ((m.who, "other", m.start) for m in facts.memberships)
    for who, kind, day in (*arrivals, *stays, *births, *layings, *joinings):
        if who in comings:
            comings[who][kind].add(day.toordinal())
    return comings


def _in_order(days, comings):
    """One leaving a day; one that was here before it and arrives that day left first."""
    everything = sorted(comings["arrival"] | comings["other"])
    leaves = []
    for day, kind, receiver in days:
        if leaves and leaves[-1].day == day:
            continue
        since = leaves[-1].day if leaves else 0
        before = any(since <= coming < day for coming in everything)
        leaves.append(Leave(day, kind, receiver, before and day in comings["arrival"]))
    return tuple(leaves)
