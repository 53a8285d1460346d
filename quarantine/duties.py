"""What is to be done on which day, as a list of dated tasks; a calendar is made of it.

A task keeps its key while its day moves, so that a calendar moves an entry and never doubles it.
"""

from datetime import timedelta
from itertools import groupby

from django.urls import reverse

from registry.daily import young_due
from registry.phrases import in_a_row, written
from registry.telling import tell

from .batches import batches_on
from .feed import Duty
from .models import Course
from .next_steps import due_words
from .phrases import names
from .wards import open_on

AHEAD = timedelta(days=400)  # how far ahead young that grow up are told of


def duties(on):
    """Return everything that is to be done from a day on; what is late is to be done that day."""
    found = [duty for batch in batches_on(open_on(on), on) for duty in _of_batch(batch)]
    found += [*_courses(on), *_young(on)]
    return sorted(found, key=lambda duty: (duty.day, duty.title, duty.key))


def _of_batch(batch):
    yield from _samples(batch)
    yield from _results(batch)
    yield from _release(batch)


def _samples(batch):
    """Yield a task for each day on which a test of a batch asks for samples."""
    due = sorted(batch.reading.due, key=lambda one: (one.assay, one.day))
    for assay, asked in groupby(due, key=lambda one: one.assay):
        days = groupby(asked, key=lambda one: one.day)
        for number, (day, some) in enumerate(days, 1):
            yield Duty(
                key=f"{_key(batch.isolation)}-sample-{assay}-{number}",
                day=day,
                title=tell(
                    "{isolation}: {assay} due",
                    isolation=batch.isolation,
                    assay=batch.assays.get(assay, assay),
                ),
                text=tell("Take {samples}.", samples=due_words(batch, list(some))),
                href=reverse("quarantine:sample-add", args=[batch.isolation.pk]),
            )


def _results(batch):
    """Yield a task for each round of samples whose results are waited for."""
    waited = sorted(batch.reading.awaited, key=_round)
    for (assay, taken, promised), some in groupby(waited, key=_round):
        whose = names(sorted({member for one in some for member in one.members}))
        name, is_late = batch.assays.get(assay, assay), promised < batch.on
        told = {"isolation": batch.isolation, "test": name, "whose": whose, "day": written(taken)}
        if is_late:
            title = tell("{isolation}: {test} late", **told)
            text = tell(
                "Result of {test} of {whose}, taken on {day}. "
                "It is late: it was expected on {promised}.",
                promised=written(promised),
                **told,
            )
        else:
            title = tell("{isolation}: {test} expected", **told)
            text = tell("Result of {test} of {whose}, taken on {day}.", **told)
        yield Duty(
            key=f"{_key(batch.isolation)}-result-{assay}-{taken:%Y%m%d}",
            day=max(promised, batch.on),
            title=title,
            text=text,
            href=reverse("quarantine:results-add", args=[batch.isolation.pk]),
        )


def _round(awaited):
    return awaited.assay, awaited.taken, awaited.promised


def _release(batch):
    """Yield the day on which a batch can be released, or could be if all goes well."""
    if batch.best is None:
        return
    text = tell("Release can be signed.") if batch.possible else _forecast(batch)
    yield Duty(
        key=f"{_key(batch.isolation)}-release",
        day=batch.best,
        title=tell("{isolation}: release possible", isolation=batch.isolation),
        text=text,
        href=reverse("quarantine:clear", args=[batch.isolation.pk]),
    )


def _forecast(batch):
    said = tell("The best release day, if nothing happens until then.")
    return " ".join([said, *batch.unmet])


def _courses(on):
    """Yield the planned last dose of each course that runs; one that is over is to be entered."""
    rows = Course.objects.current().filter(end__isnull=True, isolation__in=open_on(on))
    for course in rows.select_related("isolation", "assay"):
        last = course.planned_last
        told = {"course": course.what, "day": written(last) if last else ""}
        if last:
            text = tell(
                "{course}. The last dose is planned for {day}. "
                "Enter the last dose once it was given.",
                **told,
            )
        else:
            text = tell(
                "{course}. No end is planned. Enter the last dose once it was given.", **told
            )
        yield Duty(
            key=f"{_key(course)}-last-dose",
            day=max(last or on, on),
            title=tell("{isolation}: course ends", isolation=course.isolation),
            text=text,
            href=reverse("quarantine:course-end", args=[course.pk]),
        )


def _young(on):
    """Yield the day on which young must leave their parents."""
    for day, young, parents, enclosure in young_due(on, on + AHEAD):
        told = {"young": young, "parents": in_a_row(parents), "enclosure": enclosure}
        text = tell("{young} leaves {parents} in {enclosure}.", **told)
        if day < on:
            text += " " + tell("That was due on {day}.", day=written(day))
        yield Duty(
            key=f"young-{young.pk}",
            day=max(day, on),
            title=tell("{young}: move out of {enclosure}", **told),
            text=text,
            href=reverse("animal-move", args=[young.pk]),
        )


def _key(fact):
    """Return a name for a fact that its corrections keep: that of its first entry."""
    while fact.replaces_id:
        fact = fact.replaces
    return f"{fact._meta.model_name}-{fact.pk}"
