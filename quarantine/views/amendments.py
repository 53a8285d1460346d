"""Corrections of what was entered about quarantine, with what they delay shown first."""

from django.apps import apps
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse

from registry.telling import tell

from ..amending import KINDS, amend, right_to_correct, take_back
from ..forms.amendments import WithdrawForm, amendment_form
from .acting import act_page


def fact_amend(request, kind, pk):
    """Correct one entry."""
    fact = _fact(request, kind, pk)
    form = amendment_form(fact, request.POST or None)
    context = {
        "title": tell("Correct: {fact}", fact=fact),
        "lead": tell("The first entry stays readable; a new one takes its place."),
        "button": tell("Save the correction"),
        "back": address_of(fact),
    }

    def act(data, answers):
        told = {name: value for name, value in data.items() if name != "why"}
        return amend(fact, told, by=request.user, why=data["why"], **_told(answers))

    def done(new):
        messages.success(request, tell("The entry is corrected; the first one stays readable."))
        return redirect(address_of(new))

    return act_page(request, form, context, act=act, done=done)


def fact_take_back(request, kind, pk):
    """Enter that something on record never was."""
    fact = _fact(request, kind, pk)
    form = WithdrawForm(request.POST or None)
    context = {
        "title": tell("Withdraw: {fact}", fact=fact),
        "lead": tell("It stays readable, and counts nothing from now on."),
        "button": tell("Withdraw it"),
        "back": address_of(fact),
    }

    def act(data, answers):
        return take_back(fact, by=request.user, why=data["why"], **_told(answers))

    def done(new):
        messages.success(request, tell("The entry is withdrawn; it stays readable."))
        return redirect(address_of(new))

    return act_page(request, form, context, act=act, done=done)


def _told(answers):
    return {"reason": answers.reasons.get("all", ""), "breach": answers.breach}


def _fact(request, kind, pk):
    """Return an entry that is in force, for somebody who may correct it."""
    if kind not in KINDS:
        raise Http404(tell("Such an entry is corrected elsewhere."))
    if not request.user.has_perm(right_to_correct(kind)):
        raise PermissionDenied
    return get_object_or_404(apps.get_model(kind).objects.current(), pk=pk)


def address_of(fact):
    """Return the page on which an entry is read."""
    match fact._meta.model_name:
        case "isolation":
            return reverse("quarantine:batch-show", args=[fact.pk])
        case "arrival" | "paper" as name if not fact.void:
            return reverse(f"{name}-show", args=[fact.pk])
        case "arrival" | "paper" as name:
            return reverse(f"{name}-list")
        case "sample":
            return reverse("quarantine:results-list")
        case "hold":
            return reverse("quarantine:hold-list")
    isolation = getattr(fact, "isolation", None)
    if isolation:
        return reverse("quarantine:batch-show", args=[isolation.pk])
    return reverse("quarantine:home")
