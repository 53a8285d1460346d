"""How many are in a clutch by the counts on record; of a mix, what its clutches brought."""

from datetime import date

from django.db.models import Max, Sum

from .models import Stage

ORDER = [stage.value for stage in Stage]


def remaining(clutch):
    """Return how many can still be in a clutch at most; None where nobody ever counted."""
    most = clutch.stages.current().aggregate(most=Max("count"))["most"]
    brought = brought_to(clutch)
    most = most if brought is None else brought
    if most is None:
        return None
    lost = clutch.losses.current().aggregate(lost=Sum("count"))["lost"] or 0
    return max(most - lost - clutch.young.count(), 0)


def brought_to(mix):
    """Return how many the clutches reared together were at most; None where one is not known."""
    rests = [remaining(part.clutch) for part in mix.current_parts()]
    return None if None in rests or not rests else sum(rests)


def living(clutch, on):
    """Return how many of a clutch lived on a day by its last count, or None."""
    counted = clutch.stages.current().filter(day__lte=on, count__isnull=False)
    last = max(counted, key=lambda row: (ORDER.index(row.stage), row.day, row.pk), default=None)
    there = last.count if last else brought_to(clutch)
    if there is None:
        return None
    lost = clutch.losses.current().filter(day__lte=on, day__gt=last.day if last else date.min)
    gone = clutch.young.filter(separated_on__lte=on).count()
    return max(there - (lost.aggregate(lost=Sum("count"))["lost"] or 0) - gone, 0)
