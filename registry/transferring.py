"""A move between premises of this register: a departure and an arrival in one act, or neither."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils import timezone

from .amending import answered, departure_corrected, departure_taken_back, leaving_instead
from .arriving import ArrivalRefused, PaperGiven, Return, register_return
from .departing import Leaving, depart_together, objections
from .lending import keepings
from .lifetime import NotOnThatDay
from .models import Animal, ArrivalKind, Departure, DepartureKind, Holding, Stay
from .objections import settle
from .phrases import in_a_row, written
from .placement import Placement, place
from .placement import objections as placement_objections
from .telling import tell
from .trying import undone
from .whence import holdings_on

# How animals go between premises, and what that is to those they leave and to those they come to.
HALVES = {
    "loan": (DepartureKind.LOAN, ArrivalKind.LOAN),
    "return": (DepartureKind.HANDED_OVER, ArrivalKind.RETURN),
    "sale": (DepartureKind.SALE, ArrivalKind.PURCHASE),
    "gift": (DepartureKind.GIFT, ArrivalKind.GIFT),
    "exchange": (DepartureKind.EXCHANGE, ArrivalKind.EXCHANGE),
}
DEPARTS_AS = {arrival: departure for departure, arrival in HALVES.values()}


class TransferRefused(ArrivalRefused):
    """A move between premises cannot be as it is told; `field` names what to change."""


@dataclass(frozen=True, kw_only=True)
class Transfer:
    """A proposal: these animals go from the premises they are at to others of this register."""

    day: date
    kind: str
    animals: tuple[Animal, ...]
    holding: Holding
    due_back: date | None = None
    papers: tuple[PaperGiven, ...] = ()
    route: str = ""
    note: str = ""


@transaction.atomic
def transfer(move, *, by, reason="", at=None):
    """Enter both halves, or raise what either is refused for; one reason answers what is asked."""
    moment = at or timezone.now()
    home = _home(move)
    leaving = _leaving(move, timezone.localdate(moment))
    reasons = answered(objections(leaving), reason)
    left = depart_together(leaving, by=by, reasons=reasons, note=move.note, at=moment)
    arrival = register_return(_coming(move, home), by=by, at=moment)
    Departure.objects.filter(pk__in=[d.pk for d in left]).update(arrived_as=arrival)
    return arrival


def _home(move):
    """Return the premises they are at, or say why they cannot go from there together."""
    at = holdings_on(move.animals, move.day)
    homes = {holding.pk: holding for holding in at.values()}
    if len(homes) > 1:
        names = in_a_row(sorted(h.name for h in homes.values()))
        raise TransferRefused(
            tell("They are at {names}; enter a move from each.", names=names), "animals"
        )
    home = next(iter(homes.values()))
    if home == move.holding:
        text = tell(
            "{animals}: at {home} already; within premises it is a plain move.",
            animals=in_a_row(move.animals),
            home=home,
        )
        raise TransferRefused(text, "holding")
    if move.kind == "return":
        _refuse_no_loan(move, home)
    return home


def _refuse_no_loan(move, home):
    """Only what was lent by those premises to these is returned to them."""
    for keeping in keepings(move.animals, move.day).values():
        loan = keeping.loans[-1] if keeping.loans else None
        if loan is None or loan.borrower != home.party:
            text = tell(
                "{animal} was not on loan to {home} on {day}.",
                animal=keeping.animal,
                home=home,
                day=written(move.day),
            )
            raise TransferRefused(text, "kind")
        if loan.lender != move.holding.party:
            text = tell(
                "{animal} was lent by {lender}, not by {holding}.",
                animal=keeping.animal,
                lender=loan.lender,
                holding=move.holding,
            )
            raise TransferRefused(text, "holding")


def _leaving(move, on):
    return Leaving(
        day=move.day,
        animals=tuple(move.animals),
        kind=HALVES[move.kind][0],
        receiver=move.holding.party,
        due_back=move.due_back,
        onward=True,
        entered_on=on,
    )


def _coming(move, home):
    return Return(
        day=move.day,
        kind=HALVES[move.kind][1],
        holding=move.holding,
        supplier=home.party,
        animals=tuple(move.animals),
        due_back=move.due_back,
        papers=tuple(move.papers),
        route=move.route,
        note=move.note,
    )


def is_half(arrival):
    """Return whether an arrival is half of a move between premises."""
    return arrival.departures.current().exists()


@transaction.atomic
def correct_transfer(arrival, changes, *, by, why, reason="", breach=None, at=None):
    """Enter that a move between premises was otherwise: both halves, and where it led."""
    moment, told = at or timezone.now(), {"by": by, "why": why}
    _refuse_otherwise(arrival, changes)
    day = changes.get("day", arrival.day)
    begun = [] if day == arrival.day else _taken_up(arrival, day, told, moment)
    other = _other_half(arrival, changes)
    leavings = _asked(arrival, other, reason, told, moment)
    new = arrival.corrected(at=moment, **told, **changes)
    how = {"reason": reason, "breach": breach, "at": moment}
    for leaving in leavings:
        departure_corrected(leaving, other | {"arrived_as": new}, **told, **how)
    for enclosure, end, animals in begun:
        move = Placement(day=day, enclosure=enclosure, animals=animals, until=end)
        _placed(move, by, reason, breach, moment)
    return new


def _refuse_otherwise(arrival, changes):
    if changes.get("supplier", arrival.supplier) != arrival.supplier:
        text = tell(
            "They came from {supplier} in the same act; withdraw it and enter it anew.",
            supplier=arrival.supplier,
        )
        raise TransferRefused(text, "supplier")
    if changes.get("kind", arrival.kind) not in DEPARTS_AS:
        names = in_a_row(sorted(ArrivalKind(kind).label for kind in DEPARTS_AS))
        raise TransferRefused(tell("Between premises animals go by {names}.", names=names), "kind")


def _other_half(arrival, changes):
    """Return what the departures are to be, where the arrival changes."""
    said = {name: changes.get(name, getattr(arrival, name)) for name in ("day", "due_back")}
    return said | {"kind": DEPARTS_AS[changes.get("kind", arrival.kind)]}


def _asked(arrival, other, reason, told, moment):
    """Ask the rules on leaving of each as if it had not arrived, and return what leaves."""
    on = timezone.localdate(moment)
    rows = arrival.departures.current().select_related("animal", "receiver", "arrived_as")
    leavings = [leaving_instead(departure, other, on) for departure in rows]

    def asked():
        arrival.withdrawn(at=moment, **told)
        return [objection for leaving in leavings for objection in objections(leaving)]

    found = undone(asked)
    settle(found, answered(found, reason))
    return leavings


def _first_stays(arrival):
    """Return the stays by which those that came were set somewhere on the day of arrival."""
    rows = Stay.objects.current().filter(animal__in=arrival.animals.all(), start=arrival.day)
    rows = rows.filter(enclosure__unit__holding=arrival.holding)
    return list(rows.select_related("animal", "enclosure").order_by("animal__code"))


def _taken_up(arrival, day, told, moment):
    """Withdraw the stays that began with an arrival; return where who was until when."""
    places = {}
    for stay in _first_stays(arrival):
        if stay.end and stay.end <= day:
            text = tell(
                "{animal} was moved on on {end}; correct that entry first.",
                animal=stay.animal,
                end=written(stay.end),
            )
            raise TransferRefused(text, "day")
        stay.withdrawn(at=moment, **told)
        places.setdefault((stay.enclosure, stay.end), []).append(stay.animal)
    return [(enclosure, end, tuple(some)) for (enclosure, end), some in places.items()]


def _placed(move, by, reason, breach, moment):
    reasons = answered(placement_objections(move), reason)
    place(move, by=by, reasons=reasons, breach=breach, at=moment)


@transaction.atomic
def take_back_transfer(arrival, *, by, why, reason="", breach=None, at=None):
    """Enter that a move between premises never was: neither half, and nobody moved."""
    moment, told = at or timezone.now(), {"by": by, "why": why}
    _refuse_gone_on(arrival)
    for stay in _first_stays(arrival):
        stay.withdrawn(at=moment, **told)
    departures = list(arrival.departures.current().select_related("animal"))
    gone = arrival.withdrawn(at=moment, **told)
    for departure in departures:
        departure_taken_back(departure, reason=reason, breach=breach, at=moment, **told)
    return gone


def _refuse_gone_on(arrival):
    """Refuse where something rests on their having been there."""
    animals = list(arrival.animals.all())
    stays = Stay.objects.current().filter(animal__in=animals, start__gt=arrival.day)
    stays = stays.filter(enclosure__unit__holding=arrival.holding)
    for stay in stays.select_related("animal", "enclosure"):
        text = tell(
            "{animal} is entered in {enclosure} from {start}",
            animal=stay.animal,
            enclosure=stay.enclosure,
            start=written(stay.start),
        )
        raise NotOnThatDay(tell("{text}; take that back first.", text=text))
    later = Departure.objects.current().filter(animal__in=animals, day__gte=arrival.day)
    for departure in later.exclude(arrived_as=arrival).select_related("animal"):
        text = tell(
            "{animal} left again on {day}", animal=departure.animal, day=written(departure.day)
        )
        raise NotOnThatDay(
            tell(
                "{text} ({kind}); take that back first.",
                text=text,
                kind=departure.get_kind_display(),
            )
        )
