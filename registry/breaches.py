"""Breaches come to an end: somebody says when and how each was settled."""

from django.utils import timezone

from .lifetime import NotOnThatDay, refuse_ahead
from .models import Breach
from .phrases import written
from .telling import tell


def open_breaches():
    """Return the breaches nobody has settled."""
    rows = Breach.objects.filter(closed_on__isnull=True).order_by("entered_at")
    return rows.select_related("stay__enclosure").prefetch_related("animals")


def close_breach(breach, day, why, at=None):
    """Enter when and how a breach was settled; what was done against a rule stays on record."""
    refuse_ahead(day, at or timezone.now())
    if day < breach.stay.start:
        raise NotOnThatDay(tell("The breach began on {start}.", start=written(breach.stay.start)))
    breach.closed_on, breach.closed_why = day, why
    breach.save(update_fields=["closed_on", "closed_why"])
    return breach
