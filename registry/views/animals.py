"""The animals: the list that can be narrowed, and one page for each."""

from django.shortcuts import get_object_or_404, render

from ..models import Animal


def animal_list(request):
    """List the animals."""
    animals = Animal.objects.select_related("taxon", "locality")
    return render(request, "registry/animal_list.html", {"animals": animals})


def animal_show(request, pk):
    """Show one animal."""
    animal = get_object_or_404(Animal.objects.select_related("taxon", "locality"), pk=pk)
    return render(request, "registry/animal_show.html", {"animal": animal})
