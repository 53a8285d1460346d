"""The door by which clutches come to be reared together, in one cup or tub, as one mix."""

from dataclasses import dataclass, field
from datetime import date

from django.db import transaction
from django.utils import timezone

from .company import gathered
from .headcount import ORDER, living
from .laying import next_code
from .lifetime import refuse_ahead
from .models import Clutch, ClutchPart, Enclosure, OfClutch
from .phrases import in_a_row, written
from .placement import Placement, go_on_as, objections, place
from .telling import tell
from .trying import undone


class MixRefused(Exception):
    """Clutches that cannot be reared together so."""


@dataclass(frozen=True, kw_only=True)
class Mixing:
    """A proposal: these clutches are reared together in an enclosure from a day on.

    `weights` are parts of any whole by the clutch's key; without them the living counts are taken.
    """

    clutches: tuple[Clutch, ...]
    enclosure: Enclosure
    day: date
    code: str = ""
    weights: dict = field(default_factory=dict)
    note: str = ""

    @property
    def placement(self):
        """The move by which they come together."""
        return Placement(day=self.day, enclosure=self.enclosure, clutches=self.clutches)

    def weighed(self):
        """Return the weight of each clutch: as given, else by how many lived that day."""
        if self.weights:
            return {one.pk: float(self.weights.get(one.pk, 0)) for one in self.clutches}
        counts = {one.pk: living(one, self.day) for one in self.clutches}
        return counts if counted(counts.values()) else dict.fromkeys(counts, 1.0)


def counted(numbers):
    """Return whether every number is known, and not all are nothing."""
    return None not in numbers and any(numbers)


@transaction.atomic
def rear_together(mixing, *, by, reasons=None, breach=None, at=None):
    """Enter that clutches are reared together from a day on; return the mix, a clutch of its own.

    What is counted, lost and taken out from then on is kept against the mix.
    """
    moment = at or timezone.now()
    list(Clutch.objects.select_for_update().filter(pk__in=[c.pk for c in mixing.clutches]))
    _refuse(mixing, moment)
    placement = mixing.placement
    stays = place(placement, by=by, reasons=reasons, breach=breach, at=moment)
    mix = _mix(mixing)
    ClutchPart.objects.bulk_create(
        ClutchPart(
            mix=mix, clutch_id=key, day=mixing.day, weight=w, entered_at=moment, entered_by=by
        )
        for key, w in mixing.weighed().items()
    )
    go_on_as(mix, stays, placement, by, moment)
    return mix


def proposed(mixing, at=None):
    """Return what putting clutches together would meet, and who would be together."""
    _refuse(mixing, at or timezone.now())

    def looked():
        return objections(mixing.placement), gathered(mixing.placement)

    return undone(looked)


def _mix(mixing):
    mix = Clutch(
        code=mixing.code or next_code(),
        taxon=mixing.clutches[0].taxon,
        enclosure=mixing.enclosure,
        found_on=mixing.day,
        found_as=min((_stage(one, mixing.day) for one in mixing.clutches), key=ORDER.index),
        began_seen=False,
        mixed=True,
        note=mixing.note,
    )
    mix.full_clean()
    mix.save()
    return mix


def _stage(clutch, on):
    """Return the furthest stage of which any of a clutch were counted by a day."""
    rows = clutch.stages.current().filter(day__lte=on).values_list("stage", flat=True)
    return max([clutch.found_as, *rows], key=ORDER.index)


def _refuse(mixing, moment):
    refuse_ahead(mixing.day, moment)
    if len(set(mixing.clutches)) < 2 or len(set(mixing.clutches)) < len(mixing.clutches):
        raise MixRefused(tell("Name at least two different clutches."))
    if len({one.taxon_id for one in mixing.clutches}) > 1:
        raise MixRefused(
            tell("Clutches of two taxa are not taken for one another; keep them apart.")
        )
    for clutch in mixing.clutches:
        _refuse_clutch(clutch, mixing.day)
    refuse_weights(mixing.weighed().values())


def refuse_weights(weights):
    """Refuse weights below nothing, or nothing at all."""
    if min(weights) < 0 or not any(weights):
        raise MixRefused(tell("A weight is at least 0, and one of them is above it."))


def _refuse_clutch(clutch, day):
    part = clutch.mixings.current().select_related("mix").first()
    if part:
        raise MixRefused(
            tell(
                "{clutch} is reared with others in {mix} already; name {mix}.",
                clutch=clutch,
                mix=part.mix,
            )
        )
    if day < clutch.found_on:
        raise MixRefused(
            tell(
                "{clutch} was found only on {found_on}.",
                clutch=clutch,
                found_on=written(clutch.found_on),
            )
        )
    if not clutch.stays.current().running(day).exists():
        raise MixRefused(
            tell(
                "{clutch} stood nowhere on {day}; move it there first.",
                clutch=clutch,
                day=written(day),
            )
        )
    later = [
        tell("counted on {day}", day=written(row.day))
        for row in clutch.stages.current()
        if row.day > day
    ]
    later += [
        tell("lost on {day}", day=written(row.day))
        for row in clutch.losses.current()
        if row.day > day
    ]
    young = clutch.young.filter(separated_on__gt=day)
    later += [
        tell(
            "taken out as {one} on {separated_on}", one=one, separated_on=written(one.separated_on)
        )
        for one in young
    ]
    if later:
        raise MixRefused(
            tell(
                "Young of {clutch} were entered for it alone later: {later}. Put "
                "them together from that day on, or correct those entries.",
                clutch=clutch,
                later=in_a_row(later),
            )
        )


@transaction.atomic
def state_clutch(animal, clutch, basis, day, by, note="", at=None):
    """Enter of which of the clutches reared together an animal is."""
    moment = at or timezone.now()
    refuse_ahead(day, moment)
    refuse_clutch_of(animal, clutch, day)
    known = animal.clutches_stated.current().select_related("clutch").first()
    if known:
        raise MixRefused(
            tell(
                "{animal} is stated to be of {clutch}; correct that entry.",
                animal=animal,
                clutch=known.clutch,
            )
        )
    return OfClutch.objects.create(
        animal=animal, clutch=clutch, basis=basis, day=day, note=note,
        entered_at=moment, entered_by=by,
    )  # fmt: skip


def refuse_clutch_of(animal, clutch, day):
    """Refuse a clutch an animal cannot have come from: it left no mix that this one is in."""
    if not animal.clutch_id or not animal.clutch.mixed:
        raise MixRefused(
            tell("{animal} did not come out of clutches reared together.", animal=animal)
        )
    possible = animal.clutch.laid_as()
    if clutch not in possible:
        raise MixRefused(
            tell(
                "{clutch} is {possible}; {clutch_2} is not in it.",
                clutch=animal.clutch,
                possible=in_a_row(possible),
                clutch_2=clutch,
            )
        )
    if day < animal.separated_on:
        raise MixRefused(
            tell(
                "{animal} was taken out on {separated_on}.",
                animal=animal,
                separated_on=written(animal.separated_on),
            )
        )


def refuse_part(new, old, moment):
    """Refuse a corrected share that leaves no clutch possible."""
    others = [part.weight for part in old.mix.current_parts() if part.pk != old.pk]
    refuse_weights([new.weight, *others])


@transaction.atomic
def take_back_part(part, *, by, why, at=None):
    """Enter that a clutch was never in a mix; where it was instead is entered as a move."""
    if not why.strip():
        raise MixRefused(tell("Say why; the reason is kept."))
    others = [one.weight for one in part.mix.current_parts() if one.pk != part.pk]
    if not any(others):
        raise MixRefused(
            tell("No other clutch is left in {mix} that its young can be of.", mix=part.mix)
        )
    return part.withdrawn(by=by, why=why, at=at)
