"""Who was in a batch when, also where it was split: facts up to that day count for both parts.

Positives and unexplained deaths count for both up to 14 days after, the 14th included.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from quarantine.evidence import Death, Facts, Membership, OneOf, Split, Stay
from registry.assigning import certain

SHARED_DAYS = 14
MISSING_DAYS = 7
ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class Span:
    """What befell a member counts for the batch from ``first`` to ``last``, both included.

    Its positives and its death count up to ``shared``; ``batch`` is the part it was then in.
    """

    batch: str
    member: str
    first: date
    last: date
    shared: date


def lineage(splits: Iterable[Split], batch: str) -> dict[str, date]:
    """Return a batch and those it was split from, each with the last day its facts count.

    >>> day = date(2026, 4, 1)
    >>> split = Split(key="s1", whole="B", part="B/2", day=day, entered=day)
    >>> lineage([split], "B/2") == {"B/2": date.max, "B": day}
    True
    """
    whole_of = {split.part: split for split in sorted(splits, key=lambda s: (s.day, s.key))}
    until = {batch: date.max}
    while (split := whole_of.get(batch)) and split.whole not in until:
        until[split.whole] = min(until[batch], split.day)
        batch = split.whole
    return until


def together_until(facts: Facts, other: str) -> date | None:
    """Return the last day on which the batch and another were one; ``None`` if they never were."""
    mine, theirs = lineage(facts.splits, facts.batch), lineage(facts.splits, other)
    return next((min(mine[batch], theirs[batch]) for batch in mine if batch in theirs), None)


def spans(facts: Facts) -> dict[str, list[Span]]:
    """Return for each animal when what befell it counts for the batch."""
    together = {m.batch: None for m in facts.memberships}
    together = {batch: together_until(facts, batch) for batch in together}
    found: dict[str, list[Span]] = {}
    for membership in facts.memberships:
        for span in _spans(membership, together[membership.batch]):
            found.setdefault(span.member, []).append(span)
    return found


def _spans(membership: Membership, together: date | None) -> Iterator[Span]:
    if together is None:
        return
    last, first = _last_day(membership), membership.joined
    shared = date.max if together == date.max else together + timedelta(days=SHARED_DAYS)
    if first <= min(last, shared):
        yield Span(
            batch=membership.batch,
            member=membership.member,
            first=first,
            last=min(last, together),
            shared=min(last, shared),
        )


def _last_day(membership: Membership) -> date:
    if membership.left is None:
        return date.max
    return max(membership.joined, membership.left - ONE_DAY)


def deaths(facts: Facts, day: date) -> list[Death]:
    """Return the deaths; an animal missing for 7 days counts as dead from the seventh on."""
    lost = (m for m in facts.missing if m.found is None)
    counted = [
        Death(
            key=m.key,
            member=m.member,
            day=m.since + timedelta(days=MISSING_DAYS),
            entered=m.entered,
        )
        for m in lost
    ]
    return [*facts.deaths, *(death for death in counted if death.day <= day)]


def living(facts: Facts, day: date) -> list[Membership]:
    """Return the memberships of those who are in the batch and alive."""
    dead = {death.member for death in deaths(facts, day)} | surely_gone(facts, day)
    stay = {m.member: m for m in facts.memberships if m.batch == facts.batch and m.left is None}
    return [stay[member] for member in sorted(stay) if member not in dead]


def surely_gone(facts: Facts, day: date) -> set[str]:
    """Return those of several that must be the ones that died or left: no others are left.

    One sampled or watched since by its own name was another one; a sample of all of them proves
    nothing about any.
    """
    if not facts.one_of:
        return set()
    known = {death.member: death.day for death in deaths(facts, day)}
    known |= {m.member: m.left for m in facts.memberships if m.left}
    return certain({one.event: _possible(facts, one, known) for one in facts.one_of})


def _possible(facts: Facts, one: OneOf, known: dict[str, date]) -> set[str]:
    could = set(one.members) - known.keys()
    return could - set(_seen_after(facts, one, could)) or could


def _seen_after(facts: Facts, one: OneOf, could: set[str]) -> Iterator[str]:
    for sample in facts.samples:
        if sample.taken > one.day and not could <= sample.members:
            yield from sample.members
    for seen in (*facts.weights, *facts.meals):
        if seen.day > one.day:
            yield seen.member
    for sign in facts.signs:
        if sign.first > one.day:
            yield sign.member


def stays_at(stays: Iterable[Stay], day: date) -> Iterator[Stay]:
    """Yield the stays that count on a day; one begun and ended on one day counts as that day."""
    for stay in stays:
        if stay.first <= day and (stay.last is None or day < stay.last or stay.first == day):
            yield stay
