"""Who can have given it: everybody's earliest way to one, scanned from the last day back. Pure."""

from collections import defaultdict
from heapq import heappop, heappush
from typing import NamedTuple

from quarantine.whereabouts import Step


def ways_to(where, who, first, until):
    """For each that can have reached ``who``, the steps of its best way, in order of time.

    ``first`` and ``until`` are ordinals, both included.  Each is taken to have had it on ``first``.
    The best way arrives earliest, then by the fewest steps, then by the codes.
    """
    ways = _Scan(where, who, first, until).run()
    return {giver: _retimed(where, way, first) for giver, way in ways.items()}


class _Way(NamedTuple):
    """How one's own reaches the source of a backward trace: on ``day``, by so many steps."""

    day: int
    length: int
    step: Step | None
    onward: tuple | None

    def better_than(self, other):
        return other is None or self._rank() < other._rank()

    def _rank(self):
        return self.day, self.length, self.step.taker if self.step else ""


class _Scan:
    """Scans the days from last to first, keeping everybody's best way from each day on."""

    def __init__(self, where, who, first, until):
        self.where, self.who, self.first, self.until = where, who, first, until
        self.ways = {}  # who -> [(day from which on, way)], later days first
        self.pending = defaultdict(list)  # last day to have it -> one-way steps
        self.closing = defaultdict(list)  # day -> visits that last until it
        self.days = {first, until}
        self._prepare()

    def _prepare(self):
        for visits in self.where.visits_of.values():
            for visit in visits:
                if visit.start <= self.until and visit.last >= self.first:
                    self.closing[min(visit.last, self.until)].append(visit)
                    self.days.add(visit.start)
        self.born = defaultdict(list)
        for young, clutch, day in self.where.births:
            self.born[day].append((young, clutch))
        self.days.update(self.born)
        self.days = sorted((d for d in self.days if self.first <= d <= self.until), reverse=True)

    def run(self):
        """Everybody's best way from the first day on."""
        self._expect(self.who, self.until)
        done = self.until + 1
        for day in self.days:
            self._one_way(day, done)
            self._direct(day, done)
            done = day
        self._things_on_the_first_day()
        return {who: ways[-1][1] for who, ways in self.ways.items() if who != self.who}

    def _one_way(self, day, done):
        for last in range(done - 1, day - 1, -1):
            for step in self.pending.get(last, ()):
                self._take(step.giver, last, self._through(step))

    def _things_on_the_first_day(self):
        """What one has on the first day it may pass on by things that day, others not yet."""
        for step in self.pending.get(self.first - 1, ()):
            if step.how == "things" and step.day >= self.first:
                self._take(step.giver, self.first - 1, self._through(step))

    def _through(self, step):
        onward = self._from(step.taker, step.day)
        return onward and _Way(onward.day, onward.length + 1, step, onward)

    def _from(self, who, day):
        """One's best way if it has it from a day on."""
        if who == self.who:
            return _Way(day, 0, None, None)
        best = None
        for since, way in self.ways.get(who, ()):
            if since < day:
                break
            best = way
        return best

    def _take(self, who, day, way):
        """Keep a way if it is better than the ones known; tell whether it is."""
        ways = self.ways.get(who, [])
        if who == self.who or way is None or not way.better_than(ways[-1][1] if ways else None):
            return False
        if not ways:
            self._expect(who, day)
        self.ways.setdefault(who, []).append((day, way))
        return True

    def _expect(self, who, until):
        """Note who left something to one, and by when they must have had it."""
        for visit in self.where.visits_of.get(who, ()):
            if visit.start <= until:
                for trail, day in self._left_to(visit, until):
                    if trail.who != who and trail.by < day and trail.own >= self.first:
                        step = Step(trail.who, who, day, trail.how, visit.enclosure)
                        self.pending[trail.by].append(step)

    def _left_to(self, visit, until):
        where = self.where
        for trail in where.trails_in(visit.enclosure, visit.start):
            yield trail, visit.start
        for day, source in where.received.get(visit.enclosure, ()):
            if visit.start <= day <= min(visit.last, until):
                for trail in where.brought(source, day):
                    yield trail._replace(how="things"), day

    def _direct(self, day, done):
        """Spread the ways among all that meet on a day, best first."""
        heap = []
        self._offer(heap, self.who, day)
        for last in range(day, done):
            for visit in self.closing.get(last, ()):
                self._ask(heap, visit, day)
                self._offer(heap, visit.who, day)
            for giver in {step.giver for step in self.pending.get(last, ())}:
                self._offer(heap, giver, day)
        for young, _ in self.born.get(day, ()):
            self._offer(heap, young, day)
        while heap:
            _, _, way = heappop(heap)
            if self._take(way.step.giver, day, way):
                self._offer(heap, way.step.giver, day)

    def _ask(self, heap, visit, day):
        """One that, seen backward, comes in: whoever there has a way offers it."""
        for other in self.where.lane(visit.enclosure).overlapping(day, day):
            self._propose(heap, visit.who, other.who, day, "direct", visit.enclosure)

    def _offer(self, heap, who, day):
        """One with a way offers it to all it is with on a day, and to its clutch if just born."""
        if self._from(who, day) is None:
            return
        for visit in self.where.visits_of.get(who, ()):
            if visit.start <= day <= visit.last:
                for other in self.where.lane(visit.enclosure).overlapping(day, day):
                    self._propose(heap, other.who, who, day, "direct", visit.enclosure)
        clutch, born = self.where.clutch_of.get(who, ("", None))
        if born == day:
            self._propose(heap, clutch, who, day, "born", "")

    def _propose(self, heap, giver, taker, day, how, enclosure):
        if giver != taker and giver != self.who:
            way = self._through(Step(giver, taker, day, how, enclosure))
            if way is not None:
                heappush(heap, (way._rank(), giver, way))


def _retimed(where, way, first):
    """The steps of a way, each direct one on the first day it can have been."""
    steps, day = [], first
    while way.step is not None:
        step = way.step
        if step.how == "direct":
            step = step._replace(day=_first_together(where, step, day))
        steps.append(step)
        day, way = step.day, way.onward
    return steps


def _first_together(where, step, since):
    """The first day, on or after ``since``, on which the two of a step share its enclosure."""
    lane = where.lane(step.enclosure)
    return min(
        max(since, visit.start, other.start)
        for visit in where.visits_of[step.giver]
        if visit.enclosure == step.enclosure and visit.last >= since
        for other in lane.overlapping(max(since, visit.start), visit.last)
        if other.who == step.taker
    )
