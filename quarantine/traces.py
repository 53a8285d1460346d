"""Traces: whom one can have reached along meetings, and who can have reached it. Pure.

A trace goes forward in time only: each link of a chain is on or after the day of the link before.
What one got on a day it may pass on that day by a direct meeting; an enclosure it left, or things
moved, pass on only what it had before.  The earliest day wins, then the shortest chain, then the
code.  (A temporal reachability search: earliest arrival, as in Dijkstra 1959, with the shortest
chain among the earliest; backward, a profile scan from the last day to the first.)
"""

from dataclasses import dataclass
from datetime import date, timedelta
from heapq import heappop, heappush
from typing import NamedTuple

import networkx as nx

from quarantine.sources import ways_to
from quarantine.whereabouts import Step


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
    """One that a trace reaches: the first day, and the chain of links in order of time.

    Backward, ``day`` is the first day on which the source can have got it from this one.
    """

    who: str
    day: date
    chain: tuple[Link, ...]


@dataclass(frozen=True, kw_only=True)
class ToBeTold:
    """One that was reached and has left since, or may have: the receiver is to be told."""

    who: str
    left: date
    receiver: str
    perhaps: bool = False


@dataclass(frozen=True, kw_only=True)
class Trace:
    """All that a trace reaches in its days, by day, length of chain and code."""

    source: str
    start: date
    until: date
    reached: tuple[Reached, ...]
    to_be_told: tuple[ToBeTold, ...]


def trace_start(day, last_negative=None, *, back=90):
    """The first day of a trace: the day after the last negative, at most ``back`` days back.

    >>> trace_start(date(2026, 7, 5))
    datetime.date(2026, 4, 6)
    >>> trace_start(date(2026, 7, 5), last_negative=date(2026, 6, 9))
    datetime.date(2026, 6, 10)
    """
    earliest = day - timedelta(days=back)
    return max(earliest, last_negative + timedelta(days=1)) if last_negative else earliest


def forward(where, who, start, until):
    """Whom ``who`` can have reached from ``start`` to ``until``, both included.

    >>> from quarantine.facts import Facts, Stay
    >>> from quarantine.whereabouts import whereabouts
    >>> june = lambda day: date(2026, 6, day)
    >>> stays = (
    ...     Stay(who="D-03", enclosure="E10", start=june(12), end=june(14)),
    ...     Stay(who="D-02", enclosure="E10", start=june(1), end=june(20)),
    ...     Stay(who="D-02", enclosure="E11", start=june(20)),
    ...     Stay(who="D-05", enclosure="E11", start=june(1)),
    ... )
    >>> trace = forward(whereabouts(Facts(stays=stays)), "D-03", june(10), june(30))
    >>> [(r.who, r.day.day, [link.giver for link in r.chain]) for r in trace.reached]
    [('D-02', 12, ['D-03']), ('D-05', 20, ['D-03', 'D-02'])]
    """
    source = _Label(who, start.toordinal(), 0, None, None)
    reached = _spread(where, [source], until.toordinal())
    return _trace(where, who, start, until, _chains(reached, who))


def forward_from_enclosure(where, enclosure, start, until):
    """Whom something in an enclosure can have reached: all that stayed there, and on from them.

    Everybody that stayed there in those days counts, disinfected or not: nobody knows on which of
    the days it came into the enclosure.
    """
    first, last = start.toordinal(), until.toordinal()
    sources = []
    for visit in where.lane(enclosure).overlapping(first, last):
        day = max(first, visit.start)
        step = Step(enclosure, visit.who, day, "enclosure", enclosure)
        sources.append(_Label(visit.who, day, 1, step, None))
    reached = _spread(where, sources, last)
    return _trace(where, enclosure, start, until, _chains(reached, None))


def backward(where, who, start, until):
    """Who can have given it to ``who`` by ``until``, had they had it on ``start`` or since.

    >>> from quarantine.facts import Facts, Stay
    >>> from quarantine.whereabouts import whereabouts
    >>> june = lambda day: date(2026, 6, day)
    >>> stays = (
    ...     Stay(who="D-03", enclosure="E10", start=june(12), end=june(14)),
    ...     Stay(who="D-02", enclosure="E10", start=june(1)),
    ... )
    >>> trace = backward(whereabouts(Facts(stays=stays)), "D-02", june(1), june(30))
    >>> [(r.who, r.day.isoformat(), len(r.chain)) for r in trace.reached]
    [('D-03', '2026-06-12', 1)]
    """
    chains = ways_to(where, who, start.toordinal(), until.toordinal())
    return _trace(where, who, start, until, chains)


def as_graph(trace):
    """The links of a trace as a graph: edges with ``day``, ``how`` and ``enclosure``."""
    graph = nx.DiGraph()
    graph.add_node(trace.source)
    for link in (link for reached in trace.reached for link in reached.chain):
        graph.add_edge(link.giver, link.taker, day=link.day, how=link.how, enclosure=link.enclosure)
    return graph


class _Label(NamedTuple):
    """One is reached on a day by a chain of a length; ``step`` is its last, ``parent`` the rest."""

    who: str
    day: int
    length: int
    step: Step | None
    parent: tuple | None


def _spread(where, sources, until):
    """The first label of everybody reached, in the order in which they are reached."""
    heap, shortest, first = [], {}, {}
    for label in sources:
        heappush(heap, (label.day, label.length, "", label.who, label))
    while heap:
        *_, label = heappop(heap)
        # A later label counts only with a shorter chain: others may be reached from it as early.
        if label.length >= shortest.get(label.who, label.length + 1):
            continue
        shortest[label.who] = label.length
        first.setdefault(label.who, label)
        for step in _steps(where, label, until):
            if label.length + 1 < shortest.get(step.taker, label.length + 2):
                new = _Label(step.taker, step.day, label.length + 1, step, label)
                heappush(heap, (new.day, new.length, step.giver, new.who, new))
    return first


def _steps(where, label, until):
    """Every step by which one with a label passes it on."""
    for visit in where.visits_of.get(label.who, ()):
        if visit.last >= label.day and visit.start <= until:
            yield from _met(where, label, visit, until)
            yield from _left_to(where, label, visit, until)
    for day, young in where.broods.get(label.who, ()):
        if label.day <= day <= until:
            yield Step(label.who, young, day, "born", "")


def _met(where, label, visit, until):
    since = max(visit.start, label.day)
    for other in where.lane(visit.enclosure).overlapping(since, min(visit.last, until)):
        if other.who != label.who:
            day = max(since, other.start)
            yield Step(label.who, other.who, day, "direct", visit.enclosure)


def _left_to(where, label, visit, until):
    """Those that come to what a visit left, and those to whom things are brought."""
    for enclosure, trail, things_day in where.trails_of(visit):
        if label.day > (trail.own if label.length == 0 else trail.by):
            continue
        lane = where.lane(enclosure)
        came = visit.end
        if things_day is not None:
            came = things_day + 1
            for other in lane.overlapping(things_day, min(things_day, until)):
                yield Step(label.who, other.who, things_day, trail.how, enclosure)
        for other in lane.coming(came, min(trail.until, until)):
            yield Step(label.who, other.who, other.start, trail.how, enclosure)


def _chains(labels, source):
    return {who: _steps_to(label) for who, label in labels.items() if who != source}


def _steps_to(label):
    steps = []
    while label is not None and label.step is not None:
        steps.append(label.step)
        label = label.parent
    return steps[::-1]


def _trace(where, source, start, until, chains):
    reached = [
        Reached(who=who, day=_date(steps[-1].day), chain=tuple(map(_link, steps)))
        for who, steps in chains.items()
    ]
    reached.sort(key=lambda r: (r.day, len(r.chain), r.who))
    return Trace(
        source=source,
        start=start,
        until=until,
        reached=tuple(reached),
        to_be_told=tuple(_to_be_told(where, source, start, until, reached)),
    )


def _to_be_told(where, source, start, until, reached):
    """Those that left alive, or may have, on or after the day they were reached, the source too."""
    days = {source: start, **{r.who: r.day for r in reached}}
    for who, day in days.items():
        for leave in where.leaves.get(who, ()):
            left = _date(leave.day)
            if leave.kind == "departure" and day <= left <= until:
                yield ToBeTold(who=who, left=left, receiver=leave.receiver)
        for left, receiver in where.perhaps_left.get(who, ()):
            if day.toordinal() <= left <= until.toordinal():
                yield ToBeTold(who=who, left=_date(left), receiver=receiver, perhaps=True)


def _link(step):
    return Link(**step._asdict() | {"day": _date(step.day)})


_date = date.fromordinal
