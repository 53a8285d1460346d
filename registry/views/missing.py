"""Animals that are not found, found again, or out and back on one day."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from ..forms.missing import FoundForm, MissForm, OutingForm
from ..listing import stays_of
from ..missing import find_again, go_out, miss, move_of
from ..models import Animal, Missing
from ..placement import objections
from ..telling import tell
from .acting import act_page, nothing, quick_page, too_late

FOUND = "registry/animal_found.html"


@permission_required("registry.add_missing", raise_exception=True)
def animal_missing(request, pk):
    """Enter that an animal is not found."""
    animal = get_object_or_404(Animal, pk=pk)
    form = MissForm(request.POST or None, initial={"day": timezone.localdate()})

    def done(data, answers):
        miss(animal, data["day"], request.user)
        messages.success(request, tell("{animal} is entered as not found.", animal=animal))
        return redirect("animal-show", pk)

    return _page(
        request, animal, form, tell("{animal} is not found", animal=animal), done, "missing"
    )


@permission_required("registry.change_missing", raise_exception=True)
def missing_found(request, pk):
    """Enter that an animal was found again."""
    entry = get_object_or_404(Missing.objects.current().select_related("animal"), pk=pk)
    if entry.found_on:
        return too_late(request, tell("It is found already."), "animal-show", entry.animal_id)
    on = timezone.localdate()
    stay = stays_of([entry.animal], on).get(entry.animal_id)
    form = FoundForm(
        request.POST or None, initial={"day": on, "enclosure": stay.enclosure if stay else None}
    )

    def objected(data):
        move = move_of(entry.animal, data["day"], data["enclosure"])
        return objections(move) if move else []

    def done(data, answers):
        told = {"reasons": answers.reasons, "breach": answers.breach}
        find_again(entry, data["day"], data["enclosure"], request.user, **told)
        messages.success(request, tell("{animal} is found again.", animal=entry.animal))
        return redirect("animal-show", entry.animal_id)

    page = {"animal": entry.animal, "title": tell("{animal} is found again", animal=entry.animal)}
    return act_page(request, form, FOUND, page, objected=objected, done=done)


@permission_required("registry.add_outing", raise_exception=True)
def animal_outing(request, pk):
    """Enter that an animal was out and back on one day."""
    animal = get_object_or_404(Animal, pk=pk)
    form = OutingForm(request.POST or None, initial={"day": timezone.localdate()})

    def done(data, answers):
        go_out(animal, by=request.user, **data)
        messages.success(request, tell("{animal}: the outing is entered.", animal=animal))
        return redirect("animal-show", pk)

    return _page(
        request, animal, form, tell("{animal} was out for a day", animal=animal), done, "outing"
    )


def _page(request, animal, form, title, done, about):
    context = {"animal": animal, "title": title, "about": about}
    return quick_page(request, form, "registry/animal_act.html", context, raised=nothing, done=done)
