"""The one shape of an act's page: the form, then what it would delay, then the act."""

import hashlib

from django.core.exceptions import ValidationError
from django.shortcuts import render
from django.utils import timezone

from registry.forms.answers import answers_of
from registry.models.facts import AlreadyReplaced
from registry.objections import Refused

from ..delaying import rehearse
from ..pasting import LinesRefused
from ..refusals import ActRefused

ACT = "quarantine/act.html"
REFUSALS = (Refused, ActRefused, AlreadyReplaced, ValidationError)


def act_page(request, form, context, *, act, done, trial=None, template=ACT):
    """Show which batches an act delays before it is done; do it once that was seen.

    `act(data, answers)` does it, `done(what the act returned)` returns a response. `trial` does
    the same without what cannot be taken back.
    """
    answers, met = answers_of(request), {}
    if request.method == "POST" and form.is_valid():
        try:
            delays = rehearse(
                lambda: (trial or act)(form.cleaned_data, answers), timezone.localdate()
            )
            if not delays or request.POST.get("seen") == seal_of(delays):
                return done(act(form.cleaned_data, answers))
            met = {"delays": delays, "seen": seal_of(delays), "answers": answers}
        except REFUSALS as problem:
            met = told(form, problem, answers)
    return render(request, template, context | {"form": form} | met)


def plain_page(request, form, context, *, act, done, template=ACT):
    """Do an act that delays nobody as soon as the form is complete."""
    answers, met = answers_of(request), {}
    if request.method == "POST" and form.is_valid():
        try:
            return done(act(form.cleaned_data, answers))
        except REFUSALS as problem:
            met = told(form, problem, answers)
    return render(request, template, context | {"form": form} | met)


def told(form, problem, answers):
    """Put what an act was refused for beside its field; return the objections to show."""
    match problem:
        case Refused():
            return answers.context(problem.objections, problem)
        case LinesRefused():
            form.add_error("text", problem.problems)
        case ActRefused():
            form.add_error(problem.field if problem.field in form.fields else None, str(problem))
        case AlreadyReplaced():
            form.add_error(None, str(problem))
        case ValidationError():
            form.add_error(None, problem.messages)
    return {}


def seal_of(delays):
    """Return a short word that differs once anything else would be delayed."""
    text = "|".join(delay.sentence for delay in delays)
    return hashlib.sha256(text.encode()).hexdigest()[:16]
