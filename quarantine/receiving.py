"""An import in one go: who came, with papers, and where they wait apart; all of it or nothing."""

from dataclasses import dataclass, replace

from django.db import transaction
from django.utils import timezone

from registry.arriving import ArrivalRefused, register_arrival, register_return
from registry.models import Animal, Arrival, ArrivalKind, Enclosure, Party
from registry.telling import tell
from registry.transferring import transfer

from .isolating import Opening, join, open_isolation
from .models import Isolation, IsolationKind, ProtocolVersion
from .refusals import ActRefused
from .settling import placements, settle_in


@dataclass(frozen=True, kw_only=True)
class NewSupplier:
    """A supplier that is not on record yet."""

    name: str
    kind: str = "keeper"
    address: str = ""
    country: str = ""


@dataclass(frozen=True, kw_only=True)
class Apart:
    """Where those that came wait: an isolation of their own, or a batch they join."""

    name: str = ""
    version: ProtocolVersion | None = None
    batch: Isolation | None = None
    enclosures: tuple[Enclosure, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Received:
    """What was entered: the arrival, its animals and the batch they are in, if one was opened."""

    arrival: Arrival
    animals: tuple[Animal, ...]
    isolation: Isolation | None = None


@transaction.atomic
def receive(coming, apart, *, by, supplier=None, reason="", breach=None, at=None):
    """Register new animals that came together, and set them apart."""
    moment = at or timezone.now()
    if supplier is not None:
        coming = replace(coming, supplier=_new_supplier(supplier))
    _refuse_nobody(coming)
    try:
        arrival = register_arrival(coming, by=by, at=moment)
    except ArrivalRefused as problem:
        raise ActRefused(str(problem), problem.field) from problem
    animals = tuple(arrival.animals.order_by("pk").select_related("taxon", "locality"))
    isolation = _set_apart(apart, animals, coming.day, by, reason, breach, moment)
    return Received(arrival=arrival, animals=animals, isolation=isolation)


@transaction.atomic
def receive_again(back, apart, *, by, reason="", breach=None, at=None):
    """Register that animals on record came again; each is held anew."""
    moment = at or timezone.now()
    if not back.animals:
        raise ActRefused(tell("Choose at least one animal."), "animals")
    try:
        arrival = register_return(back, by=by, at=moment)
    except ArrivalRefused as problem:
        raise ActRefused(str(problem), problem.field) from problem
    isolation = _set_apart(apart, back.animals, back.day, by, reason, breach, moment)
    return Received(arrival=arrival, animals=tuple(back.animals), isolation=isolation)


@transaction.atomic
def receive_between(move, apart, *, by, reason="", breach=None, at=None):
    """Register a move between premises of this register; each is held anew where it comes to."""
    moment = at or timezone.now()
    try:
        arrival = transfer(move, by=by, reason=reason, at=moment)
    except ArrivalRefused as problem:
        raise ActRefused(str(problem), problem.field) from problem
    isolation = _set_apart(apart, move.animals, move.day, by, reason, breach, moment)
    return Received(arrival=arrival, animals=tuple(move.animals), isolation=isolation)


def _refuse_nobody(coming):
    """All but opening stock come from somebody."""
    if coming.supplier is None and coming.kind != ArrivalKind.OPENING:
        raise ActRefused(tell("Choose the supplier, or write a new one."), "supplier")


def _new_supplier(told):
    if Party.objects.filter(name__iexact=told.name).exists():
        raise ActRefused(
            tell("{told} is on record already; choose it.", told=told.name), "supplier_name"
        )
    return Party.objects.create(
        name=told.name, kind=told.kind, address=told.address, country=told.country
    )


def _set_apart(apart, animals, day, by, reason, breach, moment):
    """Open or join an isolation first, so that those who share a batch may share an enclosure."""
    isolation = _isolated(apart, animals, day, by, moment)
    moves = placements(animals, apart.enclosures, day)
    settle_in(moves, by=by, reason=reason, breach=breach, at=moment)
    return isolation


def _isolated(apart, animals, day, by, moment):
    if apart.batch is not None:
        join(apart.batch, animals, day, by=by, at=moment)
        return apart.batch
    if apart.version is None:
        return None
    opening = Opening(
        name=apart.name or tell("Arrival of {day}", day=day.isoformat()),
        kind=IsolationKind.INCOMING,
        version=apart.version,
        day=day,
        animals=tuple(animals),
    )
    return open_isolation(opening, by=by, at=moment)
