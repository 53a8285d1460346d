"""What the rules say to everything that stands now, enclosure by enclosure, fetched together."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Q

from .herd import Herd
from .models import Answer, Enclosure, Stay
from .placement import Placement, objections


@dataclass(frozen=True, kw_only=True)
class Standing:
    """One objection against what stands in an enclosure, with the reason given to it, if any."""

    enclosure: Enclosure
    objection: object
    answer: Answer | None = None


def standing_in(enclosure, on):
    """Return what stands against the company of one enclosure on a day, answered or not."""
    placement = Placement(day=on, enclosure=enclosure)
    return _told(enclosure, objections(placement), _answers([enclosure], on))


def standing_everywhere(on):
    """Return what stands against the company of any enclosure on a day, answered or not."""
    there = defaultdict(list)
    for stay in _stays(on):
        there[stay.enclosure].append(stay)
    herd = Herd({s.animal for stays in there.values() for s in stays if s.animal_id})
    answers = _answers(there, on)
    found = []
    for enclosure, stays in sorted(there.items(), key=lambda item: item[0].code):
        placement = Placement(day=on, enclosure=enclosure, herd_given=herd, stays_given=stays)
        found += _told(enclosure, objections(placement), answers)
    return found


def _stays(on):
    rows = Stay.objects.current().exclude(end__lt=on)
    return rows.select_related(
        "enclosure__unit",
        "animal__taxon",
        "animal__locality",
        "animal__source_group",
        "clutch__taxon",
    ).order_by("start", "pk")


def _answers(enclosures, on):
    """Return the reasons given for whoever is in some enclosures, by enclosure and sentence."""
    there = Q(stay__end__isnull=True) | Q(stay__end__gt=on)
    rows = Answer.objects.filter(there, stay__enclosure__in=list(enclosures))
    rows = rows.filter(stay__void=False, stay__superseded_at__isnull=True)
    return {(a.stay.enclosure_id, a.message): a for a in rows.select_related("stay", "entered_by")}


def _told(enclosure, found, answers):
    return [
        Standing(
            enclosure=enclosure,
            objection=objection,
            answer=answers.get((enclosure.pk, objection.message)),
        )
        for objection in found
    ]
