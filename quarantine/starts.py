"""The days from which a batch counts, and why: the five causes of day zero.

Sources: every addition starts the period again (AZA accreditation text, 2007); swabs are repeated
for four weeks or more after a bath against Bd (published regime: itraconazole 0.01 %, 11 days).
"""

from collections.abc import Iterator
from datetime import date

from quarantine.batch import Batch, Positive
from quarantine.evidence import Coming, Course, Meeting
from quarantine.parts import ONE_DAY
from quarantine.protocols import Scope, Verdict
from quarantine.readings import Cause, Start

CAUSES = tuple(Cause)


def starts(batch: Batch) -> list[Start]:
    """Return every day from which the batch began to count, oldest first; day zero is the last.

    Of several on one day the last is the one whose cause is named first in the rules.
    """
    found = [
        _opened(batch),
        *_added(batch),
        *_added_to_unit(batch),
        *_positives(batch),
        *_cured(batch),
        *_died(batch),
        *_one_died(batch),
        *_met(batch),
    ]
    return sorted(found, key=_in_order)


def expected_starts(batch: Batch) -> list[Start]:
    """Return when running courses against restarting positives will start the count."""
    return sorted(
        (
            _cure(p, c, expected_last(c, batch.day))
            for p, c in _courses_that_move(batch)
            if c.last_dose is None
        ),
        key=_in_order,
    )


def last_event(batch: Batch) -> date | None:
    """Return the day after which samples must be taken: of a positive, a death or a meeting."""
    days = [start.day for of in (_positives, _died, _one_died, _met) for start in of(batch)]
    return max(days, default=None)


def expected_last(course: Course, day: date) -> date:
    """Return the last dose; of a running course the planned one, today at the earliest."""
    return course.last_dose or max(course.planned_last or day, day)


def _in_order(start: Start):
    return start.day, -CAUSES.index(start.cause), start.key


def _opened(batch):
    opening = batch.opening
    return Start(
        day=opening.day,
        since=opening.day,
        cause=Cause.OPENED,
        key=opening.key,
        batch=opening.batch,
    )


def _added(batch: Batch) -> Iterator[Start]:
    for added in batch.facts.memberships:
        spans = batch.spans.get(added.member, ())
        if added.came == Coming.ADDED and any(
            span.batch == added.batch and span.first == added.joined <= span.last for span in spans
        ):
            yield Start(
                day=added.joined,
                since=added.joined,
                cause=Cause.ADDED,
                key=added.key,
                batch=added.batch,
                who=(added.member,),
            )


def _added_to_unit(batch: Batch) -> Iterator[Start]:
    if batch.protocol.scope != Scope.UNIT:
        return
    stood = _stood(batch)
    for arrival in batch.facts.unit_arrivals:
        if any(first <= arrival.day <= last for first, last in stood.get(arrival.unit, ())):
            yield Start(
                day=arrival.day,
                since=arrival.day,
                cause=Cause.ADDED_TO_UNIT,
                key=arrival.key,
                batch=batch.facts.batch,
                who=(arrival.animal,),
                what=arrival.unit,
            )


def _stood(batch: Batch) -> dict[str, set[tuple[date, date]]]:
    """Return for each unit the first and last days on which members stood in it."""
    stood: dict[str, set[tuple[date, date]]] = {}
    died = {death.member: death.day for death in batch.deaths}
    for stay in batch.facts.stays:
        last = date.max if stay.last is None else max(stay.first, stay.last - ONE_DAY)
        last = min(last, died.get(stay.member, date.max))
        for span in batch.spans.get(stay.member, ()):
            both = max(stay.first, span.first), min(last, span.last)
            if both[0] <= both[1]:
                stood.setdefault(stay.unit, set()).add(both)
    return stood


def _restarting(batch: Batch) -> Iterator[Positive]:
    return (p for p in batch.positives if p.verdict == Verdict.ALL_AGAIN)


def _positives(batch: Batch) -> Iterator[Start]:
    for positive in _restarting(batch):
        yield Start(
            day=positive.sample.taken,
            since=positive.sample.taken,
            cause=Cause.POSITIVE,
            key=positive.result.key,
            batch=positive.batch,
            who=positive.who,
            what=positive.result.assay,
        )


def _courses_that_move(batch: Batch) -> Iterator[tuple[Positive, Course]]:
    for positive in _restarting(batch):
        for course in batch.courses:
            if (
                positive.result.assay in course.against
                and course.first_dose >= positive.sample.taken
            ):
                yield positive, course


def _cured(batch: Batch) -> Iterator[Start]:
    for positive, course in _courses_that_move(batch):
        if course.last_dose:
            yield _cure(positive, course, course.last_dose)


def _cure(positive, course, last_dose):
    return Start(
        day=last_dose + ONE_DAY,
        since=positive.sample.taken,
        cause=Cause.COURSE,
        key=course.key,
        batch=course.batch,
        who=positive.who,
        what=positive.result.assay,
    )


def _died(batch: Batch) -> Iterator[Start]:
    explained = {necropsy.member for necropsy in batch.facts.necropsies if necropsy.accepted}
    settled = _explained_events(batch)
    missing = {missing.key for missing in batch.facts.missing}
    for death in (d for d in batch.deaths if not d.event or d.event not in settled):
        for span in batch.spans.get(death.member, ()):
            if death.member not in explained and span.first <= death.day <= span.shared:
                yield Start(
                    day=death.day,
                    since=death.day,
                    cause=Cause.MISSING if death.key in missing else Cause.DEATH,
                    key=death.key,
                    batch=span.batch,
                    who=(death.member,),
                )


def _explained_events(batch: Batch) -> set[str]:
    """Return the deaths of one of several of which the cause is accepted."""
    return {necropsy.event for necropsy in batch.facts.necropsies if necropsy.accepted}


def _one_died(batch: Batch) -> Iterator[Start]:
    """Yield the deaths of one of several: a death in the batch of each of them."""
    explained = _explained_events(batch)
    for one in batch.facts.one_of:
        if one.died and one.event not in explained:
            spans = (span for member in one.members for span in batch.spans.get(member, ()))
            inside = [span for span in spans if span.first <= one.day <= span.shared]
            if inside:
                yield Start(
                    day=one.day,
                    since=one.day,
                    cause=Cause.DEATH_OF_ONE,
                    key=one.key,
                    batch=inside[0].batch,
                    who=one.members,
                )


def _met(batch: Batch) -> Iterator[Start]:
    for meeting in batch.facts.meetings:
        last = max(_days_met(meeting, batch), default=None)
        if last is not None:
            yield Start(
                day=last[0],
                since=meeting.first,
                cause=Cause.MET,
                key=meeting.key,
                batch=last[1],
                who=(meeting.member,),
                met=meeting.other,
            )


def _days_met(meeting: Meeting, batch: Batch) -> Iterator[tuple[date, str]]:
    """Yield the last day met in each span of the member, with the part it was then in."""
    for span in batch.spans.get(meeting.member, ()):
        last = min(meeting.last or batch.day, span.last)
        if max(meeting.first, span.first) <= last:
            yield last, span.batch
