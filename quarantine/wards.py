"""Which batches are in isolation on a day, and who of each is living and still in it."""

from django.db.models import Exists, F, OuterRef, Q

from registry import shelf
from registry.models import (
    Animal,
    ArrivalMember,
    Departure,
    DepartureKind,
    Enclosure,
    Stay,
    UnitRole,
)

from .models import Clearance, Isolation, Membership
from .opened import opened


def released(on):
    """Return, for a membership, whether its animal was released from the batch by a day."""
    rows = Clearance.objects.current().filter(
        isolation=OuterRef("isolation"), animals=OuterRef("animal"), day__lte=on
    )
    return Exists(rows.filter(day__gte=OuterRef("start")))


def gone(on):
    """Return, for a membership, whether its animal died or left since, by a day.

    A batch that an animal joined on coming back is not the one it left earlier that day.
    """
    rows = Departure.objects.current().filter(animal=OuterRef("animal"), day__lte=on)
    later = Q(day__gt=OuterRef("start"))
    return Exists(rows.filter(later | Q(~came_again_that_day(), day=OuterRef("start"))))


def came_again_that_day():
    """Return, for a departure, whether the animal had been here and came again the same day."""
    mine = ArrivalMember.objects.filter(
        animal=OuterRef("animal"), arrival__void=False, arrival__superseded_at__isnull=True
    )
    before = Exists(mine.filter(arrival__day__lt=OuterRef("day")))
    bred = Q(animal__separated_on__lt=F("day"))
    again = Exists(mine.filter(arrival__day=OuterRef("day")))
    return ~Q(kind=DepartureKind.DEATH) & (before | bred) & again


def waiting(on):
    """Return the memberships of those that wait for release on a day."""
    running = Membership.objects.current().running(on)
    return running.filter(~released(on), ~gone(on), isolation__superseded_at__isnull=True)


def kinds_waiting(on):
    """Return the isolation and its kind of each that waits for release on a day, by its key."""
    return shelf.kept(("waiting", on), lambda: _kinds_waiting(on))


def _kinds_waiting(on):
    rows = waiting(on).values_list("animal", "isolation", "isolation__kind")
    return {animal: told for animal, *told in rows}


def open_keys(on):
    """Return the keys of the isolations in which somebody waits for release on a day."""
    rows = opened().isolations
    keys = {isolation for isolation, _ in kinds_waiting(on).values()}
    return {key for key in keys if rows[key].opened <= on and not rows[key].void}


def open_on(on):
    """Return the isolations in which somebody waits for release on a day, the oldest first."""
    keys = waiting(on).values("isolation")
    rows = Isolation.objects.current().filter(pk__in=keys, opened__lte=on)
    return rows.select_related("version__protocol").order_by("opened", "pk")


def empty_on(day):
    """Return the enclosures of quarantine units in which nobody stays on a day."""
    rows = Enclosure.objects.filter(unit__role=UnitRole.QUARANTINE, retired_on__isnull=True)
    used = Stay.objects.current().touching(day).values("enclosure")
    return rows.exclude(pk__in=used).order_by("code")


def members_on(isolation, on):
    """Return the animals that belong to a batch on a day and have neither died nor left."""
    mine = Membership.objects.current().running(on).filter(~gone(on), isolation=isolation)
    return list(Animal.objects.filter(pk__in=mine.values("animal")).select_related("taxon"))


def is_released(isolation, on):
    """Return whether nobody of a batch waits any more."""
    return not waiting(on).filter(isolation=isolation).exists()
