"""Photographs of several animals side by side: those of one enclosure, or chosen ones."""

from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from ..forms.photographs import SideBySideForm
from ..herd import sexings_of
from ..models import Enclosure, Sexing
from ..side_by_side import MOST_ANIMALS, side_by_side
from .enclosures import in_it


def photographs(request):
    """Show photographs of the animals named in the address."""
    form = SideBySideForm(request.GET if "animals" in request.GET else None)
    animals = form.cleaned_data["animals"] if form.is_valid() else ()
    return _page(request, animals, {"form": form})


def enclosure_photographs(request, pk):
    """Show photographs of everybody in an enclosure today."""
    enclosure = get_object_or_404(Enclosure.objects.select_related("unit"), pk=pk)
    animals = list(in_it(enclosure, timezone.localdate()))
    form = SideBySideForm(initial={"animals": animals[:MOST_ANIMALS]})
    context = {"form": form, "enclosure": enclosure, "left_out": animals[MOST_ANIMALS:]}
    return _page(request, animals[:MOST_ANIMALS], context)


def _page(request, animals, context):
    sexings = sexings_of([a.pk for a in animals])
    shown = [(one, sexings.get(one.animal.pk, Sexing())) for one in side_by_side(animals)]
    return render(request, "registry/photographs_show.html", context | {"shown": shown})
