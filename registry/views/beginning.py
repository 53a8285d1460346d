"""The first steps of a register that is still empty; each can be left and come back to."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.shortcuts import redirect, render
from django.utils import timezone

from ..beginning import add_enclosures, beginning, name_premises, take_species
from ..forms.beginning import UNITS, EnclosuresForm, PremisesForm, SpeciesForm
from ..identity import ADDITION, log
from ..models import Holding, Taxon, Unit
from ..phrases import in_a_row
from ..species import SHIPPED
from ..telling import tell

FIRST_UNITS = (("Room 1", "resident"), ("Quarantine", "quarantine"), ("", "sick bay"))


def begin(request):
    """Show the steps from an empty register to one in use: what is done, and what is next."""
    begun = beginning(timezone.localdate(), request.user)
    steps = [(step, not step.right or request.user.has_perm(step.right)) for step in begun.steps]
    return render(request, "registry/begin_show.html", {"begun": begun, "steps": steps})


@permission_required(("registry.add_holding", "registry.add_party"), raise_exception=True)
def begin_premises(request):
    """Name the premises and who keeps them."""
    form = PremisesForm(request.POST or None, initial={"keeper": request.user.get_full_name()})
    if form.is_valid():
        holding = name_premises(form.cleaned_data, request.user)
        messages.success(request, tell("{holding} is on record.", holding=holding))
        return redirect("begin")
    there = list(Holding.objects.select_related("party"))
    return render(request, "registry/begin_premises.html", {"form": form, "there": there})


@permission_required("registry.add_taxon", raise_exception=True)
def begin_species(request):
    """Choose species from the shipped list."""
    form = SpeciesForm(request.POST or None)
    if form.is_valid():
        taxa = take_species(form.chosen(), request.user)
        messages.success(
            request, tell("{taxa}: on record, with figures to start from.", taxa=in_a_row(taxa))
        )
        return redirect("begin")
    context = {"form": form, "there": Taxon.objects.all(), "shipped": SHIPPED}
    return render(request, "registry/begin_species.html", context)


@permission_required("registry.add_unit", raise_exception=True)
def begin_units(request):
    """Name a few units at once."""
    holding = Holding.objects.first()
    first = [{"name": name, "role": role, "holding": holding} for name, role in FIRST_UNITS]
    first = [{"holding": holding}] * 3 if Unit.objects.exists() else first
    forms = UNITS(request.POST or None, queryset=Unit.objects.none(), initial=first)
    if request.method == "POST" and forms.is_valid():
        with transaction.atomic():
            units = forms.save()
            for unit in units:
                log(request.user, unit, ADDITION, tell("Entered."))
        messages.success(request, tell("{units}: on record.", units=in_a_row(units)))
        return redirect("begin")
    there = Unit.objects.select_related("holding")
    context = {"forms": forms, "there": there, "holding": holding}
    return render(request, "registry/begin_units.html", context)


@permission_required("registry.add_enclosure", raise_exception=True)
def enclosures_add(request):
    """Add several enclosures at once, numbered by a pattern."""
    first = Unit.objects.filter(role="resident").first() or Unit.objects.first()
    form = EnclosuresForm(request.POST or None, initial={"unit": first})
    if form.is_valid():
        told = {name: value for name, value in form.cleaned_data.items() if name != "codes"}
        found = add_enclosures(by=request.user, **told)
        messages.success(request, _numbered(found))
        return redirect("enclosures-add" if "more" in request.POST else "begin")
    context = {"form": form, "units": Unit.objects.exists()}
    return render(request, "registry/enclosures_add.html", context)


def _numbered(enclosures):
    first, last = enclosures[0], enclosures[-1]
    if first == last:
        return tell("{first} in {unit}: on record.", first=first, unit=first.unit)
    return tell("{first} to {last} in {unit}: on record.", first=first, last=last, unit=first.unit)
