"""What each animal or clutch is on a day, and why. Pure: every question takes its day.

``standings`` goes once over all days; the answers are then looked up.  Give it
``quarantine.facts.true_on(facts, day)`` or ``known_on(facts, day)``; with facts that are not cut
at a day, stays already planned are part of the answer.
"""

from bisect import bisect_left
from dataclasses import dataclass
from datetime import date

from quarantine.agenda import agenda, with_stays
from quarantine.encounters import Hold, Story, last_encounter
from quarantine.spans import Past, Was
from quarantine.sweep import Sweep
from quarantine.whereabouts import FOREVER, PERSISTENCE, whereabouts

LIFE = ("now", "pasts", "ins", "weres")  # what the sweep keeps of one's life


@dataclass(frozen=True, kw_only=True)
class Reason:
    """Why somebody is held, and since when for this reason.

    ``kind`` is "arrival", "batch" (joined it), "stay" (known only from one), "hand", "positive",
    "met" or "born".  ``source`` is whom it met, or the clutch it was born from (a clutch: whom it
    was laid among); ``batch`` the batch it joined, or the source's batch that day; ``how``
    ("direct", "through", "things", "born") and ``enclosure`` tell a meeting; ``key`` is that of
    the fact (arrival, membership, hold, positive).
    """

    kind: str
    day: date
    source: str = ""
    batch: str = ""
    how: str = ""
    enclosure: str = ""
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Span:
    """From ``start`` up to, not including, ``end``: "cleared" or "held", with all reasons.

    ``ended`` is "" while it runs, else "clearance", "departure", "death" or "held".
    A span that starts and ends on one day lasted a part of that day.
    """

    who: str
    state: str
    start: date
    end: date | None
    reasons: tuple[Reason, ...] = ()
    ended: str = ""


@dataclass(frozen=True, kw_only=True)
class Standing:
    """What one is at the end of a day: ``state`` is "cleared", "held" or "never".

    ``reasons`` are those up to that day.  ``batch`` is the batch it is in; where nobody opened
    one, a name that begins with "arrival:", "stay:", "hand:", "positive:", "exposed:", "left:" or
    "born:".  ``by_birth``: it is in it only because its parents are, and joined by no addition.
    """

    who: str
    state: str
    since: date
    reasons: tuple[Reason, ...] = ()
    batch: str = ""
    by_birth: bool = False


@dataclass(frozen=True, kw_only=True)
class LastMet:
    """The last day a member met one held for another reason than having met this batch."""

    day: date
    member: str
    other: str
    reason: Reason
    how: str
    enclosure: str


@dataclass(frozen=True, kw_only=True)
class NewlyHeld:
    """Held afterwards, and before only later or not at all: since when, and why."""

    who: str
    since: date
    reason: Reason


@dataclass(frozen=True, kw_only=True)
class Moved:
    """The last meeting of a batch (cause 5 of its day zero), before and after."""

    batch: str
    before: LastMet | None
    after: LastMet | None


def standings(facts, persistence=PERSISTENCE):
    """Find what everybody is on every day; ``persistence`` is in days.

    >>> from quarantine.facts import Arrival, Clearance, Facts, Stay
    >>> june = lambda day: date(2026, 6, day)
    >>> found = standings(Facts(
    ...     arrivals=(Arrival(who=("D-02",), day=june(1)), Arrival(who=("D-03",), day=june(10))),
    ...     clearances=(Clearance(who=("D-02",), day=june(1)),),
    ...     stays=(Stay(who="D-02", enclosure="E10", start=june(1)),
    ...            Stay(who="D-03", enclosure="E10", start=june(12), end=june(14))),
    ... ))
    >>> found.on("D-02", june(11)).state, found.on("D-02", june(12)).state
    ('cleared', 'held')
    >>> [(r.kind, r.source, r.day.day) for r in found.on("D-02", june(30)).reasons]
    [('met', 'D-03', 12)]
    >>> found.last_met(found.on("D-02", june(30)).batch, june(30)).day
    datetime.date(2026, 6, 13)
    """
    plan = agenda(facts, whereabouts(facts, persistence))
    return _swept(plan, Sweep(plan), [], 0)


def proposed(before, stays):
    """The standings as they would be with these stays, each in place of what its mover did then.

    Only the days from the first change on are gone over again.

    >>> from quarantine.facts import Arrival, Clearance, Facts, Stay
    >>> june = lambda day: date(2026, 6, day)
    >>> now = standings(Facts(
    ...     arrivals=(Arrival(who=("D-02",), day=june(1)), Arrival(who=("D-03",), day=june(10))),
    ...     clearances=(Clearance(who=("D-02",), day=june(1)),),
    ...     stays=(Stay(who="D-02", enclosure="E10", start=june(1)),
    ...            Stay(who="D-03", enclosure="Q1", start=june(10))),
    ... ))
    >>> then = proposed(now, [Stay(who="D-03", enclosure="E10", start=june(12))])
    >>> [(held.who, held.since.day) for held in newly_held(now, then)]
    [('D-02', 12)]
    """
    new, first = with_stays(before.agenda, stays)
    kept = [rest for rest in before.rests if rest[0] < first]
    return _swept(new, Sweep(new, kept[-1][1] if kept else None), kept, first)


def newly_held(before, after):
    """Who is held after, and was not, or only later, before; by day and code."""
    found = []
    for who in after.changed_since(before):
        known = {span.since for span in before.holds_of(who)}
        for hold in after.holds_of(who):
            if not any(hold.since == since for since in known):
                found.append(_newly(who, hold))
    return sorted(found, key=lambda x: (x.since, x.who))


def moved(before, after, day):
    """The batches whose last meeting up to ``day`` is another after than before; by name."""
    batches = {b for who in _concerned(before, after) for b in after.batches_of(who)}
    pairs = (
        Moved(batch=batch, before=before.last_met(batch, day), after=after.last_met(batch, day))
        for batch in sorted(batches)
    )
    return [pair for pair in pairs if pair.before != pair.after]


def _concerned(before, after):
    """Those whose life or visits differ, and all they share an enclosure with or leave things to.

    Only their batches can have met somebody else than before.
    """
    differing = {*after.changed_since(before), *after.moved_since(before)}
    met = set(differing)
    for where in (before.where, after.where):
        for visit in (v for who in differing for v in where.visits_of.get(who, ())):
            if visit.last >= after.since:
                met.update(_beside(where, visit, after.since))
    return met


def _beside(where, visit, since):
    for other in where.lane(visit.enclosure).overlapping(max(visit.start, since), visit.last):
        yield other.who
    for enclosure, trail, things_day in where.trails_of(visit):
        first = visit.end if things_day is None else things_day
        for other in where.lane(enclosure).overlapping(first, max(first, trail.until)):
            yield other.who


class Standings:
    """Everybody's spans and batches; made by ``standings`` or ``proposed``.

    ``since`` is the first day (an ordinal) on which a proposal can make a difference.
    """

    def __init__(self, agenda, sweep, rests, since):
        self.agenda, self.where, self.rests, self.since = agenda, agenda.where, rests, since
        self._sweep, self._known = sweep, {}

    def on(self, who, day):
        """What one is at the end of a day; ``None`` if it is not here, or not known."""
        if (who, day) not in self._known:
            self._known[who, day] = self._on(who, day)
        return self._known[who, day]

    def _on(self, who, day):
        at = day.toordinal()
        for past in self._lives(who):
            if past.since <= at < past.end:
                return self._standing(who, past, at)
        return None

    def cleared(self, who, day):
        """Whether one is here on a day and cleared."""
        standing = self.on(who, day)
        return standing is not None and standing.state == "cleared"

    def of_one_batch(self, whos, day):
        """Whether all of these are held and of one batch, so that they may be together."""
        standings = [self.on(who, day) for who in whos]
        if None in standings or any(standing.state == "cleared" for standing in standings):
            return False
        return len({standing.batch for standing in standings}) <= 1

    def history(self, who):
        """One's whole life here in spans, oldest first."""
        return tuple(_span(who, past) for past in self._lives(who))

    def members(self, batch, day):
        """Who is in a batch on a day, by membership, by birth or for want of one; by code."""
        at = day.toordinal()
        return tuple(sorted({w for w, since, end in self._in(batch) if since <= at < end}))

    def batches_on(self, day):
        """The batches that have a member on a day."""
        return {batch for batch in self._sweep.rolls if self.members(batch, day)}

    def batches_of(self, who):
        """The names of all batches one ever was in, in order of time."""
        return tuple(dict.fromkeys(was.batch for was in self._batches_of(who)))

    def last_met(self, batch, day):
        """Cause 5 of day zero: the batch's last meeting with others, up to ``day`` included."""
        members = self._in(batch)
        return _last_met(last_encounter(self._story, batch, members, day.toordinal()))

    def last_met_of(self, who, day):
        """The same of one member, for the batch it is in on ``day``."""
        standing = self.on(who, day)
        if standing is None or not standing.batch:
            return None
        members = [m for m in self._in(standing.batch) if m[0] == who]
        found = last_encounter(self._story, standing.batch, members, day.toordinal())
        return _last_met(found)

    def left_dirty(self, enclosure, day):
        """Who left something in an enclosure while held, still in force on ``day``: (who, batch).

        What the rule asks: an enclosure that last held animals not cleared when they left, and
        that was not disinfected since.  ``batch`` is the one it was in when it left; where nobody
        had opened one yet, the one opened for it since.
        """
        at = day.toordinal()
        found = set()
        for trail in self.where.trails_in(enclosure, at):
            for hold in self.holds_of(trail.who):
                if hold.carries(trail):
                    found.add((trail.who, self._batch_left(trail, min(hold.last, at))))
        return tuple(sorted(found))

    def _batch_left(self, trail, until):
        lives = self._batches_of(trail.who)
        then = next((was for was in lives if was.since <= trail.own < was.end), None)
        if then is None or then.named:
            return then.batch if then else ""
        opened = (was.batch for was in lives if was.named and trail.own < was.since <= until)
        return next(opened, then.batch)

    def holds_of(self, who):
        """One's holds, oldest first, as the sweep notes them (days as ordinals)."""
        return tuple(_hold(past) for past in self._lives(who) if past.held)

    def changed_since(self, before):
        """Those whose life differs from the one in other standings."""
        mine, theirs = self._sweep, before._sweep
        kinds = [(getattr(mine, kind), getattr(theirs, kind)) for kind in LIFE]
        whos = mine.now.keys() | mine.pasts.keys()
        return [who for who in whos if any(_other(*kind, who) for kind in kinds)]

    def moved_since(self, before):
        """Those whose visits differ from the ones in other standings."""
        mine, theirs = self.where.visits_of, before.where.visits_of
        return [who for who in mine if _other(mine, theirs, who)]

    def _lives(self, who):
        pasts = self._sweep.pasts.get(who, ())
        now = self._sweep.now.get(who)
        return (*pasts, Past(now.since, FOREVER, now.held, now.whys, "")) if now else pasts

    def _standing(self, who, past, at):
        batch, via = self._inside(who, at)
        never = batch in self.agenda.batches and self.agenda.batches[batch].never
        held = "never" if never and not via else "held"
        return Standing(
            who=who,
            state=held if past.held else "cleared",
            since=_date(past.since),
            reasons=tuple(_reason(why) for why in past.whys if why.day <= at),
            batch=batch,
            by_birth=bool(via),
        )

    def _inside(self, who, at):
        for was in self._batches_of(who):
            if was.since <= at < was.end:
                return was.batch, was.via
        return "", ""

    def _in(self, batch):
        """``(who, since, end)`` of all that ever were in a batch."""
        whos = dict.fromkeys(self._sweep.rolls.get(batch, ()))
        lives = ((who, was) for who in whos for was in self._batches_of(who))
        return [(who, was.since, was.end) for who, was in lives if was.batch == batch]

    @property
    def _story(self):
        return Story(self.where, self.holds_of, self._batches_of)

    def _batches_of(self, who):
        sweep = self._sweep
        inside, weres = sweep.ins.get(who), sweep.weres.get(who, ())
        if inside is None:
            return weres
        return (*weres, Was(inside.batch, inside.since, FOREVER, inside.named, inside.via))


def _other(mine, theirs, who):
    one, two = mine.get(who), theirs.get(who)
    return one is not two and one != two


def _swept(agenda, sweep, rests, since):
    """Go over the days that are left, keeping some states to go on from."""
    first = bisect_left(agenda.days, rests[-1][0] + 1) if rests else 0
    keep = _to_keep(len(agenda.days) - first)
    for count, day in enumerate(agenda.days[first:], 1):
        sweep.step(day)
        if count in keep:
            rests.append((day, sweep.snapshot()))
    return Standings(agenda, sweep, rests, since)


def _to_keep(days):
    """After how many days to keep the state: ever more densely towards the last.

    Going on from the nearest is then at most twice the work there is, and a handful are kept.
    """
    return {days - (1 << power) for power in range(days.bit_length())}


def _hold(past):
    cleared = past.end if past.ended == "clearance" else None
    last = past.end if past.ended in ("departure", "death") else past.end - 1
    return Hold(past.since, last, cleared, past.whys)


def _newly(who, hold):
    return NewlyHeld(who=who, since=_date(hold.since), reason=_reason(hold.whys[0]))


def _span(who, past):
    return Span(
        who=who,
        state="held" if past.held else "cleared",
        start=_date(past.since),
        end=None if past.end == FOREVER else _date(past.end),
        reasons=tuple(map(_reason, past.whys)),
        ended=past.ended,
    )


def _reason(why):
    return Reason(**why._asdict() | {"day": _date(why.day)})


def _last_met(found):
    if found is None:
        return None
    fields = found._asdict() | {"day": _date(found.day), "reason": _reason(found.why)}
    del fields["why"]
    return LastMet(**fields)


_date = date.fromordinal
