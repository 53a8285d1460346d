"""Moves: whom somebody joins is shown before it is done."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from ..company import gathered
from ..forms.moves import MoveForm
from ..models import Animal
from ..phrases import in_a_row, written
from ..placement import Placement, objections, place
from .acting import act_page


@permission_required("registry.place_animal", raise_exception=True)
def animal_move(request, pk):
    """Move one animal."""
    animal = get_object_or_404(Animal, pk=pk)
    first = {"animals": animal.code, "enclosure": request.GET.get("enclosure")}
    return _move_page(request, first, {"animal": animal})


@permission_required("registry.place_animal", raise_exception=True)
def move_add(request):
    """Move animals and clutches together."""
    names = ("animals", "clutches", "enclosure")
    return _move_page(request, {name: request.GET.get(name) for name in names}, {})


def _move_page(request, first, context):
    form = MoveForm(request.POST or None, initial=first | {"day": timezone.localdate()})

    def objected(data):
        placement = Placement(**data)
        context["companies"] = gathered(placement)
        context["late"] = data["day"] < timezone.localdate() and not data["until"]
        return objections(placement)

    def done(data, answers):
        placement = Placement(**data)
        place(placement, by=request.user, reasons=answers.reasons, breach=answers.breach)
        messages.success(request, _said(placement))
        return redirect("enclosure-show", placement.enclosure.pk)

    return act_page(request, form, "registry/move_add.html", context, objected=objected, done=done)


def _said(placement):
    who = in_a_row([*placement.animals, *placement.clutches])
    until = f" until {written(placement.until)}" if placement.until else ""
    return f"{who} into {placement.enclosure} from {written(placement.day)}{until}."
