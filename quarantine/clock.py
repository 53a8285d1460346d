"""Day zero of a batch, what is unmet and the best release day: pure, and every answer has its date.

A batch is judged for a date in two ways. :func:`true_on` takes all facts dated up to it as they
are known today: a positive counts from its sample, a negative from its report, a necropsy from the
death. :func:`known_on` leaves out what was entered later. Nothing here asks what day it is.

>>> from quarantine.evidence import Facts, Membership, Opening
>>> from quarantine.protocols import Protocol, Test
>>> day = date(2026, 3, 2)
>>> bd = Test(assay="bd-pcr", negatives=1, first_from=14, last_from=14)
>>> protocol = Protocol(name="captive-bred", min_days=60, tests=(bd,))
>>> facts = Facts(
...     batch="Q1",
...     openings=(Opening(key="o1", batch="Q1", day=day, protocol=protocol, entered=day),),
...     memberships=(Membership(key="m1", batch="Q1", member="E-01", joined=day, entered=day),),
... )
>>> reading = true_on(facts, date(2026, 3, 10))
>>> str(reading.zero.day), reading.possible, str(reading.best)
('2026-03-02', False, '2026-05-01')
>>> [(due.assay, str(due.day), due.members) for due in reading.due]
[('bd-pcr', '2026-03-16', ('E-01',))]
"""

from collections.abc import Iterator
from datetime import date, timedelta

from quarantine.batch import Batch, NotOpened, gathered
from quarantine.condition import condition_unmet
from quarantine.entries import dated_up_to, entered_by, standing
from quarantine.evidence import Facts
from quarantine.owed import Progress, awaited, due, progress, unmet
from quarantine.parts import ONE_DAY
from quarantine.protocols import Verdict
from quarantine.readings import (
    CourseRunning,
    NeverReleased,
    NobodyLiving,
    Reading,
    Start,
    TooEarly,
    Unmet,
    VerdictMissing,
)
from quarantine.starts import expected_last, expected_starts, starts

__all__ = ["NotOpened", "known_on", "true_on"]


def true_on(facts: Facts, day: date) -> Reading:
    """Read the clock for a day from all that is known today.

    Raises :class:`NotOpened` where the batch opened after that day.
    """
    return _read(gathered(dated_up_to(standing(facts), day), day))


def known_on(facts: Facts, day: date) -> Reading:
    """Read the clock for a day from what was entered by then.

    Raises :class:`NotOpened` also where its opening was entered after that day.
    """
    return true_on(entered_by(facts, day), day)


def _read(batch: Batch) -> Reading:
    began = starts(batch)
    expected_zero = max([began[-1], *expected_starts(batch)], key=lambda start: start.day)
    made = progress(batch, expected_zero.day)
    points = tuple(_unmet(batch, expected_zero, made))
    return Reading(
        batch=batch.facts.batch,
        day=batch.day,
        zero=began[-1],
        expected_zero=expected_zero,
        starts=tuple(began),
        living=tuple(membership.member for membership in batch.living),
        unmet=points,
        due=tuple(due(batch, made)),
        awaited=tuple(awaited(batch)),
        best=_best(batch.day, points),
    )


def _unmet(batch: Batch, zero: Start, made: list[Progress]) -> Iterator[Unmet]:
    if not batch.protocol.releases:
        yield NeverReleased()
    if not batch.living:
        yield NobodyLiving()
    yield from _verdicts_missing(batch)
    yield from _courses_running(batch)
    yield from unmet(made)
    yield from condition_unmet(batch)
    until = zero.day + timedelta(days=batch.protocol.min_days)
    if batch.day < until:
        yield TooEarly(until=until)


def _verdicts_missing(batch: Batch) -> Iterator[VerdictMissing]:
    for positive in batch.positives:
        if positive.verdict in (None, Verdict.VETERINARIAN):
            yield VerdictMissing(
                sample=positive.sample.key,
                result=positive.result.key,
                assay=positive.result.assay,
                taken=positive.sample.taken,
                who=positive.who,
                verdict=positive.verdict,
            )


def _courses_running(batch: Batch) -> Iterator[CourseRunning]:
    for course in batch.courses:
        last = expected_last(course, batch.day)
        if last >= batch.day:
            yield CourseRunning(
                course=course.key, against=tuple(sorted(course.against)), last_dose=last
            )


def _best(day: date, points: tuple[Unmet, ...]) -> date | None:
    days = [_met_from(point, day) for point in points]
    return None if None in days else max([day, *days])


def _met_from(point: Unmet, day: date) -> date | None:
    """Return the day from which a point is forecast to be met; ``None`` where nobody can tell."""
    match point:
        case TooEarly(until=until):
            return until
        case CourseRunning(last_dose=last):
            return last + ONE_DAY
        case VerdictMissing() | NeverReleased() | NobodyLiving():
            return None
        case _:
            return getattr(point, "ready", day + ONE_DAY)
