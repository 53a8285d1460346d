"""Moves and departures corrected: what was entered wrong is replaced, through the same doors."""

from django.db import transaction
from django.utils import timezone

from .departing import Leaving, end_what_ran
from .departing import objections as departure_objections
from .lifetime import NotOnThatDay
from .models import Stay
from .objections import settle
from .phrases import written
from .placement import Placement, end_stay, place
from .placement import objections as placement_objections
from .trying import undone


def _who(stay):
    """Return whom a stay is of, as a placement takes it."""
    if stay.animal_id:
        return {"animals": (stay.animal,)}
    return {"clutches": (stay.clutch,)}


def _before(stay):
    """Return the stay that the start of another ended, or None."""
    rows = Stay.objects.current().filter(animal=stay.animal, clutch=stay.clutch, end=stay.start)
    return rows.exclude(pk=stay.pk).order_by("-start").first()


@transaction.atomic
def take_back(stay, *, by, why, reasons=None, breach=None, at=None):
    """Enter that a move never was: whoever moved stayed where it had been before.

    Goes through every placement rule, as the company there may have changed since.
    """
    moment = at or timezone.now()
    back = _back(stay, by, why, moment)
    stays = [place(p, by=by, reasons=reasons, breach=breach, at=moment) for p in back]
    return stays[-1][0] if stays else None


def _back(stay, by, why, moment):
    """Withdraw a stay, and return the moves by which whoever it was of is where it had been."""
    before = _before(stay)
    stay.withdrawn(by=by, why=why, at=moment)
    if before is None:
        return []
    return [Placement(day=stay.start, enclosure=before.enclosure, until=stay.end, **_who(stay))]


@transaction.atomic
def correct_move(stay, *, day, enclosure, by, why, reasons=None, breach=None, at=None):
    """Enter that a move was on another day, or to another enclosure; return the new stay."""
    moment = at or timezone.now()
    moves = _instead(stay, day, enclosure, by, why, moment)
    stays = [place(p, by=by, reasons=reasons, breach=breach, at=moment) for p in moves]
    return stays[-1][0]


def _instead(stay, day, enclosure, by, why, moment):
    """Withdraw a stay, and return the moves that stand in its place, one after the other."""
    _refuse_after_end(stay, day)
    before = _before(stay)
    stay.withdrawn(by=by, why=why, at=moment)
    move = Placement(day=day, enclosure=enclosure, until=stay.end, **_who(stay))
    if before and day > stay.start:
        return [
            Placement(day=stay.start, enclosure=before.enclosure, until=day, **_who(stay)),
            move,
        ]
    if before and before.start <= day < stay.start:
        end_stay(before, day, by, moment, why)
    return [move]


def objected_to_taking_back(stay, by):
    """Return what the rules say if a move never was; nothing is kept."""
    return undone(lambda: _said(_back(stay, by, LOOK, timezone.now())))


def objected_to_correction(stay, day, enclosure, by):
    """Return what the rules say if a move was otherwise; nothing is kept."""
    return undone(lambda: _said(_instead(stay, day, enclosure, by, LOOK, timezone.now())))


def objected_to_departure(departure, changes, on):
    """Return what the rules say if an animal left otherwise; nothing is kept."""
    return departure_objections(_leaving(departure, changes, on))


LOOK = "Looked at only."


def _said(placements):
    return [o for placement in placements for o in placement_objections(placement)]


def _refuse_after_end(stay, day):
    if stay.end and day > stay.end:
        who = stay.animal or stay.clutch
        text = f"{who} was moved on, or left, on {written(stay.end)}; correct that entry first."
        raise NotOnThatDay(text)


@transaction.atomic
def take_back_departure(departure, *, by, why, reasons=None, breach=None, at=None):
    """Enter that an animal never left: it stayed where it had been."""
    moment = at or timezone.now()
    before = _left(departure)
    departure.withdrawn(by=by, why=why, at=moment)
    if before is None:
        return None
    placement = Placement(
        day=departure.day, enclosure=before.enclosure, animals=(departure.animal,)
    )
    return place(placement, by=by, reasons=reasons, breach=breach, at=moment)[0]


@transaction.atomic
def correct_departure(departure, changes, *, by, why, reasons=None, breach=None, at=None):
    """Enter that an animal left otherwise than recorded; `changes` are by field name."""
    moment = at or timezone.now()
    leaving = _leaving(departure, changes, timezone.localdate(moment))
    settle(departure_objections(leaving), reasons or {})
    new = departure.corrected(by=by, why=why, at=moment, **changes)
    if new.day > departure.day and (before := _left(departure)):
        gap = Placement(
            day=departure.day,
            enclosure=before.enclosure,
            animals=(departure.animal,),
            until=new.day,
        )
        place(gap, by=by, reasons=reasons, breach=breach, at=moment)
    end_what_ran(leaving, by, moment)
    return new


def _leaving(departure, changes, on):
    """Return the departure as it would be, in the place of the one on record."""
    kept = {"day": departure.day, "kind": departure.kind, "receiver": departure.receiver}
    told = {name: changes.get(name, value) for name, value in kept.items()}
    return Leaving(animals=(departure.animal,), entered_on=on, instead_of=departure, **told)


def _left(departure):
    """Return the stay that a departure ended, or None."""
    rows = Stay.objects.current().filter(animal=departure.animal, end=departure.day)
    return rows.order_by("-start").first()
