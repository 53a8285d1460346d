"""Pairings go through the same rules as moves: a proposal, its objections, one door."""

from dataclasses import dataclass, field
from datetime import date
from functools import cached_property

from django.conf import settings
from django.db import transaction
from django.utils import timezone

from .herd import Herd
from .models import Animal, Answer, Pairing
from .objections import collected, settle
from .placement import Company, Placement, place


@dataclass(frozen=True, kw_only=True)
class Match:
    """A proposal: these two animals as a pair from a day on, wherever that will be."""

    day: date
    first: Animal
    second: Animal
    herd_given: Herd | None = field(default=None, compare=False)
    enclosure = None
    unit = None
    until = None
    clutches = ()

    @property
    def animals(self):
        """Both animals."""
        return (self.first, self.second)

    @cached_property
    def companies(self):
        """The two of them, on the day."""
        return [Company(day=self.day, animals=self.animals)]

    @cached_property
    def herd(self):
        """The two of them, or the larger set they were fetched with."""
        return self.herd_given or Herd(self.animals)


def objections(match):
    """Return what every rule in PAIRING_RULES says to a pair."""
    return collected(settings.PAIRING_RULES, match)


@transaction.atomic
def plan_pair(match, *, by, reasons=None, at=None):
    """Enter a pair as planned; stops stop, asks take a reason."""
    found = objections(match)
    settle(found, reasons or {})
    moment = at or timezone.now()
    pairing = Pairing.objects.create(
        first=match.first,
        second=match.second,
        planned_on=match.day,
        entered_at=moment,
        entered_by=by,
    )
    for objection in (o for o in found if o.is_ask):
        Answer.objects.create(
            pairing=pairing,
            rule=objection.rule,
            message=objection.message,
            reason=reasons[objection.key],
            entered_at=moment,
            entered_by=by,
        )
    return pairing


@transaction.atomic
def join_pair(pairing, enclosure, day, *, by, reasons=None, breach=None, at=None):
    """Move both animals together and begin the pairing, through every placement rule."""
    placement = Placement(day=day, enclosure=enclosure, animals=pairing.animals)
    stays = place(placement, by=by, reasons=reasons, breach=breach, at=at)
    pairing.began_on = day
    pairing.save(update_fields=["began_on"])
    return stays
