"""Clutches taken together through their stages: those of a pairing, of a line, of a year."""

from collections import defaultdict
from dataclasses import dataclass, field

from django.db.models import Count
from django.utils.translation import gettext_lazy as _

from .charts.funnel import StageSum, joint_funnel
from .funnel import funnel
from .keeping import drawn_once
from .mixes import mixes_known
from .models import Candidate, Clutch, Stage

ANIMALS = _("taken out as animals")
ORDER = (*Stage.values, ANIMALS)
SELDOM = {Stage.CARRIED.value, Stage.INDEPENDENT.value}  # of some taxa only


@dataclass
class Brood:
    """A clutch, or those of one mix: how many reached each stage, None where nobody counted."""

    counts: dict = field(default_factory=dict)

    @property
    def first(self):
        """How many there were by the first count."""
        return next((self.counts[s] for s in ORDER if self.counts.get(s) is not None), None)

    def at(self, stage):
        """Return how many reached a stage, and whether any did or may have."""
        later = ORDER[ORDER.index(stage) :]
        return self.counts.get(stage), any(one in self.counts for one in later)


def broods(clutches):
    """Return clutches as broods; those of a mix as one, if no others are in it too."""
    keys = {c.pk for c in clutches}
    mixes = mixes_known()
    known = {c.pk: c for c in with_counts(mixes.with_mixes(keys))}
    top = [mix for mix in known if mix in mixes and _is_whole(mix, mixes, keys)]
    inside = {part for mix in top for part in mixes.parts[mix]}
    alone = [key for key in keys if key not in inside]
    found = [_merged(mix, mixes, known) for mix in top if mix not in inside]
    return found + [_alone(key, mixes, known) for key in alone]


def with_counts(keys):
    """Return clutches with their counts and how many were taken out, the oldest first."""
    rows = Clutch.objects.filter(pk__in=keys).prefetch_related("stages")
    return rows.annotate(taken=Count("young")).order_by("found_on", "pk")


def _is_whole(mix, mixes, keys):
    return mixes.laid_as(mix).keys() <= keys


def _own(clutch):
    counts = {step.stage: step.count for step in funnel(clutch)}
    return counts | ({ANIMALS: clutch.taken} if clutch.taken else {})


def _merged(mix, mixes, known):
    parts = [
        _merged(part, mixes, known) if part in mixes else Brood(_own(known[part]))
        for part in mixes.parts[mix]
    ]
    own, counts = _own(known[mix]), {}
    for stage in ORDER:
        told = [part.counts.get(stage) for part in parts]
        if stage == ANIMALS:
            counts[stage] = sum(filter(None, [own.get(stage), *told]))
        elif stage in own:
            counts[stage] = own[stage]
        elif any(stage in part.counts for part in parts):
            counts[stage] = None if None in told else sum(told)
    return Brood({stage: count for stage, count in counts.items() if count != 0 or stage in own})


def _alone(key, mixes, known):
    """Return one clutch; what came of it in a mix with others of another set is not known."""
    counts = _own(known[key])
    last = max((ORDER.index(stage) for stage in counts), default=-1)
    for mix in mixes.with_mixes({key}) - {key}:
        later = [stage for stage in _own(known[mix]) if ORDER.index(stage) > last]
        counts |= dict.fromkeys(later) | ({ANIMALS: None} if ANIMALS in later else {})
    return Brood(counts)


def summed(clutches):
    """Return how many of all these clutches reached each stage, a `StageSum` for each.

    What only some taxa do is left out where no clutch did it.
    """
    told, labels = broods(clutches), dict(Stage.choices)
    met = {stage for one in told for stage in one.counts}
    found = [_sum(s, labels.get(s, s), told) for s in ORDER if s in met or s not in SELDOM]
    return [one for one in found if one.clutches or one.unknown]


def _sum(stage, label, told):
    at = [(one.first, *one.at(stage)) for one in told]
    counts = [count for _, count, _ in at if count is not None]
    both = [(first, count) for first, count, _ in at if None not in (first, count)]
    whole = sum(first for first, _ in both)
    return StageSum(
        stage=label,
        count=sum(counts) if counts else None,
        clutches=len(counts),
        unknown=sum(count is None and reached for _, count, reached in at),
        share=sum(count for _, count in both) / whole if whole else None,
    )


def funnel_of(title, clutches):
    """Draw clutches together, with the table behind the picture; None where nothing was counted."""
    found = tuple(summed(clutches))
    return drawn_once(joint_funnel, title, found) if found else None


def clutches_of_line(line):
    """Return the clutches of a line: all that may be their parents are of its taxon and place."""
    rows = Candidate.objects.filter(
        descent__void=False,
        descent__superseded_at__isnull=True,
        descent__clutch__taxon=line.taxon,
    )
    places = defaultdict(set)
    names = ("descent__clutch", "animal__locality", "mate", "mate__locality")
    for clutch, place, mate, other in rows.values_list(*names):
        places[clutch] |= {place} | ({other} if mate else set())
    own = line.locality.pk if line.locality else None
    return with_counts([clutch for clutch, of in places.items() if of == {own}])


def clutches_of_year(year, taxon=None):
    """Return the clutches of a year, by the day they were laid, else found."""
    rows = Clutch.objects.filter(mixed=False, **{"taxon": taxon} if taxon else {})
    mine = (c.pk for c in rows if (c.laid or c.found_on).year == year)
    return with_counts(list(mine))


def years_with_clutches():
    """Return the years in which clutches were laid or found, the newest first."""
    rows = Clutch.objects.filter(mixed=False).values_list("laid", "found_on")
    return sorted({(laid or found).year for laid, found in rows}, reverse=True)
