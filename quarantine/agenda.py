"""What happens on which day, sorted by kind, for the sweep over the days. Pure."""

from collections import defaultdict
from dataclasses import dataclass, field

from quarantine.whereabouts import FOREVER

KINDS = (
    "returning",  # leaves of those that arrive again the same day
    "ending",  # visits of more than one day that end
    "arriving",
    "parting",  # memberships that end
    "joining",
    "starting",  # visits that start
    "clearing",
    "holding",  # hand holds that start
    "placing",  # enclosures that come into a unit
    "positive",
    "moving",  # things moved
    "laying",
    "bearing",  # young leaving a clutch
    "leaving",
)


@dataclass(frozen=True, kw_only=True)
class Agenda:
    """Per kind, the entries of each day (an ordinal); holds that are in force; batch flags."""

    where: object
    events: dict
    holds: tuple
    batches: dict
    days: list = field(default_factory=list)

    def on(self, kind, day):
        """The entries of a kind on a day."""
        return self.events[kind].get(day, ())


def agenda(facts, where):
    """Put all facts on their days."""
    events = {kind: defaultdict(list) for kind in KINDS}
    for kind, day, entry in _entries(facts, where):
        events[kind][day].append(entry)
    return Agenda(
        where=where,
        events=events,
        holds=tuple(h for h in facts.hand_holds if h.enclosure or h.unit),
        batches={b.batch: b for b in facts.batches},
        days=sorted(set().union(*events.values())),
    )


def with_stays(old, stays):
    """The agenda as it would be with proposed stays, and the first day that changes."""
    where = old.where.with_stays(stays)
    events = old.events | {kind: dict(old.events[kind]) for kind in ("starting", "ending")}
    changed, days = FOREVER, set(old.days)
    for who in {stay.who for stay in stays}:
        before, after = old.where.visits_of.get(who, ()), where.visits_of[who]
        gone, new = [v for v in before if v not in after], [v for v in after if v not in before]
        for kind, day, visit in (entry for v in gone for entry in _visit(v)):
            events[kind][day] = [other for other in events[kind][day] if other != visit]
        for kind, day, visit in (entry for v in new for entry in _visit(v)):
            events[kind][day] = [*events[kind].get(day, ()), visit]
            days.add(day)
        changed = min(
            [changed, *(_differs(v, gone) for v in new), *(_differs(v, new) for v in gone)]
        )
    batches, holds = old.batches, old.holds
    new = Agenda(where=where, events=events, holds=holds, batches=batches, days=sorted(days))
    return new, changed


def _differs(visit, others):
    """The first day on which a visit is another than before: where only its end is, that."""
    for other in others:
        if other[:3] == visit[:3] and visit.start < min(visit.end, other.end):
            return min(visit.end, other.end)
    return visit.start


def _entries(facts, where):
    for visits in where.visits_of.values():
        for visit in visits:
            yield from _visit(visit)
    for who, leaves in where.leaves.items():
        for leave in leaves:
            yield "returning" if leave.returns else "leaving", leave.day, (who, leave.kind)
    for arrival in facts.arrivals:
        yield "arriving", arrival.day.toordinal(), arrival
    yield from _memberships(facts)
    for clearance in facts.clearances:
        yield "clearing", clearance.day.toordinal(), clearance
    yield from _holds(facts)
    for transfer in facts.transfers:
        yield "moving", transfer.day.toordinal(), (transfer.source, transfer.target)
    for clutch, parents, day in where.layings:
        yield "laying", day, (clutch, parents)
    for young, clutch, day in where.births:
        yield "bearing", day, (young, clutch)


def _visit(visit):
    yield "starting", visit.start, visit
    if visit.start < visit.end < FOREVER:
        yield "ending", visit.end, visit


def _memberships(facts):
    for membership in facts.memberships:
        yield "joining", membership.start.toordinal(), membership
        if membership.end is not None:
            yield "parting", membership.end.toordinal(), membership


def _holds(facts):
    for hold in facts.hand_holds:
        yield "holding", hold.start.toordinal(), hold
    for station in facts.stations:
        if station.start is not None:
            yield "placing", station.start.toordinal(), station.enclosure
    for positive in facts.positives:
        yield "positive", positive.day.toordinal(), positive
