"""The doors by which a clutch is entered, counted, and comes to its end."""

from copy import copy
from itertools import chain

from django.db import transaction
from django.utils import timezone

from .company import gathered
from .conception import laying_of
from .headcount import ORDER, brought_to, remaining
from .lifetime import NotOnThatDay, refuse_ahead
from .models import Animal, Clutch, Loss, Pairing, Stage, StageCount, Stay
from .parentage import state_parents
from .phrases import written
from .placement import Placement, end_stay, objections, place
from .register_births import clutch_ended, young_counted, young_lost
from .telling import tell, tell_many
from .together import fetch
from .trying import undone


class CountRefused(Exception):
    """A count that does not fit those on record; the earlier one is corrected instead."""


@transaction.atomic
def enter_clutch(
    clutch, *, into, parents=(), basis="housed", note="", count=None, by, reasons=None, breach=None,
    at=None,
):  # fmt: skip
    """Enter a clutch that was found: where it stands, how many, and who its parents may be.

    `parents` are `(role, candidates)` as `housing.statements()` gives them, or
    `(role, candidates, basis)` where one of them was seen.
    """
    moment = at or timezone.now()
    refuse_ahead(clutch.found_on, moment)
    clutch.full_clean()
    clutch.save()
    placement = Placement(day=clutch.found_on, enclosure=into, clutches=(clutch,))
    place(placement, by=by, reasons=reasons, breach=breach, at=moment)
    count_stage(clutch, clutch.found_as, clutch.found_on, count, by, at=moment)
    for role, candidates, *own in parents:
        own_basis = own[0] if own else basis
        state_parents(
            clutch, role, candidates, own_basis, clutch.found_on, by, note=note, at=moment
        )
    _link_pairing(clutch)
    return clutch


def proposed(clutch, into):
    """Return what a clutch would meet, and who would be together; nothing is kept."""

    def looked():
        probe = copy(clutch)
        probe.save()
        placement = Placement(day=clutch.found_on, enclosure=into, clutches=(probe,))
        return objections(placement), gathered(placement)

    return undone(looked)


def _link_pairing(clutch):
    """Name the pairing in force of a sire and a dam that are both known."""
    known = {}
    for descent in clutch.descents.current().exclude(role="pair").prefetch_related("candidates"):
        rows = descent.candidates.all()
        if len(rows) == 1 and rows[0].weight == 1:
            known[descent.role] = rows[0].animal_id
    if len(known) == 2:
        last, two = laying_of(clutch).last, list(known.values())
        rows = Pairing.objects.current().filter(first__in=two, second__in=two, began_on__lte=last)
        clutch.pairing = rows.exclude(ended_on__lt=laying_of(clutch).first).first()
        clutch.save(update_fields=["pairing"])


@transaction.atomic
def count_stage(clutch, stage, day, count, by, at=None):
    """Enter how many of a clutch had reached a stage by a day; None where nobody counted."""
    moment = at or timezone.now()
    refuse_count(clutch, stage, day, count, moment)
    counted = StageCount.objects.create(
        clutch=clutch, stage=stage, day=day, count=count, entered_at=moment, entered_by=by
    )
    young_counted(counted)
    return counted


def _refuse_day(clutch, day, moment):
    refuse_ahead(day, moment)
    if day < clutch.found_on:
        raise NotOnThatDay(
            tell(
                "{clutch} was found on {found_on}.",
                clutch=clutch,
                found_on=written(clutch.found_on),
            )
        )
    refuse_mixed(clutch, day)


def refuse_mixed(clutch, day):
    """Refuse what is said of one clutch alone after it was put together with others."""
    part = clutch.mixings.current().filter(day__lt=day).select_related("mix").first()
    if part:
        raise NotOnThatDay(
            tell(
                "{clutch} is reared together with others in {mix} since {day}; enter it for {mix}.",
                clutch=clutch,
                mix=part.mix,
                day=written(part.day),
            )
        )


def refuse_count(clutch, stage, day, count, moment, instead_of=None):
    """Refuse a count above an earlier stage's, below a later one's, or falling in its own."""
    _refuse_day(clutch, day, moment)
    brought = brought_to(clutch)
    if None not in (count, brought) and count > brought:
        raise CountRefused(
            tell(
                "More than the clutches in {clutch} brought: {brought} by their counts. One of "
                "the two is wrong; correct the earlier count, or this one.",
                clutch=clutch,
                brought=brought,
            )
        )
    rows = clutch.stages.current().filter(count__isnull=False)
    for row in rows.exclude(pk=instead_of and instead_of.pk) if count is not None else ():
        behind = ORDER.index(row.stage) - ORDER.index(stage)
        told = {"stage": Stage(stage).label, "count": row.count, "counted": row.get_stage_display()}
        told |= {"day": written(row.day)}
        if behind < 0 and count > row.count:
            raise CountRefused(
                tell(
                    "More {stage} than were counted before: {count} {counted} on {day}. One of "
                    "the two is wrong; correct the earlier count, or this one.",
                    **told,
                )
            )
        if behind > 0 and count < row.count:
            raise CountRefused(
                tell(
                    "Fewer {stage} than were counted later on: {count} {counted} on {day}. One of "
                    "the two is wrong; correct the earlier count, or this one.",
                    **told,
                )
            )
        if behind == 0 and (day - row.day).days * (count - row.count) < 0:
            raise CountRefused(
                tell(
                    "How many had become {stage} does not fall: {count} {counted} on {day}. One of "
                    "the two is wrong; correct the earlier count, or this one.",
                    **told,
                )
            )


@transaction.atomic
def lose(clutch, count, reason, day, by, left=False, at=None):
    """Enter that some of a clutch were lost, or left alive as eggs or larvae, with the reason."""
    moment = at or timezone.now()
    refuse_loss(clutch, count, day, moment)
    loss = Loss.objects.create(
        clutch=clutch,
        count=count,
        reason=reason,
        day=day,
        left=left,
        entered_at=moment,
        entered_by=by,
    )
    young_lost(loss)
    return loss


def refuse_loss(clutch, count, day, moment, instead_of=None):
    """Refuse to lose more than are left."""
    _refuse_day(clutch, day, moment)
    rest = remaining(clutch)
    if rest is not None and instead_of is not None:
        rest += instead_of.count
    if count < 1 or (rest is not None and count > rest):
        if rest is None:
            raise CountRefused(tell("Enter at least one of {clutch} as lost.", clutch=clutch))
        raise CountRefused(
            tell_many(
                "There is {count} left in {clutch}.",
                "There are {count} left in {clutch}.",
                rest,
                clutch=clutch,
            )
        )


@transaction.atomic
def end_clutch(clutch, day, by, at=None):
    """Enter that nothing of a clutch is left where it stood."""
    moment = at or timezone.now()
    _refuse_day(clutch, day, moment)
    for stay in Stay.objects.current().running(day).filter(clutch=clutch):
        end_stay(stay, day, by, moment, tell("Nothing was left of {clutch}.", clutch=clutch))
    clutch_ended(clutch, day, by=by, at=moment)


def codes_numbered():
    """Return questions for the codes that may be numbered as those of clutches are."""
    rows = (model.objects.filter(code__istartswith="K") for model in (Clutch, Animal))
    return [some.values_list("code", flat=True) for some in rows]


def next_code():
    """Return a free code for a clutch, numbered on from the last that is numbered so."""
    return code_after(fetch(*codes_numbered()))


def code_after(numbered):
    """Return the same out of the codes that `codes_numbered` asks for."""
    codes = [code[1:].lstrip("-") for code in chain.from_iterable(numbered)]
    numbers = [int(digits) for digits in codes if digits.isdecimal()]
    number = max(numbers, default=0) + 1
    return f"K{number}"


def is_running(clutch: Clutch, on):
    """Return whether a clutch still stands somewhere on a day."""
    return clutch.stays.current().running(on).exists()
