"""What is done with a clutch: counted, lost, ended, and its young taken out as animals."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from ..forms.clutches import MIX, CountForm, EndClutchForm, LossForm, SeparationForm
from ..headcount import remaining
from ..inheriting import places_of, possible_pairs, source_code_of
from ..laying import count_stage, end_clutch, lose
from ..listing import clutches_of
from ..models import Clutch, Enclosure, Stage
from ..phrases import in_a_row
from ..separating import Separation, proposed, take_out
from ..telling import tell
from .acting import act_page, nothing, quick_page

CLUTCHES = Clutch.objects.select_related("taxon", "enclosure__unit")


@permission_required("registry.add_stagecount", raise_exception=True)
def clutch_count(request, pk):
    """Enter how many of a clutch have reached a stage."""
    stage = request.GET.get("stage")
    first = {"stage": stage if stage in Stage.values else Stage.HATCHED}
    return _small_page(
        request, pk, CountForm, tell("How many have reached a stage"), count_stage, first
    )


@permission_required("registry.add_stagecount", raise_exception=True)
def enclosure_hatched(request, pk):
    """Go to the count of a clutch that stands in an enclosure, or was laid there."""
    enclosure = get_object_or_404(Enclosure, pk=pk)
    found = [
        (clutch, f"{reverse('clutch-count', args=[clutch.pk])}?stage=hatched")
        for clutch in clutches_of(enclosure, timezone.localdate())
    ]
    if len(found) == 1:
        return redirect(found[0][1])
    context = {"enclosure": enclosure, "clutches": found}
    return render(request, "registry/hatched_which.html", context)


@permission_required("registry.add_loss", raise_exception=True)
def clutch_lose(request, pk):
    """Enter that some of a clutch were lost, or left alive."""
    return _small_page(request, pk, LossForm, tell("Lost or left"), lose, {})


@permission_required("registry.change_clutch", raise_exception=True)
def clutch_end(request, pk):
    """Enter that nothing of a clutch is left where it stood."""
    return _small_page(request, pk, EndClutchForm, tell("Nothing is left"), end_clutch, {})


def _small_page(request, pk, form_class, title, act, first):
    clutch = get_object_or_404(CLUTCHES, pk=pk)
    form = form_class(request.POST or None, initial={"day": timezone.localdate()} | first)

    def done(data, answers):
        act(clutch, by=request.user, **data)
        messages.success(request, tell("Clutch {clutch}: entered.", clutch=clutch))
        return redirect("clutch-show", pk)

    context = {"clutch": clutch, "title": title, "rest": remaining(clutch)}
    return quick_page(request, form, "registry/clutch_act.html", context, raised=nothing, done=done)


@permission_required(["registry.add_animal", "registry.place_animal"], raise_exception=True)
def clutch_separate(request, pk):
    """Take young out of a clutch as animals; first show whom they join."""
    clutch = get_object_or_404(CLUTCHES, pk=pk)
    pairs = possible_pairs(clutch)
    form = SeparationForm(
        request.POST or None, clutch=clutch, places=places_of(pairs), initial=_first(clutch, pairs)
    )
    context = {"clutch": clutch, "rest": remaining(clutch)}

    def objected(data):
        found, context["companies"] = proposed(_separation(clutch, form))
        return found

    def done(data, answers):
        told = {"reasons": answers.reasons, "breach": answers.breach}
        animals = take_out(_separation(clutch, form), by=request.user, **told)
        messages.success(
            request, tell("Out of {clutch}: {animals}.", clutch=clutch, animals=in_a_row(animals))
        )
        return redirect("clutch-show", pk)

    return act_page(
        request, form, "registry/clutch_separate.html", context, objected=objected, done=done
    )


def _separation(clutch, form):
    told = {name: value for name, value in form.cleaned_data.items() if name != "count"}
    return Separation(clutch=clutch, **told | {"locality": form.chosen_locality()})


def _first(clutch, pairs):
    """Return what young of a clutch have from their parents, and today."""
    places = places_of(pairs)
    born = clutch.stages.current().filter(stage=Stage.METAMORPHOSED).order_by("day").first()
    return {
        "day": timezone.localdate(),
        "codes": f"{clutch.code}-##",
        "locality": MIX if len(places) > 1 else (places[0].pk if places else ""),
        "source_code": source_code_of(pairs),
        "born": born.day if born else None,
    }
