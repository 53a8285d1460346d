"""Results: one by one, all of a batch, or as a pasted table; corrected and decided."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from registry.phrases import written
from registry.telling import tell, tell_many

from ..forms.results import AwaitedForm, CorrectForm, DecideForm, PasteForm, ResultForm
from ..models import Outcome, Result, Sample
from ..pasting import read, report_lines
from ..reporting import correct_result, decide, meaning_of, report, waiting_samples
from ..rounds import covered
from .acting import act_page
from .batches import isolation_of, samples_waiting_for

DEFERRED = _("Your veterinarian decides what a positive means; the program keeps what was decided.")


def results_list(request):
    """List the samples no result is entered for, and the positives nobody has decided on."""
    rows = list(waiting_samples())
    positives = Result.objects.current().filter(outcome=Outcome.POSITIVE)
    positives = positives.filter(verdict__in=["", "veterinarian"]).select_related("sample__assay")
    undecided = [r for r in positives if not _decided(r)]
    context = {
        "waiting": [(sample, covered(sample)) for sample in rows],
        "undecided": [(result, covered(result.sample)) for result in undecided],
        "on": timezone.localdate(),
    }
    return render(request, "quarantine/results_list.html", context)


def _decided(result):
    return (result.verdict or result.sample.assay.default_verdict) not in ("", "veterinarian")


def result_show(request, pk):
    """Show a result with every entry it replaced, and what it covers."""
    rows = Result.objects.select_related("sample__assay", "sample__enclosure", "paper")
    result = get_object_or_404(rows, pk=pk)
    earlier, entry = [], result
    while entry.replaces_id:
        entry = rows.get(pk=entry.replaces_id)
        earlier.append(entry)
    context = {
        "result": result,
        "said": words(result.sample),
        "animals": covered(result.sample),
        "meaning": meaning_of(result) if result.outcome == Outcome.POSITIVE else "",
        "earlier": earlier,
    }
    return render(request, "quarantine/result_show.html", context)


@permission_required("quarantine.add_result", raise_exception=True)
def result_add(request, pk):
    """Enter what was reported of one sample."""
    sample = get_object_or_404(Sample.objects.current().select_related("assay"), pk=pk)
    form = ResultForm(request.POST or None, initial={"day": timezone.localdate()})
    context = {
        "title": tell("Result of {sample}", sample=words(sample)),
        "caution": DEFERRED,
        "button": tell("Save the result"),
        "back": reverse("quarantine:results-list"),
    }

    def act(data, answers):
        return report(sample, by=request.user, **data)

    return act_page(
        request, form, context, act=act, done=_done(request, tell("The result is saved."))
    )


@permission_required("quarantine.add_result", raise_exception=True)
def results_add(request, pk):
    """Enter what was reported of all samples of a batch that wait."""
    isolation = isolation_of(pk)
    samples = list(samples_waiting_for(isolation))
    for sample in samples:
        sample.words = words(sample)
    form = AwaitedForm(request.POST or None, samples=samples, initial={"day": timezone.localdate()})
    page = reverse("quarantine:batch-show", args=[isolation.pk])
    context = {"title": tell("Results for {isolation}", isolation=isolation), "caution": DEFERRED}
    context |= {"button": tell("Save the results"), "back": page, "back_label": str(isolation)}
    context["lead"] = "" if samples else tell("No sample of this batch waits for a result.")

    @transaction.atomic
    def act(data, answers):
        told = {"by": request.user}
        return [report(s, data["day"], o, verdict=v, **told) for s, o, v in form.reported()]

    def done(results):
        messages.success(request, _saved(results))
        return redirect(page)

    return act_page(request, form, context, act=act, done=done)


@permission_required("quarantine.add_result", raise_exception=True)
def results_paste(request):
    """Enter a laboratory's table, line by line; all of it or nothing."""
    form = PasteForm(request.POST or None, initial={"day": timezone.localdate()})
    context = {
        "title": tell("Paste a table of results"),
        "caution": DEFERRED,
        "button": tell("Save the table"),
        "back": reverse("quarantine:results-list"),
    }

    def act(data, answers):
        return report_lines(read(data["text"], data["day"]), by=request.user)

    def done(results):
        messages.success(request, _saved(results))
        return redirect("quarantine:results-list")

    return act_page(request, form, context, act=act, done=done)


@permission_required("quarantine.add_result", raise_exception=True)
def result_correct(request, pk):
    """Enter that the laboratory now says otherwise."""
    result = get_object_or_404(Result.objects.select_related("sample__assay"), pk=pk, void=False)
    first = {"day": timezone.localdate(), "outcome": result.outcome, "verdict": result.verdict}
    form = CorrectForm(request.POST or None, initial=first)
    context = {
        "title": tell("Correct the result of {sample}", sample=words(result.sample)),
        "lead": tell(
            "The entry it replaces is kept; clearances that rested on it are looked at again."
        ),
        "button": tell("Save the correction"),
        "back": reverse("quarantine:results-list"),
    }

    def act(data, answers):
        return correct_result(result, by=request.user, **data)

    return act_page(request, form, context, act=act, done=_done(request, tell("It is corrected.")))


@permission_required("quarantine.add_result", raise_exception=True)
def result_decide(request, pk):
    """Enter what a positive means for its batch."""
    rows = Result.objects.select_related("sample__assay")
    result = get_object_or_404(rows, pk=pk, void=False, outcome=Outcome.POSITIVE)
    form = DecideForm(request.POST or None, initial={"verdict": result.verdict})
    context = {
        "title": tell("What the positive {sample} means", sample=words(result.sample)),
        "lead": tell(
            "An accepted load meets the test like a negative. “This test again” "
            "asks this test anew of all; “all again” starts the days again from "
            "the sample."
        ),
        "caution": DEFERRED,
        "button": tell("Save the decision"),
        "back": reverse("quarantine:results-list"),
    }

    def act(data, answers):
        return decide(result, by=request.user, **data)

    return act_page(request, form, context, act=act, done=_done(request, tell("It is decided.")))


def _saved(results):
    return tell_many("{count} result saved.", "{count} results saved.", len(results))


def words(sample):
    """Say a sample: the test, of whom, of which day."""
    who = [str(a) for a in sample.animals.all()]
    some = ", ".join(who)
    if len(who) > 5:
        some = tell_many("{count} animal", "{count} animals", len(who))
    told = {"test": sample.assay, "whom": sample.enclosure or some, "day": written(sample.day)}
    text = tell("{test} of {whom}, {day}", **told)
    return f"{text}, {sample.label}" if sample.label else text


def _done(request, message):
    def done(result):
        messages.success(request, message)
        return redirect("quarantine:results-list")

    return done
