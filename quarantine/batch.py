"""A batch as its facts show it on a day: who was in it when, which positives and courses count.

Where a batch was split, facts up to that day count for both parts; positives and unexplained
deaths also up to 14 days after, the 14th included.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from quarantine.evidence import (
    Course,
    Death,
    Facts,
    Membership,
    Opening,
    Outcome,
    Result,
    Sample,
    Split,
    Stay,
)
from quarantine.protocols import Protocol, Verdict

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
    dead = {death.member for death in deaths(facts, day)}
    stay = {m.member: m for m in facts.memberships if m.batch == facts.batch and m.left is None}
    return [stay[member] for member in sorted(stay) if member not in dead]


def stays_at(stays: Iterable[Stay], day: date) -> Iterator[Stay]:
    """Yield the stays that count on a day; one begun and ended on one day counts as that day.

    >>> day = date(2026, 4, 1)
    >>> stay = Stay(key="s", member="M1", enclosure="Q1", unit="Q", entered=day,
    ...             first=day, last=day)
    >>> [s.member for s in stays_at([stay], day)]
    ['M1']
    """
    for stay in stays:
        if stay.first <= day and (stay.last is None or day < stay.last or stay.first == day):
            yield stay


class NotOpened(Exception):
    """A batch was not open on a day, or not known to be."""

    def __init__(self, batch: str, day: date):
        self.batch, self.day = batch, day
        super().__init__(f"{batch} was not open on {day:%d %b %Y}, or was not known to be.")


@dataclass(frozen=True, kw_only=True, slots=True)
class Positive:
    """A positive result with its verdict, and whom of the batch the sample covered."""

    sample: Sample
    result: Result
    verdict: Verdict | None
    who: tuple[str, ...]
    batch: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Batch:
    """The facts of a batch that stand on ``day``; ``covered`` are the animals of each sample."""

    facts: Facts
    day: date
    opening: Opening
    spans: dict[str, list[Span]]
    living: tuple[Membership, ...]
    deaths: tuple[Death, ...]
    covered: dict[str, frozenset[str]]
    positives: tuple[Positive, ...]
    courses: tuple[Course, ...]

    @property
    def protocol(self) -> Protocol:
        """The protocol version the batch was opened under."""
        return self.opening.protocol


def gathered(facts: Facts, day: date) -> Batch:
    """Sort out the facts that stand on a day; raise :class:`NotOpened` where no opening does."""
    covered, when = _covered(facts), spans(facts)
    return Batch(
        facts=facts,
        day=day,
        opening=_opening(facts, day),
        spans=when,
        living=tuple(living(facts, day)),
        deaths=tuple(deaths(facts, day)),
        covered=covered,
        positives=tuple(_positives(facts, covered, when)),
        courses=tuple(_courses(facts)),
    )


def _opening(facts, day):
    for batch in lineage(facts.splits, facts.batch):
        own = [opening for opening in facts.openings if opening.batch == batch]
        if own:
            return max(own, key=lambda opening: (opening.entered, opening.key))
    raise NotOpened(facts.batch, day)


def _covered(facts: Facts) -> dict[str, frozenset[str]]:
    in_enclosure: dict[str, list] = {}
    for stay in facts.stays:
        in_enclosure.setdefault(stay.enclosure, []).append(stay)
    return {
        sample.key: sample.members or _staying(in_enclosure.get(sample.enclosure, ()), sample.taken)
        for sample in facts.samples
    }


def _staying(stays, day):
    return frozenset(stay.member for stay in stays_at(stays, day))


def _positives(facts, covered, when) -> Iterator[Positive]:
    samples = {sample.key: sample for sample in facts.samples}
    for result in sorted(facts.results, key=lambda result: result.key):
        if result.outcome is Outcome.POSITIVE and result.sample in samples:
            sample = samples[result.sample]
            found = sorted(shared(covered[sample.key], when, sample.taken))
            if found:
                yield Positive(
                    sample=sample,
                    result=result,
                    verdict=verdict_of(result, facts),
                    who=tuple(dict.fromkeys(member for _, member in found)),
                    batch=found[0][0],
                )


def verdict_of(result: Result, facts: Facts) -> Verdict | None:
    """Return what a positive means: the verdict given, else that of its assay."""
    means = {assay.code: assay.positive_means for assay in facts.assays}
    return result.verdict or means.get(result.assay)


def shared(members, when, day) -> Iterator[tuple[str, str]]:
    """Yield (part, member) for the members whose positives of a day count for the batch."""
    for member in members:
        for span in when.get(member, ()):
            if span.first <= day <= span.shared:
                yield span.batch, member


def _courses(facts: Facts) -> Iterator[Course]:
    together = {batch: together_until(facts, batch) for batch in {c.batch for c in facts.courses}}
    for course in sorted(facts.courses, key=lambda course: course.key):
        until = together[course.batch]
        if until is not None and course.first_dose <= until:
            yield course
