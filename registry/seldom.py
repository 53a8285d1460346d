"""What most registers have little of, asked for together: clutches in a mix, events of one of some.

Nearly every page must know that there is none; a page asks once.
"""

from dataclasses import dataclass

from django.db.models import Exists, OuterRef

from . import shelf
from .models import ClutchPart, Departure, Holding, OfClutch, OneOfThese, SexFinding
from .together import again, attach_through, fetch


@dataclass(frozen=True, kw_only=True)
class Seldom:
    """Parts of mixes, young whose clutch is stated, events settled on nobody, other premises."""

    parts: tuple
    stated: tuple
    events: tuple
    more_premises: bool


def seldom():
    """Return what is on record of these."""
    return shelf.kept("seldom", _seldom)


def _seldom():
    parts, stated, events, among, second = fetch(*map(again, ASKED))
    attach_through(events, "animals", among)
    return Seldom(
        parts=tuple(parts),
        stated=tuple(stated),
        events=tuple(events),
        more_premises=bool(second),
    )


def parts_of_mixes(facts):
    """Return `(mix, clutch, weight)` of entries about clutches that are reared together."""
    return facts.order_by("pk").values_list("mix", "clutch", "weight")


def stated_clutches():
    """Return the statements of which clutch of a mix an animal is, by its code, as a question."""
    rows = OfClutch.objects.current().select_related("animal__clutch", "clutch")
    return rows.order_by("animal__code")


def open_events():
    """Return a question for the events that stand and are settled on nobody, the oldest first."""
    mine = {"one_of": OuterRef("pk")}
    gone = Exists(Departure.objects.current().filter(**mine))
    found = Exists(SexFinding.objects.current().filter(**mine))
    rows = OneOfThese.objects.current().filter(~gone, ~found)
    return rows.select_related("enclosure", "receiver").distinct().order_by("day", "pk")


def _among(events):
    """Return a question for those that some events can have befallen."""
    rows = OneOfThese.animals.through.objects.filter(
        oneofthese__in=events.order_by().values("pk"), oneofthese__void=False
    )
    return rows.select_related("animal__taxon").order_by("animal__code")


ASKED = (
    parts_of_mixes(ClutchPart.objects.current()),
    stated_clutches(),
    open_events(),
    _among(open_events()),
    Holding.objects.order_by().values_list("pk")[1:2],
)
