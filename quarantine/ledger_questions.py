"""What is asked of each kind of row from which the dated facts are made: only what they tell."""

from django.db.models import F

from registry.models import (
    Animal,
    ArrivalMember,
    Candidate,
    Clutch,
    ClutchPart,
    Departure,
    DepartureKind,
    Disinfection,
    Enclosure,
    Missing,
    Stay,
    ThingsMoved,
)

from .models import Clearance, Hold, Isolation, Membership, Outcome, Result, Sample

ENTRY = ("pk", "entered_at", "superseded_at")
ENDING = ("start", "end", "ended_at")
ALIVE = Departure.objects.exclude(kind=DepartureKind.DEATH)
SIGNED = Clearance.animals.through.objects
SWABBED = Sample.animals.through.objects


def _rows(manager, *names, **standing):
    """Return rows that say something, as named tuples."""
    return manager.filter(**standing or {"void": False}).order_by().values_list(*names, named=True)


def _of(whole, manager, *names):
    """Return who is in each arrival or clearance, with the day and the entry of the whole."""
    told = {name: F(f"{whole}__{name}") for name in ("day", "entered_at", "superseded_at")}
    rows = manager.filter(**{f"{whole}__void": False}).order_by().annotate(**told)
    return rows.values_list(f"{whole}_id", *told, *names, "animal_id", named=True)


STAYS = _rows(Stay.objects, *ENTRY, *ENDING, "animal_id", "clutch_id", "enclosure_id")
EVERYONE = {
    "animals": _rows(Animal.objects, "pk", "code", "clutch_id", "separated_on", pk__gt=0),
    "clutches": Clutch.objects.order_by(),
    "stays": STAYS,
    "transfers": _rows(ThingsMoved.objects, *ENTRY, "day", "source_id", "target_id"),
    "enclosures": _rows(Enclosure.objects, "pk", "code", "unit_id", pk__gt=0),
}
QUESTIONS = {
    "disinfections": _rows(Disinfection.objects, *ENTRY, "day", "enclosure_id"),
    "arrivals": _of("arrival", ArrivalMember.objects),
    "departures": _rows(ALIVE, *ENTRY, "day", "animal_id", "receiver__name"),
    "deaths": _rows(
        Departure.objects, *ENTRY, "day", "animal_id", void=False, kind=DepartureKind.DEATH
    ),
    "missing": _rows(Missing.objects, *ENTRY, "day", "animal_id", "found_on", "found_at"),
    "parents": _rows(
        Candidate.objects,
        "descent__clutch_id",
        "animal_id",
        "mate_id",
        descent__clutch__isnull=False,
        descent__void=False,
        descent__superseded_at__isnull=True,
    ),
    "reared": _rows(
        ClutchPart.objects, "mix_id", "clutch_id", void=False, superseded_at__isnull=True
    ),
    "batches": _rows(Isolation.objects, *ENTRY, "opened", "kind", "version__never_releases"),
    "memberships": _rows(Membership.objects, *ENTRY, *ENDING, "animal_id", "isolation_id"),
    "clearances": _of("clearance", SIGNED, "clearance__isolation_id"),
    "hand_holds": _rows(Hold.objects, *ENTRY, *ENDING, "animal_id", "enclosure_id", "unit_id"),
    "positives": _rows(
        Result.objects,
        *ENTRY,
        "verdict",
        "sample_id",
        "sample__day",
        "sample__enclosure_id",
        "sample__assay__default_verdict",
        void=False,
        outcome=Outcome.POSITIVE,
    ),
    "swabbed": _rows(
        SWABBED,
        "sample_id",
        "animal_id",
        sample__results__void=False,
        sample__results__outcome=Outcome.POSITIVE,
    ).distinct(),
}
