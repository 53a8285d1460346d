"""Courses of treatment of a whole batch; the drug and dose come from a veterinarian."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils import timezone

from registry.models import Party
from registry.phrases import written
from registry.telling import tell

from .isolating import locked
from .models import Assay, Course
from .refusals import ActRefused


@dataclass(frozen=True, kw_only=True)
class Treatment:
    """What is given from a day on, against the agent a test looks for, as prescribed."""

    what: str
    day: date
    assay: Assay | None = None
    planned_last: date | None = None
    prescribed_by: Party | None = None


@transaction.atomic
def begin_course(isolation, treatment, *, by, at=None):
    """Enter that a course began; while it runs nobody of the batch is released."""
    moment = at or timezone.now()
    isolation = locked(isolation)
    refuse(isolation, treatment, timezone.localdate(moment))
    return Course.objects.create(
        isolation=isolation,
        assay=treatment.assay,
        what=treatment.what.strip(),
        start=treatment.day,
        planned_last=treatment.planned_last,
        prescribed_by=treatment.prescribed_by,
        entered_at=moment,
        entered_by=by,
    )


def refuse(isolation, treatment, today):
    """Refuse a course that cannot have been given like that."""
    if not treatment.what.strip():
        raise ActRefused(tell("Write the drug and the dose as they were prescribed."), "what")
    if treatment.day > today:
        raise ActRefused(tell("A course is entered once its first dose was given."), "day")
    if treatment.day < isolation.opened:
        text = tell(
            "{isolation} opened on {opened}; a course begins later.",
            isolation=isolation,
            opened=written(isolation.opened),
        )
        raise ActRefused(text, "day")
    if treatment.planned_last and treatment.planned_last < treatment.day:
        raise ActRefused(tell("The last dose cannot be planned before the first."), "planned_last")


@transaction.atomic
def end_course(course, last_dose, *, by, at=None):
    """Enter the last dose of a course."""
    moment = at or timezone.now()
    course = Course.objects.select_for_update().get(pk=course.pk)
    if course.superseded_at or course.void:
        raise ActRefused(tell("This course has been corrected meanwhile; open the page again."))
    if course.end is not None:
        raise ActRefused(tell("The last dose is on record: {end}.", end=written(course.end)), "day")
    if last_dose < course.start:
        text = tell(
            "The first dose was given on {start}; the last cannot be before.",
            start=written(course.start),
        )
        raise ActRefused(text, "day")
    if last_dose > timezone.localdate(moment):
        raise ActRefused(tell("Enter the last dose once it was given."), "day")
    course.end, course.ended_at, course.ended_by = last_dose, moment, by
    course.save(update_fields=["end", "ended_at", "ended_by"])
    return course
