"""What the tests of a protocol still ask of a batch: who met them, what is due, what awaited."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from quarantine.batch import Batch, shared, verdict_of
from quarantine.evidence import Outcome, Result, Sample
from quarantine.protocols import Per, Test, Verdict
from quarantine.readings import Awaited, Due, MembersMissing, NegativesMissing
from quarantine.sampling import Plan, Window, counts, plan
from quarantine.starts import expected_last, last_event


@dataclass(frozen=True, kw_only=True, slots=True)
class Progress:
    """How far a test is: a plan for each member it asks, those who will meet it soonest first."""

    test: Test
    plans: dict[str, Plan]
    asked: int

    @property
    def members(self) -> list[str]:
        """The members who must meet the test, k of the batch or all."""
        soonest = sorted(self.plans, key=lambda member: (self.plans[member].ready, member))
        return soonest[: self.asked]

    @property
    def unmet(self) -> list[str]:
        """Those of the members who have not met it yet."""
        return [m for m in self.members if self.plans[m].counted < self.test.negatives]


def progress(batch: Batch, zero: date) -> list[Progress]:
    """Return how far each test of the protocol is, its days counted from a day zero."""
    event = last_event(batch)
    tests = batch.protocol.tests
    return [_progress(batch, test, _window(batch, test, zero, event)) for test in tests]


def _progress(batch, test, window) -> Progress:
    asked = [m.member for m in batch.living if m.tailed or not test.tailed_only]
    samples = _samples(batch, test, window)
    plans: dict[tuple, Plan] = {}
    for member in asked:
        taken = samples.setdefault(member, ())
        if taken not in plans:
            plans[taken] = plan(taken, window)
    k = len(asked) if test.members_asked is None else min(test.members_asked, len(asked))
    return Progress(test=test, plans={m: plans[samples[m]] for m in asked}, asked=k)


def _window(batch: Batch, test: Test, zero: date, event: date | None) -> Window:
    after = [p.sample.taken for p in _tested_again(batch, test)] + ([event] if event else [])
    start = zero.toordinal()
    return Window(
        negatives=test.negatives,
        gap=test.gap,
        first_from=max([start + test.first_from, *(day.toordinal() + 1 for day in after)]),
        last_from=start + test.last_from,
        laboratory=batch.protocol.laboratory_days,
        today=batch.day.toordinal(),
        washouts=tuple(_washouts(batch, test)),
    )


def _tested_again(batch, test):
    return (
        p
        for p in batch.positives
        if p.verdict == Verdict.TEST_AGAIN and p.result.assay == test.assay
    )


def _washouts(batch: Batch, test: Test) -> Iterator[tuple[int, int]]:
    for course in batch.courses:
        if test.assay in course.against:
            last = expected_last(course, batch.day).toordinal() + batch.protocol.washout_days
            yield course.first_dose.toordinal(), last


def _samples(batch, test, window) -> dict[str, tuple[tuple[int, int], ...]]:
    """Return for each member the samples that count or may, as (taken, result known) days."""
    samples: dict[str, list[tuple[int, int]]] = {}
    for sample in batch.facts.samples:
        taken = sample.taken.toordinal()
        if _stands_for(sample, test) and counts(taken, window):
            known = _known(sample, test.assay, batch)
            for member in batch.covered[sample.key] if known else ():
                samples.setdefault(member, []).append((taken, known))
    return {member: tuple(sorted(taken)) for member, taken in samples.items()}


def _stands_for(sample: Sample, test: Test) -> bool:
    return bool(sample.members) or test.per == Per.ENCLOSURE


def _known(sample, assay, batch) -> int | None:
    """Return the day on which a sample meets the test, ``None`` where it does not or will not."""
    if _is_awaited(sample, assay, batch):
        return _expected(sample, batch).toordinal()
    results = batch.reported.get((sample.key, assay), ())
    met = bool(results) and all(_may_meet(result, batch) for result in results)
    if met and any(result.outcome != Outcome.INCONCLUSIVE for result in results):
        return batch.day.toordinal()
    return None


def _may_meet(result: Result, batch: Batch) -> bool:
    if result.outcome != Outcome.POSITIVE:
        return True
    return verdict_of(result, batch.facts) == Verdict.ACCEPTED


def _is_awaited(sample, assay, batch) -> bool:
    """Tell whether nothing is reported: a positive known since is none, unless it is accepted."""
    results = batch.reported.get((sample.key, assay))
    if not results:
        return assay in sample.assays
    return all(r.reported > batch.day and _may_meet(r, batch) for r in results)


def _expected(sample: Sample, batch: Batch) -> date:
    return max(_promised(sample, batch), batch.day + timedelta(days=1))


def _promised(sample: Sample, batch: Batch) -> date:
    return sample.taken + timedelta(days=batch.protocol.laboratory_days)


def awaited(batch: Batch) -> list[Awaited]:
    """Return the samples of the batch whose results are not reported, oldest first."""
    found = (
        Awaited(
            sample=sample.key,
            assay=assay,
            taken=sample.taken,
            members=tuple(members),
            enclosure=sample.enclosure,
            expected=_expected(sample, batch),
            promised=_promised(sample, batch),
        )
        for sample in batch.facts.samples
        for assay in sample.assays
        if _is_awaited(sample, assay, batch) and (members := _of_the_batch(sample, batch))
    )
    return sorted(found, key=lambda a: (a.taken, a.assay, a.sample))


def _of_the_batch(sample, batch) -> list[str]:
    found = shared(batch.covered[sample.key], batch.spans, sample.taken)
    return sorted({member for _, member in found})


def unmet(made: Iterable[Progress]) -> Iterator[NegativesMissing | MembersMissing]:
    """Yield what each test lacks: for every member, or for a test of k members in one point."""
    for progress in made:
        if progress.test.members_asked is not None and progress.unmet:
            yield _members_missing(progress)
        elif progress.unmet:
            yield from (_negatives_missing(progress, m) for m in sorted(progress.unmet))


def _members_missing(progress: Progress) -> MembersMissing:
    plans = [progress.plans[member] for member in progress.unmet]
    return MembersMissing(
        assay=progress.test.assay,
        counted=progress.asked - len(plans),
        asked=progress.asked,
        next_sample=_day(min((p.to_come[0] for p in plans if p.to_come), default=None)),
        ready=_day(max(p.ready for p in plans)),
    )


def _negatives_missing(progress: Progress, member: str) -> NegativesMissing:
    plan = progress.plans[member]
    return NegativesMissing(
        assay=progress.test.assay,
        member=member,
        counted=plan.counted,
        asked=progress.test.negatives,
        next_sample=_day(plan.to_come[0] if plan.to_come else None),
        ready=_day(plan.ready),
    )


def _day(ordinal: int | None) -> date | None:
    return None if ordinal is None else date.fromordinal(ordinal)


def due(batch: Batch, made: Iterable[Progress]) -> list[Due]:
    """Return the samples to take, in order: by animals, or by enclosure where the test is."""
    stays = sorted(batch.facts.stays, key=lambda stay: (stay.first, stay.key))
    now_in = {stay.member: stay.enclosure for stay in stays if stay.last is None}
    groups: dict[tuple, list[str]] = {}
    for progress in made:
        for member in sorted(progress.unmet):
            where = now_in.get(member) if progress.test.per == Per.ENCLOSURE else None
            for day in progress.plans[member].to_come:
                groups.setdefault((day, progress.test.assay, where or ""), []).append(member)
    return [
        Due(
            assay=assay,
            day=_day(day),
            members=tuple(groups[day, assay, where]),
            enclosure=where or None,
        )
        for day, assay, where in sorted(groups)
    ]
