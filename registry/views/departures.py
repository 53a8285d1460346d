"""Animals that leave."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from ..departing import Leaving, depart_together, objections
from ..forms.departures import DepartureForm
from ..models import Animal, DepartureKind
from ..phrases import in_a_row, written
from ..telling import tell
from .acting import act_page


@permission_required("registry.register_departure", raise_exception=True)
def animal_depart(request, pk):
    """Enter that one animal left."""
    animal = get_object_or_404(Animal, pk=pk)
    return _departure_page(request, {"animals": animal.code}, {"animal": animal})


@permission_required("registry.register_departure", raise_exception=True)
def departure_add(request):
    """Enter that animals left together."""
    return _departure_page(request, {"animals": request.GET.get("animals", "")}, {})


def _departure_page(request, first, context):
    first |= {"day": timezone.localdate(), "kind": request.GET.get("kind", DepartureKind.SALE)}
    first["receiver"] = request.GET.get("to")
    form = DepartureForm(request.POST or None, initial=first)

    def done(data, answers):
        told = {"cause": data["cause"], "note": data["note"]}
        depart_together(_leaving(data), by=request.user, reasons=answers.reasons, **told)
        messages.success(request, _said(data))
        return redirect("animal-show", data["animals"][0].pk)

    context |= {"kind": request.POST.get("kind") or first["kind"]}
    return act_page(
        request,
        form,
        "registry/departure_add.html",
        context,
        objected=lambda data: objections(_leaving(data)),
        done=done,
    )


def _leaving(data):
    told = {name: data[name] for name in ("day", "animals", "kind", "receiver", "due_back")}
    return Leaving(entered_on=timezone.localdate(), **told)


def _said(data):
    kind = DepartureKind(data["kind"]).label
    who, day = in_a_row(data["animals"]), written(data["day"])
    return tell("{who}: {kind} on {day}.", who=who, kind=kind, day=day)
