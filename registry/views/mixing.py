"""Clutches reared together: put into one cup or tub, as one mix."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from ..forms.mixing import MixForm, OfClutchForm
from ..mixes import shares
from ..mixing import Mixing, proposed, rear_together, state_clutch
from ..models import Animal
from ..phrases import in_a_row
from ..telling import tell
from .acting import act_page, nothing, quick_page


@permission_required(["registry.mix_clutches", "registry.place_animal"], raise_exception=True)
def clutch_mix(request):
    """Rear clutches together; first show what each would bring, and whom they join."""
    first = {name: request.GET.get(name) for name in ("clutches", "enclosure")}
    form = MixForm(request.POST or None, initial=first | {"day": timezone.localdate()})
    context = {}

    def objected(data):
        mixing = Mixing(**data)
        found, context["companies"] = proposed(mixing)
        of = shares(mixing.weighed())
        context["shares"] = [(one, of.get(one.pk, 0.0)) for one in mixing.clutches]
        return found

    def done(data, answers):
        told = {"reasons": answers.reasons, "breach": answers.breach}
        mix = rear_together(Mixing(**data), by=request.user, **told)
        names = in_a_row(data["clutches"])
        messages.success(request, tell("{names} go on together as {mix}.", names=names, mix=mix))
        return redirect("clutch-show", mix.pk)

    return act_page(
        request, form, "registry/clutch_mix.html", context, objected=objected, done=done
    )


@permission_required("registry.add_ofclutch", raise_exception=True)
def animal_clutch(request, pk):
    """Enter of which of the clutches reared together an animal is."""
    rows = Animal.objects.select_related("clutch").filter(clutch__mixed=True)
    animal = get_object_or_404(rows, pk=pk)
    form = OfClutchForm(
        request.POST or None, mix=animal.clutch, initial={"day": timezone.localdate()}
    )

    def done(data, answers):
        state_clutch(animal, by=request.user, **data)
        messages.success(
            request, tell("{animal} is of clutch {clutch}.", animal=animal, clutch=data["clutch"])
        )
        return redirect("animal-show", pk)

    context = {"animal": animal, "title": tell("Of which clutch {animal} is", animal=animal)}
    return quick_page(request, form, "registry/animal_act.html", context, raised=nothing, done=done)
