"""The next thing to do for a batch, in a sentence, with the page where it is done."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from registry.phrases import in_a_row, written
from registry.telling import tell, tell_many

from .dossier_rows import pk_of
from .phrases import names
from .readings import CourseRunning, NeverReleased, NobodyLiving, VerdictMissing


@dataclass(frozen=True, kw_only=True)
class Step:
    """Something to do, on a day or since one, and where."""

    text: str
    href: str = ""
    day: date | None = None
    decides: bool = False


def next_step(batch):
    """Return what to do next for a batch on its day, None where there is nothing."""
    page = [batch.isolation.pk]
    if batch.change:
        clear = reverse("quarantine:clear", args=page)
        return Step(
            text=tell("Decide on the changed evidence: test again, or sign anew."),
            href=clear,
            decides=True,
        )
    if batch.reading is None or batch.state != "in isolation":
        return None
    if batch.reading.possible:
        return Step(text=tell("Sign the release."), href=reverse("quarantine:clear", args=page))
    return _for_unmet(batch, page) or _for_samples(batch, page) or _wait(batch)


def _for_unmet(batch, page):
    for point in batch.reading.unmet:
        match point:
            case NeverReleased() | NobodyLiving():
                return Step(text=tell("Nothing is waited for."))
            case VerdictMissing(result=result, assay=assay, who=who):
                test, names_ = batch.assays.get(assay, assay), names(who)
                href = reverse("quarantine:result-decide", args=[pk_of(result)])
                text = tell(
                    "Decide what the positive {test} of {who} means.", test=test, who=names_
                )
                return Step(text=text, href=href, decides=True)
            case CourseRunning(course=course, last_dose=last) if last <= batch.on:
                text = tell("Enter the last dose of the course, once it was given.")
                return Step(text=text, href=reverse("quarantine:course-end", args=[pk_of(course)]))
    return None


def _for_samples(batch, page):
    due = sorted(batch.reading.due, key=lambda one: one.day)
    now = [one for one in due if one.day <= batch.on]
    late = [one for one in batch.reading.awaited if one.promised < batch.on]
    if late:
        taken = written(late[0].taken)
        text = tell(
            "Ask for the result of the {tests} of {taken}.",
            tests=in_a_row(_tests(batch, late)),
            taken=taken,
        )
        return Step(text=text, href=reverse("quarantine:results-add", args=page))
    if now:
        return _take(batch, now, batch.on, page)
    if due and not batch.reading.awaited:
        return _take(batch, [one for one in due if one.day == due[0].day], due[0].day, page)
    if batch.reading.awaited:
        waited = min(batch.reading.awaited, key=lambda one: one.expected)
        text = tell(
            "Wait for results: {tests}.", tests=in_a_row(_tests(batch, batch.reading.awaited))
        )
        href = reverse("quarantine:results-add", args=page)
        return Step(text=text, href=href, day=waited.expected)
    return None


def _take(batch, due, day, page):
    text = tell("Take samples: {samples}.", samples=due_words(batch, due))
    return Step(text=text, href=reverse("quarantine:sample-add", args=page), day=day)


def _tests(batch, some):
    return sorted({batch.assays.get(one.assay, one.assay) for one in some})


def due_words(batch, due):
    """Say which samples are due: "Bd PCR of EA-7; faecal of Q1"."""
    return "; ".join(
        tell(
            "{test} of {whom}",
            test=batch.assays.get(one.assay, one.assay),
            whom=one.enclosure or _members(one.members),
        )
        for one in due
    )


def _members(members):
    if len(members) <= 4:
        return names(members)
    return tell_many("{count} animal", "{count} animals", len(members))


def _wait(batch):
    if batch.reading.best is None:
        return None
    text = tell("Wait until {best}, if nothing happens.", best=written(batch.reading.best))
    return Step(text=text, day=batch.reading.best)
