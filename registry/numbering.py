"""Numbers without a gap: allotted one after the other, while nobody else can allot any."""

from django.db.models import Max

from .models import Holding


def held_still(holding):
    """Make whoever else would number anything of a holding wait until this act is done.

    Others may still refer to the holding meanwhile: only its numbers are held.
    """
    return Holding.objects.select_for_update(no_key=True).get(pk=holding.pk)


def next_number(series):
    """Return the number after the last of a series; its holding is held still."""
    return (series.aggregate(last=Max("number"))["last"] or 0) + 1
