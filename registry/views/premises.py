"""Premises, units and enclosures: entering and changing them."""

from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404
from django.urls import reverse

from ..forms.enclosures import EnclosureForm, HoldingForm, UnitForm
from ..models import Enclosure, Holding, Unit
from ..telling import tell
from .recording import record_page


def _listed(thing):
    return reverse("enclosure-list")


def _shown(enclosure):
    return reverse("enclosure-show", args=[enclosure.pk])


@permission_required("registry.add_holding", raise_exception=True)
def holding_add(request):
    """Enter premises."""
    form = HoldingForm(request.POST or None)
    intro = tell("A premises with its keepers; a move between two is a departure and an arrival.")
    return record_page(request, form, tell("Premises"), _listed, intro)


@permission_required("registry.change_holding", raise_exception=True)
def holding_edit(request, pk):
    """Change premises."""
    holding = get_object_or_404(Holding, pk=pk)
    form = HoldingForm(request.POST or None, instance=holding)
    return record_page(request, form, tell("Change {holding}", holding=holding), _listed)


@permission_required("registry.add_unit", raise_exception=True)
def unit_add(request):
    """Enter a unit."""
    form = UnitForm(request.POST or None, initial={"holding": Holding.objects.first()})
    intro = tell("A room or rack that shares air, water, drain or tools.")
    return record_page(request, form, tell("Add a unit"), _listed, intro)


@permission_required("registry.change_unit", raise_exception=True)
def unit_edit(request, pk):
    """Change a unit."""
    unit = get_object_or_404(Unit, pk=pk)
    form = UnitForm(request.POST or None, instance=unit)
    intro = tell(
        "What a unit is for decides who may be moved in; those in it now stay as they are."
    )
    return record_page(request, form, tell("Change {unit}", unit=unit), _listed, intro)


@permission_required("registry.add_enclosure", raise_exception=True)
def enclosure_add(request):
    """Enter an enclosure."""
    form = EnclosureForm(request.POST or None, initial={"unit": Unit.objects.first()})
    intro = tell("A tank, a tub, a cup, a travel box: whatever animals or a clutch live in.")
    return record_page(request, form, tell("Add an enclosure"), _shown, intro)


@permission_required("registry.change_enclosure", raise_exception=True)
def enclosure_edit(request, pk):
    """Change an enclosure, or take it out of use."""
    enclosure = get_object_or_404(Enclosure, pk=pk)
    form = EnclosureForm(request.POST or None, instance=enclosure)
    return record_page(
        request, form, tell("Change {name}", name=Enclosure.objects.get(pk=pk)), _shown
    )
