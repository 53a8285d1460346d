"""A batch as its facts show it on a day: who is living, which positives and courses count."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from quarantine.evidence import Course, Death, Facts, Membership, Opening, Outcome, Result, Sample
from quarantine.parts import Span, deaths, lineage, living, spans, stays_at, together_until
from quarantine.protocols import Protocol, Verdict
from registry.telling import tell


class NotOpened(Exception):
    """A batch was not open on a day, or not known to be."""

    def __init__(self, batch: str, day: date):
        self.batch, self.day = batch, day
        super().__init__(
            tell(
                "{batch} was not open on {day}, or was not known to be.",
                batch=batch,
                day=f"{day:%d %b %Y}",
            )
        )


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
    """The facts of a batch that stand on ``day``.

    ``covered`` are the animals of each sample, ``reported`` the results by sample and assay.
    """

    facts: Facts
    day: date
    opening: Opening
    spans: dict[str, list[Span]]
    living: tuple[Membership, ...]
    deaths: tuple[Death, ...]
    covered: dict[str, frozenset[str]]
    reported: dict[tuple[str, str], list[Result]]
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
        reported=_reported(facts),
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


def _reported(facts: Facts) -> dict[tuple[str, str], list[Result]]:
    reported: dict[tuple[str, str], list[Result]] = {}
    for result in facts.results:
        reported.setdefault((result.sample, result.assay), []).append(result)
    return reported


def _staying(stays, day):
    return frozenset(stay.member for stay in stays_at(stays, day))


def _positives(facts, covered, when) -> Iterator[Positive]:
    samples = {sample.key: sample for sample in facts.samples}
    for result in sorted(facts.results, key=lambda result: result.key):
        if result.outcome == Outcome.POSITIVE and result.sample in samples:
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
