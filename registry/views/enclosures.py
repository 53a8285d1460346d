"""The enclosures: the list by unit, and one page for each."""

from django.shortcuts import get_object_or_404, render

from ..models import Enclosure


def enclosure_list(request):
    """List the enclosures."""
    enclosures = Enclosure.objects.select_related("unit")
    return render(request, "registry/enclosure_list.html", {"enclosures": enclosures})


def enclosure_show(request, pk):
    """Show one enclosure."""
    enclosure = get_object_or_404(Enclosure.objects.select_related("unit"), pk=pk)
    return render(request, "registry/enclosure_show.html", {"enclosure": enclosure})
