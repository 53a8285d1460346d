"""The search box."""

from django.shortcuts import redirect, render

from ..models import Animal, Clutch, Enclosure
from ..searching import search


def search_show(request):
    """Find by any name or number; a code typed in full goes straight to its page."""
    text = request.GET.get("q", "").strip()[:200]
    if text and (thing := _called_so(text)):
        return redirect(f"{thing._meta.model_name}-show", thing.pk)
    return render(request, "registry/search_show.html", {"text": text, "kinds": search(text)})


def _called_so(text):
    """Return the one animal, enclosure or clutch with just this code."""
    found = [
        one
        for model in (Animal, Enclosure, Clutch)
        if (one := model.objects.filter(code__iexact=text).first())
    ]
    return found[0] if len(found) == 1 else None
