"""The dated facts from which contacts and standings follow: plain values, no Django.

Every fact has the day it is about, the day it was ``entered`` (``None``: on the day it is about)
and, once a correction replaced it, the day it was ``withdrawn``.  ``who`` is the code of an animal
or of a clutch: any string, unique over both.  ``key`` is the caller's own name for the row, handed
back in every reason that rests on it.  Days are ``datetime.date``; an ``end`` is the first day that
no longer counts, and ``None`` while it runs.
"""

from dataclasses import dataclass, fields, replace
from datetime import date


class EndsBeforeItStarts(ValueError):
    """A stay or a membership ends before its first day."""

    def __init__(self, fact):
        self.fact = fact
        super().__init__(f"{fact.who}: the end {fact.end} is before the first day {fact.start}.")


@dataclass(frozen=True, kw_only=True)
class Stay:
    """An animal or a clutch in one enclosure, up to, not including, ``end``.

    ``ended_entered`` is the day the end was entered (``None``: on the day of the end).
    A stay begun and ended on one day counts as that day.
    """

    who: str
    enclosure: str
    start: date
    end: date | None = None
    entered: date | None = None
    ended_entered: date | None = None
    withdrawn: date | None = None
    key: str = ""

    def __post_init__(self):
        if self.end is not None and self.end < self.start:
            raise EndsBeforeItStarts(self)


@dataclass(frozen=True, kw_only=True)
class Station:
    """An enclosure stands in a unit: from ``start`` (``None``: ever since) up to ``end``."""

    enclosure: str
    unit: str
    start: date | None = None
    end: date | None = None
    entered: date | None = None
    ended_entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Disinfection:
    """An enclosure is disinfected on a day."""

    enclosure: str
    day: date
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Transfer:
    """Plants, water or tools go from the enclosure ``source`` to ``target`` on a day."""

    source: str
    target: str
    day: date
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Arrival:
    """Animals come together from one source on one day; ``key`` names the arrival."""

    who: tuple[str, ...]
    day: date
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Departure:
    """An animal or clutch leaves alive on a day (sale, gift, loan, escape), to ``receiver``."""

    who: str
    day: date
    receiver: str = ""
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class PerhapsLeft:
    """One of several left alive on a day, to ``receiver``, and it may have been this one.

    Until that is settled it may be here and may be there: it goes on meeting others, and the
    receiver is told of what reached it.
    """

    who: str
    day: date
    receiver: str = ""
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Death:
    """An animal dies, or a clutch is lost, on a day; missing for seven days counts as death."""

    who: str
    day: date
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Laying:
    """A clutch is laid in an enclosure; ``parents`` are all that may be its parents."""

    clutch: str
    enclosure: str
    day: date
    parents: tuple[str, ...] = ()
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Birth:
    """Young leave a clutch as an animal of its own on a day (the separation).

    Young found without a known clutch: give one of its own, with a Laying on the earliest day and
    a Stay in the enclosure where the young was found.
    """

    who: str
    clutch: str
    day: date
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Batch:
    """What the protocol says of a batch: ``never`` releases nobody; ``outgoing`` holds nobody."""

    batch: str
    day: date
    never: bool = False
    outgoing: bool = False
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Membership:
    """An animal or clutch is in a batch from ``start`` (joining) up to ``end`` (split off)."""

    who: str
    batch: str
    start: date
    end: date | None = None
    entered: date | None = None
    ended_entered: date | None = None
    withdrawn: date | None = None
    key: str = ""

    def __post_init__(self):
        if self.end is not None and self.end < self.start:
            raise EndsBeforeItStarts(self)


@dataclass(frozen=True, kw_only=True)
class Clearance:
    """A signed release of those named, and of the young that are in ``batch`` only by birth."""

    who: tuple[str, ...]
    day: date
    batch: str = ""
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class HandHold:
    """Somebody holds an animal, an enclosure or a unit (one of the three) from ``start``.

    From ``end``, when it is lifted, it takes nobody more in; those it holds wait for a clearance.
    """

    start: date
    who: str = ""
    enclosure: str = ""
    unit: str = ""
    end: date | None = None
    entered: date | None = None
    ended_entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Positive:
    """A positive whose verdict restarts, on its sample day: of those named, or of an enclosure."""

    day: date
    who: tuple[str, ...] = ()
    enclosure: str = ""
    entered: date | None = None
    withdrawn: date | None = None
    key: str = ""


@dataclass(frozen=True, kw_only=True)
class Facts:
    """All facts of a register, in any order; later questions take this as it is."""

    stays: tuple[Stay, ...] = ()
    stations: tuple[Station, ...] = ()
    disinfections: tuple[Disinfection, ...] = ()
    transfers: tuple[Transfer, ...] = ()
    arrivals: tuple[Arrival, ...] = ()
    departures: tuple[Departure, ...] = ()
    perhaps_left: tuple[PerhapsLeft, ...] = ()
    deaths: tuple[Death, ...] = ()
    layings: tuple[Laying, ...] = ()
    births: tuple[Birth, ...] = ()
    batches: tuple[Batch, ...] = ()
    memberships: tuple[Membership, ...] = ()
    clearances: tuple[Clearance, ...] = ()
    hand_holds: tuple[HandHold, ...] = ()
    positives: tuple[Positive, ...] = ()


def first_day(fact):
    """The day a fact is about; ``None`` for a station that was ever there."""
    return fact.start if hasattr(fact, "start") else fact.day


def _sifted(facts, keep):
    """The facts, each row passed through ``keep``, which gives a row or ``None``."""
    kinds = (field.name for field in fields(facts))
    return Facts(
        **{
            kind: tuple(kept for row in getattr(facts, kind) if (kept := keep(row)) is not None)
            for kind in kinds
        }
    )


def as_known_now(facts):
    """The facts that no correction has replaced."""
    return _sifted(facts, lambda row: row if row.withdrawn is None else None)


def entered_by(facts, day):
    """The facts entered up to ``day`` included, plans for later days too, ends likewise.

    >>> from datetime import date
    >>> late = Stay(who="D-03", enclosure="E10", start=date(2026, 6, 12), entered=date(2026, 7, 5))
    >>> [len(entered_by(Facts(stays=(late,)), date(2026, 7, d)).stays) for d in (4, 5, 6)]
    [0, 1, 1]
    """

    def keep(row):
        if row.withdrawn is not None and row.withdrawn <= day:
            return None
        entered = row.entered or first_day(row)
        if entered is not None and entered > day:
            return None
        return replace(row, withdrawn=None, **_unknown_end(row, day))

    return _sifted(facts, keep)


def _unknown_end(row, day):
    """What to change in a row whose end was entered after ``day``."""
    end = getattr(row, "end", None)
    if end is None or (row.ended_entered or end) <= day:
        return {}
    return {"end": None, "ended_entered": None}


def dated_up_to(facts, day):
    """The facts about days up to ``day`` included."""
    return _sifted(facts, lambda row: row if (first_day(row) or day) <= day else None)


def true_on(facts, day):
    """What was true on ``day``: all facts dated up to it, as they are known now."""
    return dated_up_to(as_known_now(facts), day)


def known_on(facts, day):
    """What was known on ``day``: facts dated up to it and entered up to it, both included."""
    return dated_up_to(entered_by(facts, day), day)
