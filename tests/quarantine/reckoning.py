"""A plain reckoning of who met whom and who is held: day by day, pair by pair, without an index.

It is slow and says the rules once more, in another way than the program does.  Days are numbers.
"""

from tests.quarantine.lives import number

PERSISTENCE = 4
NEVER = 99


class Reckoning:
    """Who was where on which day, straight from the stays."""

    def __init__(self, facts):
        self.facts = facts
        stays = [self._cut(stay) for stay in facts.stays]
        stays += [(x.clutch, x.enclosure, number(x.day), number(x.day)) for x in facts.layings]
        self.stays = _glued(stays)
        self.whos = {stay[0] for stay in self.stays}
        self.enclosures = {stay[1] for stay in self.stays}

    def _cut(self, stay):
        start, end = number(stay.start), number(stay.end) if stay.end else NEVER
        for gone in (*self.facts.deaths, *self.facts.departures):
            if gone.who == stay.who and number(gone.day) >= start:
                end = min(end, number(gone.day))
        return stay.who, stay.enclosure, start, end

    def inside(self, enclosure, day):
        """Who is in an enclosure on a day."""
        return {
            who
            for who, where, start, end in self.stays
            if where == enclosure and (start <= day < end or start == day == end)
        }

    def meets(self, day):
        """All pairs that are in one enclosure on a day."""
        insides = [self.inside(enclosure, day) for enclosure in self.enclosures]
        return {(one, two) for inside in insides for one in inside for two in inside if one != two}

    def washed(self, enclosure, first, last):
        """Whether an enclosure was disinfected on one of these days."""
        return any(
            row.enclosure == enclosure and first <= number(row.day) <= last
            for row in self.facts.disinfections
        )

    def lying(self, enclosure, day):
        """``(who, left, by, fresh)`` for what lies in an enclosure when one comes on a day.

        It carries what the one had on the evening of ``by``; ``fresh``, when things took it from
        one that was there, what the one had before the meetings of the day ``left``.
        """
        for who, where, start, end in self.stays:
            left = where == enclosure and end <= day <= end + PERSISTENCE
            if left and not self.washed(enclosure, end, day):
                yield who, end, max(end - 1, start), False
        for row in self.facts.transfers:
            when = number(row.day)
            if row.target == enclosure and when < day and not self.washed(enclosure, when, day):
                taken = self.taken(row.source, when)
                yield from (trail for trail in taken if day <= trail[1] + PERSISTENCE)

    def taken(self, source, day):
        """What things take along: of those in the enclosure, and of what lies in it."""
        yield from ((who, day, day - 1, True) for who in self.inside(source, day))
        yield from (trail for trail in self.lying(source, day) if trail[2] < day)

    def one_way(self, day):
        """``(giver, taker, left, by, fresh)`` for all one-way meetings of a day."""
        for who, enclosure, start, _ in self.stays:
            if start == day:
                for giver, *trail in self.lying(enclosure, day):
                    yield giver, who, *trail
        for row in self.facts.transfers:
            if number(row.day) == day:
                for giver, *trail in self.taken(row.source, day):
                    yield from ((giver, who, *trail) for who in self.inside(row.target, day))


def _glued(stays):
    """A stay that goes on in the same enclosure is one stay."""
    glued = []
    for who, where, start, end in sorted(stays, key=lambda s: (s[2], -s[3])):
        for i, (other, there, since, until) in enumerate(glued):
            goes_on = start < until or (start == until and end > start)
            if (other, there) == (who, where) and goes_on:
                glued[i] = who, where, since, max(until, end)
                break
        else:
            glued.append((who, where, start, end))
    return glued


def reached(facts, source, start, until):
    """For each reached from a source, the first day and the shortest chain by then."""
    reckoning, steps = Reckoning(facts), {start - 1: {}}
    for day in range(start, until + 1):
        now = steps[day] = steps[day - 1] | {source: 0}
        for giver, taker, _, by, fresh in reckoning.one_way(day):
            had = steps.get(by, {})
            if giver == source and by + fresh >= start:
                had = {source: 0}
            if giver in had and taker != source:
                now[taker] = min(now.get(taker, NEVER), had[giver] + 1)
        for _ in reckoning.whos:
            for giver, taker in reckoning.meets(day):
                if giver in now and taker != source:
                    now[taker] = min(now.get(taker, NEVER), now[giver] + 1)
    first = {who: min(d for d in steps if who in steps[d]) for who in steps[until]}
    return {who: (day, steps[day][who]) for who, day in first.items() if who != source}


class Holds:
    """Who is held since when, at the end of each day."""

    def __init__(self, facts, last):
        self.facts, self.reckoning = facts, Reckoning(facts)
        self.held, self.here, self.gone = {}, set(), set()
        self.morning, self.meeting, self.evening, self.cleared = {}, {}, {}, {}
        for day in range(1, last + 1):
            self._pass(day)

    def _pass(self, day):
        self.day = day
        self._before_meetings()
        self.morning[day] = dict(self.held)
        self._meet()
        self.meeting[day] = dict(self.held)
        for row in (*self._today("deaths"), *self._today("departures")):
            self.held.pop(row.who, None)
            self.here.discard(row.who)
            self.gone.add(row.who)
        self.evening[day] = dict(self.held)

    def _today(self, kind, name="day"):
        rows = getattr(self.facts, kind)
        return [row for row in rows if number(getattr(row, name)) == self.day]

    def _hold(self, who):
        self.here.add(who)
        self.gone.discard(who)
        self.held.setdefault(who, self.day)

    def _before_meetings(self):
        for row in self._today("arrivals"):
            for who in row.who:
                self._hold(who)
        for row in self._today("memberships", "start"):
            if row.who not in self.gone:
                self._hold(row.who)
        for who in self._come() - self.here - self._born():
            self._hold(who)
        self.cleared[self.day] = {who for row in self._today("clearances") for who in row.who}
        for who in self.cleared[self.day] - self.gone:
            self.here.add(who)
            self.held.pop(who, None)
        leaving = {row.who for row in self._today("departures")}
        named = {row.who for row in self._today("hand_holds", "start")}
        named |= {who for row in self._today("positives") for who in row.who if who not in leaving}
        for who in named - self.gone:
            self._hold(who)

    def _come(self):
        return {who for who, _, start, _ in self.reckoning.stays if start == self.day}

    def _born(self):
        young = {row.who for row in self._today("births")}
        return young | {row.clutch for row in self._today("layings")}

    def _meet(self):
        self.here |= self._born()
        for giver, taker, left, by, fresh in self.reckoning.one_way(self.day):
            if giver != taker and self._carried(giver, left, by, fresh):
                self._hold(taker)
        for _ in self.reckoning.whos:
            for giver, taker in self.reckoning.meets(self.day):
                if giver in self.held:
                    self._hold(taker)
            for row in self._today("births"):
                if row.clutch in self.held:
                    self._hold(row.who)

    def _carried(self, who, left, by, fresh):
        if fresh:
            return who in self.morning.get(left, ())
        cleared = by < left and who in self.cleared.get(left, ())
        return who in self.meeting.get(by, ()) and not cleared
