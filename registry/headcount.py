"""How many are in a clutch by the counts on record; of a mix, what its clutches brought."""

from datetime import date

from django.db.models import Count, Max, Sum

from .mixes import mixes_known
from .models import Animal, Loss, Stage, StageCount
from .together import fetch

ORDER = [stage.value for stage in Stage]


def remaining(clutch):
    """Return how many can still be in a clutch at most; None where nobody ever counted."""
    return _Tally(clutch).remaining(clutch.pk)


def brought_to(mix):
    """Return how many the clutches reared together were at most; None where one is not known."""
    return _Tally(mix).brought_to(mix.pk) if mix.mixed else None


class _Tally:
    """The counts of a clutch, and of those reared together in it, in one statement."""

    def __init__(self, clutch):
        self._mixes = mixes_known() if clutch.mixed else None
        keys = self._mixes.below(clutch.pk) if clutch.mixed else [clutch.pk]
        counted, lost, young = fetch(
            _by_clutch(StageCount.objects.current(), keys, Max("count")),
            _by_clutch(Loss.objects.current(), keys, Sum("count")),
            _by_clutch(Animal.objects, keys, Count("pk")),
        )
        self._counted, self._lost, self._young = dict(counted), dict(lost), dict(young)

    def remaining(self, key):
        """Return how many can still be in a clutch at most."""
        brought = self.brought_to(key)
        most = self._counted.get(key) if brought is None else brought
        if most is None:
            return None
        return max(most - self._lost.get(key, 0) - self._young.get(key, 0), 0)

    def brought_to(self, key):
        """Return how many those reared together in a mix were at most."""
        rests = [self.remaining(part) for part in self._mixes.members(key)] if self._mixes else []
        return None if None in rests or not rests else sum(rests)


def _by_clutch(rows, keys, figure):
    rows = rows.filter(clutch__in=keys).order_by().values("clutch")
    return rows.annotate(figure=figure).values_list("clutch", "figure")


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
