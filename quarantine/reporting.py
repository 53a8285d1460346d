"""What a laboratory reports: results, their verdicts, and corrections of both."""

from django.db import transaction
from django.utils import timezone

from registry.models.facts import AlreadyReplaced
from registry.phrases import written
from registry.telling import tell

from .models import Outcome, Result, Sample, Verdict
from .refusals import ActRefused


@transaction.atomic
def report(sample, day, outcome, *, by, verdict="", paper=None, note="", at=None):
    """Enter what was reported of a sample; a second report of it is a correction of the first."""
    moment = at or timezone.now()
    sample = _locked(sample)
    _refuse(sample, day, outcome, verdict, moment)
    if sample.results.current().exists():
        raise ActRefused(tell("This sample has a result; correct that one instead."), "outcome")
    return Result.objects.create(
        sample=sample,
        day=day,
        outcome=outcome,
        verdict=verdict,
        paper=paper,
        note=note,
        entered_at=moment,
        entered_by=by,
    )


@transaction.atomic
def correct_result(result, day, outcome, *, by, why, verdict="", note="", at=None):
    """Enter what the laboratory now says of a sample, with its own report day."""
    moment = at or timezone.now()
    _locked(result.sample)
    _refuse(result.sample, day, outcome, verdict, moment)
    _refuse_without_reason(why)
    changes = {"day": day, "outcome": outcome, "verdict": verdict, "note": note}
    return _corrected(result, by, why, moment, changes)


@transaction.atomic
def decide(result, verdict, *, by, why, at=None):
    """Enter what a positive means for its batch; the report keeps its day."""
    _locked(result.sample)
    _refuse_verdict(result.outcome, verdict)
    if not verdict:
        raise ActRefused(tell("Choose what the positive means."), "verdict")
    _refuse_without_reason(why)
    return _corrected(result, by, why, at or timezone.now(), {"verdict": verdict})


def _corrected(result, by, why, moment, changes):
    try:
        return result.corrected(by=by, why=why, at=moment, **changes)
    except AlreadyReplaced as problem:
        raise ActRefused(str(problem)) from problem


def _locked(sample):
    found = Sample.objects.select_for_update().filter(pk=sample.pk).first()
    if found is None or found.superseded_at or found.void:
        raise ActRefused(tell("This sample has been corrected meanwhile; open its page again."))
    return found


def _refuse(sample, day, outcome, verdict, moment):
    if day < sample.day:
        text = tell(
            "The sample was taken on {day}; it cannot be reported before.", day=written(sample.day)
        )
        raise ActRefused(text, "day")
    if day > timezone.localdate(moment):
        raise ActRefused(tell("{day} is still to come.", day=written(day)), "day")
    if outcome not in Outcome.values:
        raise ActRefused(tell("A result is negative, positive or inconclusive."), "outcome")
    _refuse_verdict(outcome, verdict)


def _refuse_verdict(outcome, verdict):
    if verdict and outcome != Outcome.POSITIVE:
        raise ActRefused(tell("Only a positive result has a verdict."), "verdict")


def _refuse_without_reason(why):
    if not why.strip():
        raise ActRefused(tell("Say why this is corrected."), "why")


def meaning_of(result):
    """Say what a positive means: what was decided, else what its test has it mean."""
    verdict = result.verdict or result.sample.assay.default_verdict
    return Verdict(verdict).label if verdict else tell("not decided")


def waiting_samples(samples=None):
    """Return the samples that no result is entered for, the oldest first."""
    samples = Sample.objects.current() if samples is None else samples
    told = Result.objects.current().values("sample")
    rows = samples.exclude(pk__in=told).select_related("assay", "enclosure", "laboratory")
    return rows.prefetch_related("animals").order_by("day", "assay__name", "pk")
