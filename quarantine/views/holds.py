"""Holding by hand, and lifting it."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from registry.models import Animal
from registry.telling import tell

from .. import holding
from ..forms.holds import HoldEndForm, HoldForm
from ..models import Hold
from .acting import act_page


def hold_list(request):
    """List the holds by hand, those in force first."""
    rows = Hold.objects.current().select_related("animal", "enclosure", "unit", "entered_by")
    context = {
        "running": rows.filter(end__isnull=True),
        "ended": rows.filter(end__isnull=False).order_by("-end")[:100],
    }
    return render(request, "quarantine/hold_list.html", context)


@permission_required("quarantine.hold_by_hand", raise_exception=True)
def hold_add(request):
    """Hold an animal, an enclosure or a unit."""
    first = {"day": timezone.localdate(), **request.GET.dict()}
    if first.get("animal", "").isdigit():
        animal = Animal.objects.filter(pk=first["animal"]).first()
        first["animal"] = animal.code if animal else first["animal"]
    form = HoldForm(request.POST or None, initial=first)
    context = {
        "title": tell("Hold by hand"),
        "lead": tell("Whoever is held meets only its own batch, until a clearance is signed."),
        "button": tell("Hold"),
        "back": reverse("quarantine:hold-list"),
    }

    def act(data, answers):
        return holding.hold(data["thing"], data["reason"], data["day"], by=request.user)

    def done(hold):
        messages.success(request, f"{hold}.")
        return redirect("quarantine:hold-list")

    return act_page(request, form, context, act=act, done=done)


@permission_required("quarantine.hold_by_hand", raise_exception=True)
def hold_end(request, pk):
    """Lift a hold: it takes nobody more in."""
    hold = get_object_or_404(Hold.objects.current(), pk=pk)
    form = HoldEndForm(request.POST or None, initial={"day": timezone.localdate()})
    context = {
        "title": tell("Lift a hold"),
        "lead": tell("{hold}. Those it holds wait for a clearance all the same.", hold=hold),
        "button": tell("Lift it"),
        "back": reverse("quarantine:hold-list"),
    }

    def act(data, answers):
        return holding.end_hold(hold, data["day"], by=request.user)

    def done(ended):
        messages.success(request, tell("The hold is lifted; those it holds wait for a clearance."))
        return redirect("quarantine:hold-list")

    return act_page(request, form, context, act=act, done=done)
