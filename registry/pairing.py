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
from .phrases import written
from .placement import Company, Placement, place
from .telling import tell


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
    pairing = _entered(match, by, moment)
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


def _entered(match, by, moment):
    return Pairing.objects.create(
        first=match.first,
        second=match.second,
        planned_on=match.day,
        entered_at=moment,
        entered_by=by,
    )


def joining(pairing_or_match, enclosure, day):
    """Return the placement by which two animals come together; who is there already stays."""
    return Placement(day=day, enclosure=enclosure, animals=pairing_or_match.animals)


@transaction.atomic
def join_match(match, enclosure, *, by, reasons=None, breach=None, at=None):
    """Enter a pair and move both together at once, through every placement rule."""
    pairing = _entered(match, by, at or timezone.now())
    return join_pair(pairing, enclosure, match.day, by=by, reasons=reasons, breach=breach, at=at)


@transaction.atomic
def join_pair(pairing, enclosure, day, *, by, reasons=None, breach=None, at=None):
    """Move both animals together and begin the pairing, through every placement rule."""
    _only_pairing_of_both(pairing, day)
    place(joining(pairing, enclosure, day), by=by, reasons=reasons, breach=breach, at=at)
    pairing.began_on = day
    pairing.save(update_fields=["began_on"])
    return pairing


class AlreadyPaired(Exception):
    """The two are a pair already; end that pairing first."""

    def __init__(self, pairing):
        self.pairing = pairing
        super().__init__(
            tell(
                "{pairing} are a pair already, since {began_on}.",
                pairing=pairing,
                began_on=written(pairing.began_on),
            )
        )


def _only_pairing_of_both(pairing, day):
    """Refuse a second running pairing of the same two animals."""
    two = [a.pk for a in pairing.animals]
    running = Pairing.objects.current().filter(
        first__in=two, second__in=two, began_on__isnull=False, ended_on__isnull=True
    )
    if other := running.exclude(pk=pairing.pk).first():
        raise AlreadyPaired(other)


def end_pairing(pairing, day, why):
    """Record when and why a pairing ended."""
    pairing.ended_on, pairing.ended_why = day, why
    pairing.save(update_fields=["ended_on", "ended_why"])
    return pairing


def strength(pairing, herd, fertile):
    """Return proven after fertile eggs together, sexed by strong findings, else probable."""
    if fertile:
        return "proven"
    sexings = [herd.sexing(a) for a in pairing.animals]
    sexed = all(s.strong for s in sexings) and len({s.sex for s in sexings}) == 2
    return "sexed" if sexed else "probable"
