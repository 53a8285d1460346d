"""What is asked about some isolations: who is in them, and all that bears on their clocks."""

from django.db.models import Q

from registry.mixes import mixes_known
from registry.models import (
    Animal,
    ArrivalMember,
    Clutch,
    Departure,
    DepartureKind,
    Missing,
    Observation,
    ObservationKind,
    Stay,
)

from .models import Clearance, Course, Membership, Necropsy, Result, Sample
from .wards import came_again_that_day

KINDS = [kind for kind in ObservationKind if kind != ObservationKind.NOTE]
SWABBED = Sample.animals.through.objects


def members(isolations):
    """Return questions for the memberships, and for clutches and young that may be theirs.

    They are those that may have a member as a parent, or that stood where one did.
    """
    rows = Membership.objects.filter(isolation__in=isolations)
    mine = rows.filter(void=False).order_by().values("animal")
    laid_by = (Q(descents__candidates__animal__in=mine), Q(descents__candidates__mate__in=mine))
    stood = Q(enclosure__stays__animal__in=mine)
    laid = Clutch.objects.filter(laid_by[0] | laid_by[1] | stood).order_by().values_list("pk")
    young = (
        Animal.objects.filter(clutch__in=Clutch.objects.filter(these).order_by().values("pk"))
        for these in (*laid_by, stood)
    )
    return (
        rows.select_related("animal__taxon"),
        laid if mixes_known().parts else laid.none(),
        *young,
    )


def of_mixes(laid):
    """Return the young of mixes that some clutches, `(key,)` each, went on in."""
    keys = {key for (key,) in laid}
    further = mixes_known().with_mixes(keys) - keys if keys else ()
    return Animal.objects.filter(clutch__in=further) if further else ()


def about(isolations, animals):
    """Return a question for each kind of row about isolations and the animals in them."""
    gone = Departure.objects.filter(animal__in=animals)
    stays = Stay.objects.filter(animal__in=animals)
    places = stays.filter(void=False).order_by().values("enclosure")
    taken = Sample.objects.filter(Q(animals__in=animals) | Q(enclosure__in=places)).distinct()
    standing = taken.filter(void=False).order_by().values("pk")
    signed = Clearance.objects.current().filter(isolation__in=isolations)
    arrived = ArrivalMember.objects.filter(animal__in=animals, arrival__void=False)
    return {
        "alive": gone.current()
        .exclude(kind=DepartureKind.DEATH)
        .annotate(again=came_again_that_day()),
        "deaths": gone.filter(kind=DepartureKind.DEATH),
        "signed": signed.order_by().values_list("isolation", "animals", "day"),
        "arrived": arrived.order_by().values_list("animal", flat=True),
        "stays": stays.select_related("enclosure"),
        "samples": taken.select_related("assay", "enclosure"),
        "swabbed": SWABBED.filter(sample__in=standing).values_list("sample", "animal__code"),
        "results": Result.objects.filter(sample__in=standing).select_related("sample__assay"),
        "courses": Course.objects.filter(isolation__in=isolations).select_related("assay"),
        "missing": Missing.objects.filter(animal__in=animals),
        "necropsies": Necropsy.objects.filter(death__animal__in=animals).select_related("death"),
        "observations": Observation.objects.filter(animal__in=animals, kind__in=KINDS),
    }
