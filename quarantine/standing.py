"""What each animal or clutch is on a day, and why: pure, one forward sweep over the days.

standings(facts, persistence=200) -> Standings
    .on(who, day) -> Standing | None          None: not here, not known, or dead
    .history(who) -> tuple[Span, ...]         the whole life in spans, oldest first
    .cleared(who, day) -> bool
    .of_one_batch(whos, day) -> bool          all held, all in one batch (placement's exception)
    .members(batch, day) -> tuple[str, ...]   living, named or by birth
    .last_met(batch, day) -> LastMet | None   cause 5 of day zero
proposed(standings, stays, ended=()) -> Standings    the same with stays added and stays ended
newly_held(before, after) -> list[NewlyHeld]         what a proposal or a late entry would do

Give it ``quarantine.facts.true_on(facts, day)`` or ``known_on(facts, day)``.
"""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, kw_only=True)
class Reason:
    """Why somebody is held, and since when for this reason.

    ``kind`` is "arrival", "batch" (joined it), "stay" (known only from one), "hand", "positive",
    "met" or "born".  ``source`` is whom it met, or the clutch it was born from; ``batch`` the batch
    it joined, or the source's batch that day; ``how`` and ``enclosure`` tell a meeting;
    ``key`` is that of the fact (arrival, hold, positive).
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

    ``batch`` is the batch it is in; where nobody opened one, a name that begins with
    "arrival:", "stay:", "hand:", "positive:", "exposed:" or "born:".  ``by_birth`` tells that it
    is in it only because its parents are.
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
    """Held after, and not before (or only later): since when and why."""

    who: str
    since: date
    reason: Reason
