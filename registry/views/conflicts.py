"""What cannot all be true, listed until it is settled."""

from django.shortcuts import render

from ..conflicts import conflicts
from ..correcting import can_be_corrected
from ..models import Fact


def conflict_list(request):
    """List every contradiction now on record, with the facts it rests on."""
    found = [(c, [(f, _kind(f)) for f in c.facts]) for c in conflicts()]
    return render(request, "registry/conflict_list.html", {"conflicts": found})


def _kind(fact):
    """Return how the address of a correction names a fact; empty where it has none."""
    known = isinstance(fact, Fact) and fact.pk and can_be_corrected(fact)
    return fact._meta.label_lower if known else ""
