"""The one shape of an act's page: the form, then what stands against it, then the act."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render

from ..forms.answers import answers_of
from ..objections import Refused
from ..refusals import REFUSALS
from ..telling import tell


def act_page(request, form, template, context, *, objected, done, first=None):
    """Show what an act meets before it is done; do it once that was shown.

    `objected(data)` returns the objections, `done(data, answers)` acts and returns a response.
    `first()` returns what the form meets as it is proposed, so that the first tap can save it, or
    None where it proposes too little.
    """
    answers, found, refused = answers_of(request), [], None
    shown = request.method == "POST" and form.is_valid()
    if shown:
        try:
            if "do" in request.POST and not _unseen(request, objected, form.cleaned_data):
                return done(form.cleaned_data, answers)
            found = objected(form.cleaned_data)
        except Refused as problem:
            objected(form.cleaned_data)  # the page tells again what the act would do
            found, refused = problem.objections, problem
        except REFUSALS as problem:
            form.add_error(None, str(problem))
        except ValidationError as problem:
            form.add_error(None, problem.messages)
    elif first and request.method != "POST":
        shown = (found := _at_first(first)) is not None
    context |= {"form": form, "shown": shown and not form.errors}
    return render(request, template, context | answers.context(found or [], refused))


def _unseen(request, objected, data):
    """Whether a page that showed what an act meets did so before something else was typed."""
    if "shown" not in request.POST:
        return False
    return any(o.key not in request.POST.getlist("seen") for o in objected(data))


def _at_first(first):
    """Return what the form meets as it is proposed; None where nothing can be said of it."""
    try:
        return first()
    except (*REFUSALS, ValidationError):
        return None


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


def ready_page(request, form, template, context, *, first, objected, done):
    """Show at once what an act would do as it stands; then one tap does what was shown.

    `first()` returns the objections to what the form proposes, or nothing where it proposes too
    little. What is saved is what was seen: anything that was not is shown before it is done.
    """
    answers, found, refused, said = answers_of(request), [], None, ""
    try:
        if request.method != "POST":
            found = first() or []
        elif form.is_valid():
            found = objected(form.cleaned_data)
            if all(o.key in request.POST.getlist("seen") for o in found):
                return done(form.cleaned_data, answers)
    except Refused as problem:
        found, refused = problem.objections, problem
    except REFUSALS as problem:
        said = str(problem)
    except ValidationError as problem:
        form.add_error(None, problem.messages)
    context |= {"form": form, "said": said, **answers.context(found, refused)}
    return render(request, template, context)


def too_late(request, said, *address):
    """Go on to a page with a sentence on what somebody else has done in the meantime."""
    messages.warning(request, tell("{said} Nothing was changed.", said=said))
    return redirect(*address)


def nothing(data):
    """Raise nothing: the act has no bearing on who may live together."""
    return []
