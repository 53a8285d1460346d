"""The animals: the list that can be narrowed and exported, and one page for each."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from ..conflicts import conflicts_of
from ..filters import AnimalFilter
from ..forms.animals import AnimalForm
from ..forms.as_of import day_asked
from ..herd import Herd
from ..identity import change_animal, enter_animal
from ..lending import keeping_of
from ..lifetime import death_of
from ..listing import HEADS, all_rows, rows
from ..missing import missed
from ..models import Animal, Holding
from ..observing import open_signs
from ..pedigree import ancestry_of, families_in
from ..presence import presences
from ..standing import standing
from ..telling import tell
from ..timeline import timeline
from ..together import fetch
from ..unsettled import open_about
from .exports import exported

ANIMALS = Animal.objects.select_related("taxon", "locality", "clutch", "source_group", "owner")
AT_ONCE = 50


def animal_list(request):
    """List the animals asked for."""
    on = day_asked(request)
    asked = AnimalFilter(request.GET, queryset=ANIMALS, on=on)
    page = Paginator(asked.found(), AT_ONCE).get_page(request.GET.get("page"))
    context = {
        "filter": asked,
        "page": page,
        "rows": rows(page.object_list, on),
        "on": on,
        "today": timezone.localdate(),
        "any": Animal.objects.exists(),
    }
    return render(request, "registry/animal_list.html", context)


@permission_required("registry.export_register", raise_exception=True)
def animal_export(request):
    """Send the animals asked for, all of them, as a table."""
    on = day_asked(request)
    asked = AnimalFilter(request.GET, queryset=ANIMALS, on=on)
    lines = (row.cells() for row in all_rows(asked.found(), on))
    return exported(request, asked, "animal-list", f"animals-{on}.csv", HEADS, lines)


def animal_show(request, pk):
    """Show one animal: who it is, its standing, where it is, its parents and its time line."""
    animal, on = get_object_or_404(ANIMALS, pk=pk), timezone.localdate()
    ancestry = ancestry_of([animal])
    away = presences({animal.pk: animal})[animal.pk].problem(on)
    context = {
        "animal": animal,
        "sexing": Herd([animal]).sexing(animal),
        "standing": None if away else standing(animal, on),
        "away": away,
        "families": families_in(ancestry, animal),
        "generation": ancestry.lineage().generation(animal.pk),
        "death": death_of(animal) if away else None,
        "keeping": keeping_of(animal, on),
        "on": on,
    }
    return render(request, "registry/animal_show.html", context | _on_record(animal, on))


def _on_record(animal, on):
    """Return what is on record of an animal, and what of that is open or cannot all be true."""
    stays, marks, papers, signs, missing, premises = fetch(
        animal.stays.current().running(on).select_related("enclosure__unit__holding"),
        animal.marks.current(),
        animal.papers.current(),
        open_signs(animal),
        missed(animal),
        Holding.objects.all(),
    )
    return {
        "stay": stays[len(stays) - 1] if stays else None,
        "marks": marks,
        "papers": papers,
        "signs": signs,
        "missing": next(iter(missing), None),
        "several_premises": len(premises) > 1,
        "conflicts": conflicts_of(animal),
        "events": open_about([animal], on),
        "entries": timeline(animal),
    }


@permission_required("registry.add_animal", raise_exception=True)
def animal_add(request):
    """Enter an animal that never came here: an ancestor, or one of somebody else's."""
    form = AnimalForm(request.POST or None)
    if form.is_valid():
        animal = enter_animal(form.save(commit=False), request.user)
        messages.success(request, tell("{animal} is on record.", animal=animal))
        return redirect("animal-show", animal.pk)
    return render(request, "registry/animal_add.html", {"form": form})


@permission_required("registry.change_animal", raise_exception=True)
def animal_edit(request, pk):
    """Put right who an animal is; the change is kept with its reason."""
    animal = get_object_or_404(ANIMALS, pk=pk)
    form = AnimalForm(request.POST or None, instance=animal)
    if form.is_valid():
        change_animal(form.save(commit=False), form.said(), request.user)
        messages.success(request, tell("{animal} is changed.", animal=animal))
        return redirect("animal-show", animal.pk)
    before = Animal.objects.get(pk=pk)
    return render(request, "registry/animal_edit.html", {"form": form, "animal": before})
