"""Moves and departures corrected: what was entered wrong is replaced, through the same doors."""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .departing import Leaving, end_what_ran
from .departing import objections as departure_objections
from .lifetime import NotOnThatDay
from .models import Stay
from .objections import settle
from .phrases import written
from .placement import Placement, end_stay, place
from .placement import objections as placement_objections
from .telling import tell
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
    return departure_objections(leaving_instead(departure, changes, on))


LOOK = _("Looked at only.")


def _said(placements):
    return [o for placement in placements for o in placement_objections(placement)]


def _refuse_after_end(stay, day):
    if stay.end and day > stay.end:
        who = stay.animal or stay.clutch
        text = tell(
            "{who} was moved on, or left, on {end}; correct that entry first.",
            who=who,
            end=written(stay.end),
        )
        raise NotOnThatDay(text)


class HalfOfMove(NotOnThatDay):
    """A departure that is half of a move between premises is corrected with its other half."""

    def __init__(self, departure):
        text = tell(
            "{animal} left and arrived at {holding} in one act: correct or "
            "withdraw the arrival there, and this departure goes along.",
            animal=departure.animal,
            holding=departure.arrived_as.holding,
        )
        super().__init__(text)


def refuse_half(departure):
    """Refuse to correct one half of a move between premises without the other."""
    if departure.arrived_as_id:
        raise HalfOfMove(departure)


@transaction.atomic
def take_back_departure(departure, *, by, why, reasons=None, breach=None, at=None):
    """Enter that an animal never left: it stayed where it had been."""
    refuse_half(departure)
    moment = at or timezone.now()
    back = _stayed_on(departure, by, why, moment)
    return place(back, by=by, reasons=reasons, breach=breach, at=moment)[0] if back else None


def departure_taken_back(departure, *, by, why, reason="", breach=None, at):
    """Take the departure half of a move between premises back; one reason answers what is asked."""
    back = _stayed_on(departure, by, why, at)
    if back:
        reasons = answered(placement_objections(back), reason)
        place(back, by=by, reasons=reasons, breach=breach, at=at)


def _stayed_on(departure, by, why, moment):
    """Withdraw a departure; return the move by which the animal is where it had been, or None."""
    before = stay_ended_by(departure)
    departure.withdrawn(by=by, why=why, at=moment)
    if before is None:
        return None
    return Placement(day=departure.day, enclosure=before.enclosure, animals=(departure.animal,))


@transaction.atomic
def correct_departure(departure, changes, *, by, why, reasons=None, breach=None, at=None):
    """Enter that an animal left otherwise than recorded; `changes` are by field name."""
    refuse_half(departure)
    moment = at or timezone.now()
    leaving = leaving_instead(departure, changes, timezone.localdate(moment))
    settle(departure_objections(leaving), reasons or {})
    gap = _corrected(departure, changes, by, why, moment)
    if gap:
        place(gap, by=by, reasons=reasons, breach=breach, at=moment)
    end_what_ran(leaving, by, moment)
    return departure.replaced_by


def departure_corrected(leaving, changes, *, by, why, reason="", breach=None, at):
    """Correct the departure half of a move between premises, of which the rules were asked."""
    gap = _corrected(leaving.instead_of, changes, by, why, at)
    if gap:
        reasons = answered(placement_objections(gap), reason)
        place(gap, by=by, reasons=reasons, breach=breach, at=at)
    end_what_ran(leaving, by, at)


def answered(found, reason):
    """Return one reason as the answer to everything that is asked."""
    return {o.key: reason.strip() for o in found if o.is_ask} if reason.strip() else {}


def _corrected(departure, changes, by, why, moment):
    """Correct a departure; return the stay of the days by which it left later, or None."""
    new = departure.corrected(by=by, why=why, at=moment, **changes)
    if new.day <= departure.day or not (before := stay_ended_by(departure)):
        return None
    return Placement(
        day=departure.day,
        enclosure=before.enclosure,
        animals=(departure.animal,),
        until=new.day,
    )


def leaving_instead(departure, changes, on):
    """Return the departure as it would be, in the place of the one on record."""
    names = ("day", "kind", "receiver", "due_back")
    told = {name: changes.get(name, getattr(departure, name)) for name in names}
    told |= {"onward": bool(departure.arrived_as_id), "instead_of": departure}
    return Leaving(animals=(departure.animal,), entered_on=on, **told)


def stay_ended_by(departure):
    """Return the stay that a departure ended, or None."""
    rows = Stay.objects.current().filter(animal=departure.animal, end=departure.day)
    return rows.order_by("-start").first()
