"""Moves: whom somebody joins is shown before it is done."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode

from ..company import gathered
from ..everywhere import met_in_each
from ..forms.moves import MoveForm
from ..listing import rows
from ..models import Animal
from ..objections import NOTE
from ..occupancy import nearby
from ..phrases import in_a_row, written
from ..placement import Placement, objections, place
from ..telling import tell
from .acting import act_page
from .enclosures import ENCLOSURES, in_it


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


@permission_required("registry.place_animal", raise_exception=True)
def enclosure_move(request, pk):
    """Move one or all out of an enclosure: who, then where, each place with what it meets."""
    enclosure, on = get_object_or_404(ENCLOSURES, pk=pk), timezone.localdate()
    there = list(in_it(enclosure, on))
    asked = request.GET.get("who", "all" if len(there) == 1 else "")
    movers = tuple(a for a in there if asked in ("all", str(a.pk)))
    context = {"enclosure": enclosure, "movers": movers, "there": there}
    context["codes"] = ", ".join(a.code for a in there)
    if not movers:
        return render(request, "registry/move_who.html", context | {"rows": rows(there, on)})
    seen = request.POST.getlist("seen")
    offers, asked = nearby(enclosure, on), request.POST.get("into")
    if (into := next((e for e in offers if str(e.pk) == asked), None)) is None:
        context["offers"] = met_in_each(movers, offers, on)
        return render(request, "registry/move_where.html", context)
    met = objections(Placement(day=on, enclosure=into, animals=movers))
    if any(o.level != NOTE or o.key not in seen for o in met):
        names = urlencode({"animals": ", ".join(a.code for a in movers), "enclosure": into.pk})
        return redirect(f"{reverse('move-add')}?{names}")
    place(Placement(day=on, enclosure=into, animals=movers), by=request.user)
    messages.success(
        request,
        tell("{movers} into {into} from {on}.", movers=in_a_row(movers), into=into, on=written(on)),
    )
    return redirect("enclosure-show", into.pk)


def _move_page(request, first, context):
    first = first | {"day": timezone.localdate()}
    form = MoveForm(request.POST or None, initial=first)

    def objected(data):
        placement = Placement(**data)
        context["companies"], context["into"] = gathered(placement), placement.enclosure
        context["late"] = data["day"] < timezone.localdate() and not data["until"]
        return objections(placement)

    def done(data, answers):
        placement = Placement(**data)
        place(placement, by=request.user, reasons=answers.reasons, breach=answers.breach)
        messages.success(request, _said(placement))
        return redirect("enclosure-show", placement.enclosure.pk)

    def first_shown():
        if all(first.get(name) for name in ("animals", "enclosure")):
            typed = MoveForm({name: value or "" for name, value in first.items()})
            return objected(typed.cleaned_data) if typed.is_valid() else None
        return None

    how = {"objected": objected, "done": done, "first": first_shown}
    return act_page(request, form, "registry/move_add.html", context, **how)


def _said(placement):
    who = in_a_row([*placement.animals, *placement.clutches])
    told = {"who": who, "enclosure": placement.enclosure, "day": written(placement.day)}
    if placement.until:
        until = written(placement.until)
        return tell("{who} into {enclosure} from {day} until {until}.", until=until, **told)
    return tell("{who} into {enclosure} from {day}.", **told)
