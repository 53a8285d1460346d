"""Clutches reared together: put into one cup or tub, as one mix."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import redirect
from django.utils import timezone

from ..forms.mixing import MixForm
from ..mixes import shares
from ..mixing import Mixing, proposed, rear_together
from ..phrases import in_a_row
from .acting import act_page


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
        messages.success(request, f"{in_a_row(data['clutches'])} go on together as {mix}.")
        return redirect("clutch-show", mix.pk)

    return act_page(
        request, form, "registry/clutch_mix.html", context, objected=objected, done=done
    )
