"""The one shape of an act's page: the form, then what stands against it, then the act."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render

from ..forms.answers import answers_of
from ..objections import Refused
from ..refusals import REFUSALS


def act_page(request, form, template, context, *, objected, done):
    """Show what an act meets before it is done; do it once that was shown.

    `objected(data)` returns the objections, `done(data, answers)` acts and returns a response.
    """
    answers, found, refused = answers_of(request), [], None
    shown = request.method == "POST" and form.is_valid()
    if shown:
        try:
            if "do" in request.POST:
                return done(form.cleaned_data, answers)
            found = objected(form.cleaned_data)
        except Refused as problem:
            objected(form.cleaned_data)  # the page tells again what the act would do
            found, refused = problem.objections, problem
        except REFUSALS as problem:
            form.add_error(None, str(problem))
        except ValidationError as problem:
            form.add_error(None, problem.messages)
    context |= {"form": form, "shown": shown and not form.errors, **answers.context(found, refused)}
    return render(request, template, context)


def quick_page(request, form, template, context, *, raised, done):
    """Do a small act at once where nothing comes of it; else show first what it raises."""
    answers, found = answers_of(request), []
    if request.method == "POST" and form.is_valid():
        try:
            found = [] if "do" in request.POST else raised(form.cleaned_data)
            if not found:
                return done(form.cleaned_data, answers)
        except REFUSALS as problem:
            form.add_error(None, str(problem))
        except ValidationError as problem:
            form.add_error(None, problem.messages)
    context |= {"form": form, "raised": found}
    return render(request, template, context)


def too_late(request, said, *address):
    """Go on to a page with a sentence on what somebody else has done in the meantime."""
    messages.warning(request, f"{said} Nothing was changed.")
    return redirect(*address)


def nothing(data):
    """Raise nothing: the act has no bearing on who may live together."""
    return []
