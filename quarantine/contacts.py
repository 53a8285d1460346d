"""Who met whom, and traces along the meetings: pure, every question takes its days.

whereabouts(facts, persistence=200) -> Whereabouts      index once, ask many times
company(where, enclosure, day) -> tuple[str, ...]       who stays there that day
left_behind(where, enclosure, day) -> tuple[Left, ...]  who left, still within the persistence days
meetings(where, who, start, until) -> list[Meeting]     direct, through an enclosure, things moved
would_meet(where, stay) -> list[Meeting]                the same for a stay that is only proposed
unit_contacts(where, who, start, until) -> list[UnitContact]    weaker: only a unit in common
trace_start(day, last_negative=None, back=90) -> date
forward(where, who, start, until) -> Trace              whom it can have reached
forward_from_enclosure(where, enclosure, start, until) -> Trace
backward(where, who, start, until) -> Trace             who can have given it
as_graph(trace) -> networkx.DiGraph

Build ``where`` from ``quarantine.facts.true_on(facts, day)`` or ``known_on(facts, day)``.
"""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, kw_only=True)
class Meeting:
    """Two met: ``how`` is "direct" (both ways), "through" or "things" (from giver to taker).

    ``last`` is the last day of it, ``None`` while it runs; one-way meetings are of one day.
    """

    giver: str
    taker: str
    first: date
    last: date | None
    how: str
    enclosure: str


@dataclass(frozen=True, kw_only=True)
class Left:
    """Somebody left an enclosure on a day, and nobody disinfected it since."""

    who: str
    day: date


@dataclass(frozen=True, kw_only=True)
class UnitContact:
    """Two stayed in one unit, in different enclosures, from ``first`` to ``last``."""

    who: str
    other: str
    unit: str
    first: date
    last: date | None


@dataclass(frozen=True, kw_only=True)
class Link:
    """One step of a chain: ``how`` is "direct", "through", "things", "born" or "enclosure"."""

    giver: str
    taker: str
    day: date
    how: str
    enclosure: str


@dataclass(frozen=True, kw_only=True)
class Reached:
    """One that a trace reaches: first day, and the chain of links, in order of time."""

    who: str
    day: date
    chain: tuple[Link, ...]


@dataclass(frozen=True, kw_only=True)
class ToBeTold:
    """One that was reached and has left since: the receiver is to be told."""

    who: str
    left: date
    receiver: str


@dataclass(frozen=True, kw_only=True)
class Trace:
    """All that a trace reaches in its days, by day, chain length and code."""

    source: str
    start: date
    until: date
    reached: tuple[Reached, ...]
    to_be_told: tuple[ToBeTold, ...]
