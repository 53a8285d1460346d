"""Batches that were one: a batch, those it was split from, and the parts split from those."""

from collections import defaultdict

from django.db.models import Q

from .models import Isolation


def families(isolations):
    """Return, for each isolation, the keys of all that share a split with it, itself included."""
    kin = _kin({i.pk for i in isolations})
    return {i.pk: _connected(i.pk, kin) for i in isolations}


def _kin(wanted):
    """Return which isolations were split from which, both ways, around the wanted ones."""
    kin, seen = defaultdict(set), set()
    while wanted:
        rows = Isolation.objects.current().filter(split_from__isnull=False)
        rows = rows.filter(Q(pk__in=wanted) | Q(split_from__in=wanted))
        seen |= wanted
        wanted = set()
        for part, whole in rows.values_list("pk", "split_from"):
            kin[part].add(whole)
            kin[whole].add(part)
            wanted |= {part, whole} - seen
    return kin


def _connected(key, kin):
    found, wave = {key}, {key}
    while wave:
        wave = {k for member in wave for k in kin[member]} - found
        found |= wave
    return found
