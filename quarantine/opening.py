"""Opening stock in one act: who is here when the register begins, cleared by one signature."""

from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from registry.arriving import ArrivalRefused, Coming, Newcomer, Told, register_arrival
from registry.beginning import Step
from registry.finding import find_sex
from registry.lifetime import refuse_unborn
from registry.models import Animal, ArrivalKind, Belief, Holding, Locality, Mark, Party, SourceCode
from registry.parentage import state_parents
from registry.phrases import written
from registry.placement import Placement
from registry.refusals import REFUSALS
from registry.stock import Stocked
from registry.telling import tell

from .clearing import SIGN, clear_opening_stock
from .models import Clearance
from .refusals import ActRefused
from .settling import settle_in

COLUMN_OF = {"day": "arrived", "animals": "code", "born": "born", "locality": "locality"}


@dataclass(frozen=True, kw_only=True)
class Stock:
    """The animals here on the day the register of a holding begins; grounds clear them."""

    day: date
    holding: Holding
    animals: tuple[Stocked, ...]
    grounds: str = ""


@dataclass(frozen=True, kw_only=True)
class Opened:
    """What was entered: the animals in the order of their rows, and the clearance if signed."""

    animals: tuple[Animal, ...]
    clearance: Clearance | None = None


class StockRefused(Exception):
    """Rows that cannot be entered; `problems` has a sentence by row and column."""

    def __init__(self, problems):
        self.problems = problems
        super().__init__(" ".join(text for row in problems.values() for text in row.values()))


class _Problems(dict):
    """What was refused of which row, gathered so that all of it is told at once."""

    @contextmanager
    def of(self, rows, column):
        """Keep what is refused beside a column of some rows, and go on with the others."""
        try:
            with transaction.atomic():
                yield
        except ArrivalRefused as problem:
            self._keep(rows, COLUMN_OF.get(problem.field, column), str(problem))
        except ValidationError as problem:
            self._keep(rows, column, problem.messages[0])
        except REFUSALS as problem:
            self._keep(rows, column, str(problem))

    def _keep(self, rows, column, text):
        for one in rows:
            self.setdefault(one.row, {}).setdefault(column, text)


@transaction.atomic
def open_stock(stock, *, by, reason="", at=None):
    """Enter opening stock whole or not at all: arrivals, sexes, marks, parents, clearance, places.

    Raises StockRefused with a sentence by row, an ActRefused, or what the rules object.
    """
    moment = at or timezone.now()
    if not stock.animals:
        raise ActRefused(tell("There is no animal in the list."))
    problems = _Problems()
    animals = _arrived(stock, by, moment, problems)
    _refuse(problems)
    for one in stock.animals:
        _told(one, animals[one.row], stock.day, by, moment, problems)
    everyone = _by_code(stock, animals)
    for one in stock.animals:
        _parents(one, animals[one.row], everyone, stock.day, by, moment, problems)
    _refuse(problems)
    clearance = _cleared(stock, animals, by, moment)
    settle_in(_placements(stock, animals), by=by, reason=reason, at=moment)
    found = tuple(animals[one.row] for one in stock.animals)
    return Opened(animals=found, clearance=clearance)


def _refuse(problems):
    if problems:
        raise StockRefused(dict(problems))


def _arrived(stock, by, moment, problems):
    """Register an arrival for those that came together; return each animal by its row."""
    together, found, suppliers = {}, {}, {}
    for one in stock.animals:
        key = (one.arrived, one.supplier.casefold(), one.taxon, one.locality.casefold())
        together.setdefault((*key, one.source_code), []).append(one)
    for rows in together.values():
        with problems.of(rows, "code"):
            coming = _coming(stock, rows, suppliers)
            arrival = register_arrival(coming, by=by, at=moment)
            by_code = {a.code: a for a in arrival.animals.select_related("taxon", "locality")}
            found |= {one.row: by_code[one.code] for one in rows}
    return found


def _coming(stock, rows, suppliers):
    first = rows[0]
    return Coming(
        day=first.arrived,
        kind=ArrivalKind.OPENING,
        holding=stock.holding,
        supplier=_supplier(first.supplier, suppliers),
        taxon=first.taxon,
        locality=_locality(first),
        source_code=first.source_code,
        told=_source(first),
        newcomers=tuple(
            Newcomer(
                code=one.code,
                name=one.name,
                sex=one.sex if one.basis == "seller" else "",
                born=one.born,
                born_precision=one.born_precision,
                note=one.note,
            )
            for one in rows
        ),
    )


def _source(one):
    """Return what is said of the parents of those that came together; nothing without a supplier.

    Animals here for years that name no supplier are not taken to be of one source.
    """
    if one.source_code == SourceCode.WILD:
        return Told(belief=Belief.WILD)
    return Told(belief=Belief.NOTHING) if one.supplier else None


def _supplier(name, suppliers):
    """Return a party by its name, entered at its first use."""
    if not name:
        return None
    known = suppliers.get(name.casefold()) or Party.objects.filter(name__iexact=name).first()
    suppliers[name.casefold()] = known or Party.objects.create(name=name)
    return suppliers[name.casefold()]


def _locality(one):
    """Return a collecting place by its name, entered at its first use."""
    if not one.locality:
        return None
    known = Locality.objects.filter(taxon=one.taxon, name__iexact=one.locality).first()
    return known or Locality.objects.create(taxon=one.taxon, name=one.locality)


def _told(one, animal, day, by, moment, problems):
    """Enter what is known of one animal: its sex and its marks."""
    if one.sex and one.basis != "seller":
        with problems.of([one], "sex"):
            find_sex(animal, one.sex, one.basis, day, by, at=moment)
    for kind, value in one.marks:
        with problems.of([one], "marks"):
            refuse_unborn(animal, day)
            mark = {"kind": kind, "value": value, "day": day}
            Mark.objects.create(animal=animal, **mark, entered_at=moment, entered_by=by)


def _by_code(stock, animals):
    """Return every animal a row may name as a parent."""
    named = {code for one in stock.animals for code in (*one.sires, *one.dams)}
    mine = {one.code.casefold(): animals[one.row] for one in stock.animals}
    missing = {code for code in named if code.casefold() not in mine}
    return {code.casefold(): Animal.objects.get(code__iexact=code) for code in missing} | mine


def _parents(one, animal, everyone, day, by, moment, problems):
    """State who its parents are; several share the weight."""
    for role, codes in (("sire", one.sires), ("dam", one.dams)):
        if codes:
            with problems.of([one], role):
                named = [(everyone[code.casefold()], 1 / len(codes)) for code in codes]
                state_parents(animal, role, named, one.parents_basis, day, by, at=moment)


def _cleared(stock, animals, by, moment):
    """Clear all of them by one signature where its grounds are given."""
    if not stock.grounds.strip():
        return None
    told = {"by": by, "grounds": stock.grounds, "at": moment}
    return clear_opening_stock(list(animals.values()), stock.day, **told)


def _placements(stock, animals):
    """Return who is put where, enclosure by enclosure."""
    there = {}
    for one in stock.animals:
        if one.enclosure:
            there.setdefault(one.enclosure, []).append(animals[one.row])
    return [
        Placement(day=stock.day, enclosure=enclosure, animals=tuple(some))
        for enclosure, some in there.items()
    ]


def opening_stock_is_cleared(on, user):
    """The last step of a register that begins: one signature for the animals that were here."""
    stock = Animal.objects.filter(arrivals__kind="opening", arrivals__superseded_at=None)
    signed = Clearance.objects.current().filter(isolation=None).select_related("signed_by").first()
    done = (
        tell("signed by {signed_by} on {day}", signed_by=signed.signed_by, day=written(signed.day))
        if signed
        else ""
    )
    if not signed and not stock.exists() and Animal.objects.exists():
        done = tell("no opening stock to clear; newcomers are cleared batch by batch")
    return Step(
        title=tell("First signed clearance"),
        why=tell(
            "Whoever comes is held until somebody with that right signs. The "
            "opening stock is cleared by one act: who signs, and on what "
            "grounds. It can be signed with the list."
        ),
        done=done,
        href=reverse("quarantine:stock-clear"),
        act=tell("Sign for the opening stock"),
        more=tell("Sign for more of it"),
        waits="" if stock.exists() else tell("List the animals first."),
        right=SIGN,
    )
