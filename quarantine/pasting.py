"""A laboratory's table of results, pasted as text: read line by line, saved whole or not at all."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.utils.translation import gettext_lazy as _

from registry.phrases import in_a_row, written
from registry.telling import tell

from .models import Assay, Outcome, Result, Verdict
from .refusals import ActRefused
from .reporting import report, waiting_samples

MOST_LINES = 2000
FORMATS = ("%Y-%m-%d", "%d.%m.%Y", "%d %b %Y", "%d %B %Y")
OUTCOMES = {
    **dict.fromkeys(("negative", "neg", "not detected", "n", "-"), Outcome.NEGATIVE),
    **dict.fromkeys(("positive", "pos", "detected", "p", "+"), Outcome.POSITIVE),
    **dict.fromkeys(("inconclusive", "inc", "repeat", "?"), Outcome.INCONCLUSIVE),
}
VERDICTS = {**{v.value: v for v in Verdict}, **{v.label: v for v in Verdict}, "": ""}


class LinesRefused(ActRefused):
    """Some lines cannot be read; `problems` has a sentence for each."""

    def __init__(self, problems):
        self.problems = list(problems)
        super().__init__(" ".join(self.problems), "text")


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the table: label, animal or enclosure; test; outcome; report day; verdict."""

    number: int
    subject: str
    assay: Assay
    outcome: str
    day: date
    verdict: str = ""
    taken: date | None = None


def read(text, day):
    """Return the lines of a table; where a line has no day it was reported on the one given.

    Columns are parted by tabs, semicolons or commas: subject, test, outcome, and if wanted the
    day reported, the verdict and the day taken. Raises LinesRefused with a sentence per line.
    """
    assays = {word: a for a in Assay.objects.all() for word in (a.code.lower(), a.name.lower())}
    lines, problems = [], []
    rows = [(n, row) for n, row in enumerate(text.splitlines(), 1) if row.strip()]
    if not rows or len(rows) > MOST_LINES:
        raise LinesRefused(
            [tell("Paste 1 to {MOST_LINES} lines, one result on each.", MOST_LINES=MOST_LINES)]
        )
    for number, row in rows:
        try:
            lines.append(_line(number, _cells(row), assays, day))
        except ActRefused as problem:
            problems.append(tell("Line {number}: {problem}", number=number, problem=problem))
    if problems:
        raise LinesRefused(problems)
    return lines


def _cells(row):
    for mark in ("\t", ";", ","):
        if mark in row:
            return [cell.strip().strip('"') for cell in row.split(mark)]
    return [row.strip()]


def _line(number, cells, assays, day):
    if len(cells) < 3:
        raise ActRefused(
            tell("write the animal or label, the test and the outcome, parted by commas.")
        )
    subject, test, outcome, reported, verdict, taken = (*cells, "", "", "", "")[:6]
    return Line(
        number=number,
        subject=subject,
        assay=_found(test, assays, _("“{word}” is no test known here; it may be {known}.")),
        outcome=_found(
            outcome, OUTCOMES, _("“{word}” is no outcome known here; it may be {known}.")
        ),
        day=_day(reported) or day,
        verdict=_found(
            verdict, VERDICTS, _("“{word}” is no verdict known here; it may be {known}.")
        ),
        taken=_day(taken),
    )


def _found(word, table, unknown):
    if word.lower() not in table:
        known = in_a_row(sorted({str(v) for v in table.values() if v}))
        raise ActRefused(tell(unknown, word=word[:60], known=known))
    return table[word.lower()]


def _day(text):
    for form in FORMATS if text else ():
        try:
            return datetime.strptime(text, form).date()
        except ValueError:
            continue
    if text:
        raise ActRefused(tell("“{text}” is no day; write it as in 2026-10-03.", text=text[:40]))
    return None


@transaction.atomic
def report_lines(lines, *, by, at=None):
    """Enter a result for every line, or none; each line must fit one sample that waits."""
    waiting = [(sample, _names(sample)) for sample in waiting_samples()]
    problems, results = [], []
    for line in lines:
        try:
            sample = _sample_for(line, waiting)
            results.append(_enter(line, sample, by, at))
            waiting = [(s, names) for s, names in waiting if s.pk != sample.pk]
        except ActRefused as problem:
            problems.append(tell("Line {number}: {problem}", number=line.number, problem=problem))
    if problems:
        raise LinesRefused(problems)
    return results


def _enter(line, sample, by, at):
    return report(sample, line.day, line.outcome, by=by, verdict=line.verdict, at=at)


def _names(sample):
    """Return the words by which a line can mean a sample: label, its one animal, enclosure."""
    named = list(sample.animals.all())
    words = {sample.label.lower()} - {""}
    if sample.enclosure:
        words.add(sample.enclosure.code.lower())
    return words | {a.code.lower() for a in named}


def _sample_for(line, waiting):
    mine = [s for s, names in waiting if line.subject.lower() in names]
    fits = [s for s in mine if s.assay_id == line.assay.pk and line.taken in (None, s.day)]
    if not fits:
        raise ActRefused(_not_covered(line))
    days = {s.day for s in fits}
    if len(fits) > 1:
        text = in_a_row(written(d) for d in sorted(days))
        raise ActRefused(
            tell(
                "{count} samples of {subject} wait for {assay}, of {days}; use the "
                "label, or add the day taken as the sixth column.",
                count=len(fits),
                subject=line.subject,
                assay=line.assay,
                days=text,
            )
        )
    return fits[0]


def _not_covered(line):
    told = Result.objects.current().filter(sample__assay=line.assay, sample__label=line.subject)
    if told.exists():
        return tell(
            "{subject} has a result for {assay} already; correct that one instead.",
            subject=line.subject,
            assay=line.assay,
        )
    return tell(
        "{subject} is not covered by a {assay} sample that waits for its result.",
        subject=line.subject,
        assay=line.assay,
    )
