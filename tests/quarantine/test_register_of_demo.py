"""The demo's register, written by the doors alone, comes to exactly those that are there."""

from collections import Counter

import pytest
from django.utils import timezone

from quarantine.demo import load
from registry.headcount import remaining
from registry.laying import is_running
from registry.models import Animal, Clutch, Holding, RegisterLine, StageCount
from registry.register_reading import Extract
from registry.unsettled import open_departures

pytestmark = pytest.mark.django_db
LARVAE_ON = ("hatched", "carried", "metamorphosed", "independent")


def larvae_left(clutch):
    """Return how many larvae are left in a cup, counted in it or before they were mixed."""
    brought = sum(larvae_left(part.clutch) for part in clutch.current_parts())
    rows = StageCount.objects.current().filter(clutch=clutch, stage__in=LARVAE_ON)
    if not rows.exists():
        return max(brought - clutch.young.count(), 0)
    counted = max(row.count for row in rows) - clutch.young.count()
    return min(remaining(clutch), counted)


def test_its_lines_come_to_the_animals_here_and_the_larvae_in_their_cups():
    """Counted apart: by the arrivals and departures of each animal, and by what is left in cups."""
    today = timezone.localdate()
    load(today)
    there = Counter(Animal.objects.here(today).values_list("taxon__name", flat=True))
    for one in open_departures():
        there[one.among[0].taxon.name] -= 1  # of several one is gone, nobody knows which
    for clutch in Clutch.objects.select_related("taxon"):
        if is_running(clutch, today):
            there[clutch.taxon.name] += larvae_left(clutch)
    kept = Counter()
    for holding in Holding.objects.all():
        rows = RegisterLine.objects.filter(holding=holding)
        numbers = list(rows.values_list("number", flat=True))
        assert numbers == list(range(1, len(numbers) + 1))
        kept.update(dict(Extract(holding=holding).balances()))
    assert kept == there
