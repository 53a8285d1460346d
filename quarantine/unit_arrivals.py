"""Who came from outside into a unit; moves inside, young born there and outings are none."""

from collections import defaultdict

from django.utils import timezone

from registry.models import Stay

from .evidence import UnitArrival


def unit_arrivals(units, since):
    """Yield each coming of an animal into these units from a day on."""
    if not units:
        return
    rows = Stay.objects.filter(enclosure__unit__in=units, void=False)
    rows = list(rows.select_related("animal", "enclosure").order_by("start", "pk"))
    inside = _by_animal(rows)
    cradles = _by_clutch(rows)
    for stay in rows:
        if stay.animal_id and stay.start >= since and _from_outside(stay, inside, cradles):
            yield _arrival(stay)


def _by_animal(rows):
    found = defaultdict(list)
    for stay in rows:
        if stay.animal_id and stay.superseded_at is None:
            found[stay.animal_id, stay.enclosure.unit_id].append(stay)
    return found


def _by_clutch(rows):
    found = defaultdict(list)
    for stay in rows:
        if stay.clutch_id and stay.superseded_at is None:
            found[stay.clutch_id, stay.enclosure.unit_id].append(stay)
    return found


def _from_outside(stay, inside, cradles):
    unit, animal = stay.enclosure.unit_id, stay.animal
    before = [s for s in inside[animal.pk, unit] if s.start < stay.start]
    if any(_reaches(s, stay.start) for s in before):
        return False
    born = animal.clutch_id and animal.separated_on == stay.start
    return not (born and any(_reaches(s, stay.start) for s in cradles[animal.clutch_id, unit]))


def _reaches(stay, day):
    return stay.start <= day and (stay.end is None or stay.end >= day)


def _arrival(stay):
    return UnitArrival(
        key=f"unit arrival:{stay.pk}",
        unit=str(stay.enclosure.unit_id),
        animal=stay.animal.code,
        day=stay.start,
        entered=timezone.localdate(stay.entered_at),
        replaces=f"unit arrival:{stay.replaces_id}" if stay.replaces_id else None,
    )
