"""Corrections: what was entered wrong is replaced by a new entry that says why."""

from django.apps import apps
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone

from ..amending import (
    HalfOfMove,
    correct_departure,
    correct_move,
    objected_to_correction,
    objected_to_departure,
    objected_to_taking_back,
    take_back,
    take_back_departure,
)
from ..correcting import DOORS, KINDS, correct, right_to_correct, withdraw
from ..forms.corrections import (
    DepartureCorrectionForm,
    MoveCorrectionForm,
    WhyForm,
    correction_form,
)
from ..mixing import take_back_part
from ..models.facts import AlreadyReplaced
from ..parentage import withdraw_parents
from ..telling import tell
from .acting import act_page, nothing, quick_page, too_late

RULED = {"registry.stay", "registry.departure"}  # the rules are asked before these are corrected


TAKE_BACK = {
    "registry.stay": take_back,
    "registry.departure": take_back_departure,
    "registry.descent": withdraw_parents,
    "registry.clutchpart": take_back_part,
}


def fact_correct(request, kind, pk):
    """Correct one entry."""
    fact = _fact(request, kind, pk)
    if fact.superseded_at:
        return too_late(request, str(AlreadyReplaced(fact)), address_of(fact))
    if half := _whole_of(fact):
        return too_late(request, str(HalfOfMove(fact)), half)
    if kind == "registry.stay":
        return _move_page(request, fact)
    if kind == "registry.departure":
        return _departure_page(request, fact)
    if kind == "registry.descent":
        return redirect(_statement(fact))
    form = correction_form(type(fact).objects.get(pk=pk), request.POST or None)

    def done(data, answers):
        why = data.pop("why")
        correct(fact, data, by=request.user, why=why)
        return _corrected(request, fact)

    context = {"fact": fact, "kind": kind, "back": address_of(fact)}
    return quick_page(
        request, form, "registry/fact_correct.html", context, raised=nothing, done=done
    )


def _statement(descent):
    """Return the page on which a statement of descent is made anew."""
    child = descent.animal or descent.clutch
    page = "animal-parents" if descent.animal_id else "clutch-parents"
    return f"{reverse(page, args=[child.pk])}?role={descent.role}"


def fact_withdraw(request, kind, pk):
    """Enter that something on record never was."""
    fact = _fact(request, kind, pk)
    if fact.superseded_at:
        return too_late(request, str(AlreadyReplaced(fact)), address_of(fact))
    if half := _whole_of(fact):
        return too_late(request, str(HalfOfMove(fact)), half)
    form = WhyForm(request.POST or None)
    act = TAKE_BACK.get(kind, withdraw)

    def done(data, answers):
        told = {"by": request.user, "why": data["why"]}
        if act in (take_back, take_back_departure):
            told |= {"reasons": answers.reasons, "breach": answers.breach}
        act(fact, **told)
        messages.success(request, tell("The entry is withdrawn; it stays readable."))
        return redirect(address_of(fact))

    def objected(data):
        return objected_to_taking_back(fact, request.user) if act is take_back else []

    context = {"fact": fact, "kind": kind, "back": address_of(fact), "asks": kind in RULED}
    return act_page(
        request, form, "registry/fact_withdraw.html", context, objected=objected, done=done
    )


def _fact(request, kind, pk):
    """Return an entry, for somebody who may correct entries of its kind."""
    if kind not in KINDS and kind not in DOORS:
        raise Http404(tell("Such an entry is corrected elsewhere."))
    if not request.user.has_perm(right_to_correct(kind)):
        raise PermissionDenied
    return get_object_or_404(apps.get_model(kind).objects.filter(void=False), pk=pk)


def _whole_of(fact):
    """Return where the other half of a move between premises is corrected, "" for others."""
    arrival = getattr(fact, "arrived_as_id", None)
    return reverse("quarantine:fact-amend", args=["registry.arrival", arrival]) if arrival else ""


def _move_page(request, stay):
    first = {"enclosure": stay.enclosure, "day": stay.start}
    form = MoveCorrectionForm(request.POST or None, initial=first)

    def objected(data):
        return objected_to_correction(stay, data["day"], data["enclosure"], request.user)

    def done(data, answers):
        told = {"by": request.user, "reasons": answers.reasons, "breach": answers.breach}
        correct_move(stay, **data, **told)
        return _corrected(request, stay)

    return _through_door(request, stay, form, objected, done)


def _departure_page(request, departure):
    as_typed = type(departure).objects.get(pk=departure.pk)
    form = DepartureCorrectionForm(request.POST or None, instance=as_typed)

    def objected(data):
        return objected_to_departure(departure, data, timezone.localdate())

    def done(data, answers):
        why = data.pop("why")
        told = {"by": request.user, "reasons": answers.reasons, "breach": answers.breach}
        correct_departure(departure, data, why=why, **told)
        return _corrected(request, departure)

    return _through_door(request, departure, form, objected, done)


def _through_door(request, fact, form, objected, done):
    context = {"fact": fact, "kind": fact._meta.label_lower, "back": address_of(fact)}
    context["asks"] = True
    return act_page(
        request, form, "registry/fact_correct.html", context, objected=objected, done=done
    )


def _corrected(request, fact):
    messages.success(request, tell("The entry is corrected; the first one stays readable."))
    return redirect(address_of(fact))


def address_of(fact):
    """Return the page on which an entry is read."""
    for name in ("mix", "animal", "clutch", "enclosure", "source"):
        if thing := getattr(fact, name, None):
            return thing_address(thing)
    raise Http404(tell("This entry has no page."))


def thing_address(thing):
    """Return the page of an animal, a clutch or an enclosure."""
    return reverse(f"{thing._meta.model_name}-show", args=[thing.pk])
