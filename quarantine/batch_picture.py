"""Batches on a time line: from the facts of the clock to the bars and marks of the picture."""

from django.urls import reverse

from registry.charts import batches as drawn
from registry.charts.timeline import batch_timeline
from registry.telling import tell, tell_many

from .batches import RELEASED
from .evidence import Outcome
from .phrases import names
from .readings import Cause

OUTCOMES = {
    Outcome.NEGATIVE: drawn.Happening.NEGATIVE,
    Outcome.POSITIVE: drawn.Happening.POSITIVE,
    Outcome.INCONCLUSIVE: drawn.Happening.INCONCLUSIVE,
}
STARTS = {
    Cause.ADDED: drawn.Happening.ADDITION,
    Cause.ADDED_TO_UNIT: drawn.Happening.ADDITION,
    Cause.DEATH: drawn.Happening.DEATH,
    Cause.DEATH_OF_ONE: drawn.Happening.DEATH,
    Cause.MISSING: drawn.Happening.DEATH,
    Cause.MET: drawn.Happening.MEETING,
}


def picture_of(batches, on):
    """Return the chart of batches on a day, those that were open by then."""
    return batch_timeline([bar_of(batch) for batch in batches if batch.reading], on)


def bar_of(batch):
    """Return a batch as it is drawn."""
    return drawn.Batch(
        code=batch.isolation.name,
        opened=batch.isolation.opened,
        zero=batch.reading.zero.day,
        closed=batch.clearance.day if batch.state == RELEASED else None,
        best=batch.best,
        said=batch.sentence,
        marks=tuple(sorted(_marks(batch), key=lambda m: m.day)),
        courses=tuple(_courses(batch)),
        href=reverse("quarantine:batch-show", args=[batch.isolation.pk]),
    )


def _marks(batch):
    yield from _happenings(batch)
    samples = {sample.key: sample for sample in batch.facts.samples}
    for sample in samples.values():
        if sample.taken <= batch.on:
            yield _mark(sample.taken, drawn.Happening.SAMPLE, _sampled(batch, sample))
    for result in batch.facts.results:
        if result.reported <= batch.on and result.sample in samples:
            text = f"{_sampled(batch, samples[result.sample])}: {result.outcome}"
            yield _mark(result.reported, OUTCOMES[result.outcome], text)
    if batch.clearance:
        yield _mark(batch.clearance.day, drawn.Happening.CLEARANCE, str(batch.clearance))


def _happenings(batch):
    """Yield the additions, deaths and meetings from which the days were counted."""
    for start in batch.reading.starts:
        if start.cause in STARTS and start.day != batch.isolation.opened:
            yield _mark(start.day, STARTS[start.cause], names(start.who))


def _mark(day, kind, text):
    return drawn.Mark(day=day, kind=kind, text=text)


def _sampled(batch, sample):
    assays = ", ".join(batch.assays.get(a, a) for a in sample.assays)
    members = sorted(sample.members)
    who = names(members)
    if len(members) > 3:
        who = tell_many("{count} animal", "{count} animals", len(members))
    return tell("{test} of {whom}", test=assays, whom=sample.enclosure or who)


def _courses(batch):
    for course in batch.facts.courses:
        if course.first_dose <= batch.on:
            last = course.last_dose or course.planned_last or batch.on
            against = ", ".join(batch.assays.get(a, a) for a in sorted(course.against))
            running = course.last_dose is None
            text = tell("course against {against}", against=against) if against else tell("course")
            last = max(last, course.first_dose)
            yield drawn.Course(first=course.first_dose, last=last, text=text, running=running)
