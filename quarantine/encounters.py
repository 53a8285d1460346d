"""The last day a batch met somebody held for another reason than having met it. Pure.

A day is its ordinal.  ``story`` is a ``Story``: what the sweep found of everybody.
"""

from collections.abc import Callable
from typing import NamedTuple

from quarantine.spans import OWN, Why


class Encounter(NamedTuple):
    """A member met another on ``day``, and why that one was held."""

    day: int
    member: str
    other: str
    why: Why
    how: str
    enclosure: str


class Hold(NamedTuple):
    """One is held from ``since`` to ``last``, both included; ``cleared`` is the day of release."""

    since: int
    last: int
    cleared: int | None
    whys: tuple

    def carries(self, trail):
        """Whether a trail carries a hold: it was held when it left, and not cleared that day."""
        if trail.own > trail.by:
            # Things take what those there have when the meetings of the day begin.
            own = any(why.kind in OWN and why.day == trail.own for why in self.whys)
            return (self.since <= trail.by or own) and self.since <= trail.own <= self.last
        return self.since <= trail.by <= self.last and self.cleared != trail.left


class Story(NamedTuple):
    """Where everybody was; ``holds(who)`` and ``batches(who)`` give one's, oldest first."""

    where: object
    holds: Callable
    batches: Callable


def last_encounter(story, batch, members, until):
    """The latest encounter up to ``until`` of a batch, ``None`` if there was none.

    ``members`` yields ``(who, since, end)``.  Of several on one day, the first by code.
    """
    spans = [
        (min(visit.last, max(end - 1, since), until), since, visit)
        for who, since, end in members
        for visit in story.where.visits_of.get(who, ())
    ]
    best = None
    for last, since, visit in sorted(spans, key=lambda span: -span[0]):
        if best is not None and last < best.day:
            return best
        since = max(since, best.day) if best is not None else since
        found = [*_of_visit(story, batch, visit, since, last)]
        best = min(found if best is None else [best, *found], key=_rank, default=None)
    return best


def _rank(encounter):
    return -encounter.day, encounter.member, encounter.other, encounter.how


def _of_visit(story, batch, visit, since, until):
    first, last = max(visit.start, since), min(visit.last, until)
    if first > last:
        return
    for other in story.where.lane(visit.enclosure).overlapping(first, last):
        if other.who != visit.who:
            days = max(first, other.start), min(last, other.last)
            yield from _direct(story, batch, visit, other, *days)
    if since <= visit.start:
        for trail in story.where.trails_in(visit.enclosure, visit.start):
            yield from _by_trail(story, batch, visit, trail, visit.start, trail.how)
    for day, source in story.where.received.get(visit.enclosure, ()):
        if first <= day <= last:
            for trail in story.where.brought(source, day):
                yield from _by_trail(story, batch, visit, trail, day, "things")


def _direct(story, batch, visit, other, first, last):
    for hold in story.holds(other.who):
        day = _last_outside(story, other.who, batch, min(last, hold.last))
        if day >= max(first, hold.since):
            why = _other_reason(story, hold, batch, day)
            if why:
                yield Encounter(day, visit.who, other.who, why, "direct", visit.enclosure)


def _by_trail(story, batch, visit, trail, day, how):
    if trail.who == visit.who or _was_in(story, trail.who, batch, day, day):
        return
    if _was_in(story, trail.who, batch, trail.by, trail.by):
        return
    for hold in story.holds(trail.who):
        if hold.carries(trail):
            why = _other_reason(story, hold, batch, trail.own)
            if why:
                yield Encounter(day, visit.who, trail.who, why, how, visit.enclosure)


def _other_reason(story, hold, batch, day):
    """The first reason of a hold, up to a day, that is not having met (or come of) this batch."""
    for why in hold.whys:
        if why.day <= day and not _is_of(story, why, batch, day):
            return why
    return None


def _is_of(story, why, batch, day):
    if why.kind in OWN:
        return False
    return why.batch == batch or _was_in(story, why.source, batch, why.day, day)


def _was_in(story, who, batch, first, last):
    return any(
        was.batch == batch and was.since <= last and first < max(was.end, was.since + 1)
        for was in story.batches(who)
    )


def _last_outside(story, who, batch, day):
    """The last day up to ``day`` on which one was not in the batch."""
    inside = [w for w in story.batches(who) if w.batch == batch]
    while any(w.since <= day < w.end for w in inside):
        day = min(w.since for w in inside if w.since <= day < w.end) - 1
    return day
