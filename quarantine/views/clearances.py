"""Signing a batch out, by its evidence or by a veterinarian's word; clearing opening stock."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from registry.forms.as_of import day_asked
from registry.models import Animal
from registry.telling import tell, tell_many

from .. import clearing
from ..batches import batch_on
from ..contacts_since import met_since
from ..forms.holds import OverrideForm, SignForm, StockForm
from ..held import standings
from ..models import Clearance
from .acting import plain_page
from .batches import isolation_of

OUTDOORS = _(
    "Captive animals and their water are never released outdoors; release is into your room."
)
STOCK = _("Animals that were here on the day the register begins, cleared by one signed act.")
LOCAL = _("Local rules and your veterinarian come before what is met here.")


def clear(request, pk):
    """Show what a release would rest on; sign it where every point is met."""
    isolation, on = isolation_of(pk), min(day_asked(request), timezone.localdate())
    batch = batch_on(isolation, on)
    found = clearing.evidence(isolation, on) if batch.reading else None
    chosen = OverrideForm if "override" in request.GET else SignForm
    form = chosen(request.POST or None)
    context = {
        "batch": batch,
        "isolation": isolation,
        "found": found,
        "on": on,
        "overriding": chosen is OverrideForm,
        "may_sign": request.user.has_perm(clearing.SIGN),
        "may_override": request.user.has_perm(clearing.OVERRIDE),
        "cautions": [LOCAL, OUTDOORS],
    }
    sign = clearing.override if context["overriding"] else clearing.sign_clearance
    told = {"by": request.user, "seal": request.POST.get("seal", "")}
    how = {"act": lambda data, answers: sign(isolation, on, **told, **data)}
    how |= {"done": lambda row: _signed(request, row), "template": "quarantine/clear.html"}
    return plain_page(request, form, context, **how)


def _signed(request, clearance):
    count = clearance.animals.count()
    messages.success(
        request,
        tell_many(
            "{isolation} is released: {count} animal is cleared.",
            "{isolation} is released: {count} animals are cleared.",
            count,
            isolation=clearance.isolation,
        ),
    )
    return redirect("quarantine:clearance-show", clearance.pk)


def clearance_show(request, pk):
    """Show a signature with the evidence as it stood, and what speaks against it now."""
    rows = Clearance.objects.select_related("isolation__version__protocol", "signed_by")
    clearance = get_object_or_404(rows.prefetch_related("animals"), pk=pk)
    on = day_asked(request)
    batch = batch_on(clearance.isolation, on) if clearance.isolation else None
    change = batch.change if batch and batch.clearance == clearance else None
    evidence = clearing.readable(clearance.evidence)
    context = {"clearance": clearance, "evidence": evidence, "change": change, "on": on}
    if change:
        context["met"] = met_since(clearance, on)
    return render(request, "quarantine/clearance_show.html", context)


@permission_required("quarantine.sign_clearance", raise_exception=True)
def stock_clear(request):
    """Clear opening stock by one signed act, on stated grounds."""
    on = timezone.localdate()
    stock = Animal.objects.here(on).filter(arrivals__kind="opening").distinct()
    told = standings(stock, on)
    held = [a.pk for a in stock if a.pk in told and told[a.pk].is_held]
    form = StockForm(request.POST or None, initial={"day": on, "animals": held})
    form.fields["animals"].queryset = stock.filter(pk__in=held)
    context = {"title": tell("Clear the opening stock"), "lead": STOCK, "caution": LOCAL}
    context |= {"button": tell("Sign"), "back": reverse("quarantine:home")}

    def act(data, answers):
        told = {"by": request.user, "grounds": data["grounds"]}
        return clearing.clear_opening_stock(list(data["animals"]), data["day"], **told)

    def done(clearance):
        count = clearance.animals.count()
        text = tell_many("{count} animal is cleared.", "{count} animals are cleared.", count)
        messages.success(request, text)
        return redirect("quarantine:clearance-show", clearance.pk)

    return plain_page(request, form, context, act=act, done=done)
