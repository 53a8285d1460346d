"""Who holds an animal and who owns it on a day, and what is lent; all of it follows from the acts.

A loan parts the two until the animal is given back, or passes to whoever has it. The owner written
on an animal's page is who owned it when it first came; whatever passed it on since counts from its
own day.
"""

from dataclasses import dataclass, field, replace
from datetime import date

from django.db.models import Q

from . import shelf
from .models import (
    Animal,
    Arrival,
    ArrivalKind,
    Departure,
    DepartureKind,
    Holding,
    OwnerChange,
    Party,
)
from .presence import movements
from .telling import tell
from .whence import holding_among, stays_of_clutches

ENDS = {DepartureKind.DEATH, DepartureKind.ESCAPE}


@dataclass(frozen=True, kw_only=True)
class Loan:
    """One animal lent by one party to another, running; `act` is the entry it rests on."""

    animal: Animal
    lender: Party | None
    borrower: Party | None
    since: date
    due: date | None
    act: object
    is_late: bool = False  # it should have come back before the day asked about

    @property
    def way_back(self):
        """Return by which act it goes back: `between` premises, `again` here, or it `leaves`."""
        if isinstance(self.act, Arrival):
            return "leaves"
        return "between" if self.act.arrived_as_id else "again"

    @property
    def sentence(self):
        """Say who lent it to whom."""
        return tell(
            "{animal} is lent by {lender} to {borrower}.",
            animal=self.animal,
            lender=self.lender,
            borrower=self.borrower,
        )


@dataclass(kw_only=True)
class Keeping:
    """Who has an animal on a day, whose it is, and the loans that run, the last one last."""

    animal: Animal
    holding: Holding | None = None  # None where it is on no premises of this register
    holder: Party | None = None
    owner: Party | None = None
    loans: list[Loan] = field(default_factory=list)
    away_on_loan: bool = False

    @property
    def is_parted(self):
        """Whether somebody else owns it than holds it."""
        return bool(self.owner and self.holder and self.owner != self.holder)

    def born_at(self, holding):
        """Begin where it was bred."""
        self._comes(holding)
        self.owner = self.animal.owner or holding.party

    def came(self, arrival):
        """Take an arrival in."""
        first, lent = self.owner is None, self.away_on_loan
        self._comes(arrival.holding)
        if arrival.kind == ArrivalKind.LOAN:
            self._borrowed(arrival, first)
        elif arrival.kind == ArrivalKind.RETURN and lent:
            self.loans.pop()
        elif arrival.kind != ArrivalKind.RETURN or not arrival.departures.all():
            self.loans.clear()
            self.owner = (self.animal.owner if first else None) or arrival.holding.party

    def _comes(self, holding):
        self.holding, self.holder, self.away_on_loan = holding, holding.party, False

    def _borrowed(self, arrival, first):
        """Take a loan in; one between premises of this register began with the departure."""
        if arrival.departures.all():
            return
        self.owner = (self.animal.owner if first else None) or arrival.supplier
        self._lend(arrival.supplier, self.holder, arrival)

    def _lend(self, lender, borrower, act):
        told = {"lender": lender, "borrower": borrower, "since": act.day, "due": act.due_back}
        self.loans.append(Loan(animal=self.animal, act=act, **told))

    def left(self, departure):
        """Take a departure in."""
        if departure.kind == DepartureKind.LOAN:
            self._lend(self.holder, departure.receiver, departure)
        elif departure.kind == DepartureKind.HANDED_OVER and self.loans:
            self.loans.pop()
        elif departure.kind not in ENDS:
            self.loans.clear()
            self.owner = departure.receiver
        self.holding, self.holder = None, departure.receiver
        self.away_on_loan = departure.kind == DepartureKind.LOAN
        if departure.kind in ENDS:
            self.loans.clear()
            self.owner = self.holder = None

    def passed(self, change):
        """Take a change of owner in: what the new one had borrowed is no loan any more."""
        self.owner = change.owner
        own = [n for n, loan in enumerate(self.loans) if loan.borrower == change.owner]
        if own:
            self.loans = self.loans[own[-1] + 1 :]
        elif self.loans:
            self.loans[0] = replace(self.loans[0], lender=change.owner)
        self.away_on_loan = self.away_on_loan and bool(self.loans)


def keepings(animals, on, without=()):
    """Return who has each animal and whose it is on a day, by key, as if some acts were not."""
    found = {}
    animals = {a.pk: a for a in animals}
    cradles = stays_of_clutches({a.clutch_id for a in animals.values()} - {None})
    for key, acts in movements(animals, on, cradles).items():
        found[key] = keeping = Keeping(animal=animals[key])
        for act in (act for act in acts if act not in without):
            match act:
                case Arrival():
                    keeping.came(act)
                case Departure():
                    keeping.left(act)
                case OwnerChange():
                    keeping.passed(act)
                case _:
                    keeping.born_at(holding_among(cradles, act.clutch, act.separated_on))
    return found


def keeping_of(animal, on):
    """Return who has one animal and whose it is on a day."""
    return keepings([animal], on)[animal.pk]


def loans(on):
    """Return the loans that run on a day, those due first before those with no day agreed."""
    found = keepings(ever_lent(on), on).values()
    running = [_as_of(loan, on) for keeping in found for loan in keeping.loans]
    return sorted(running, key=lambda one: (one.due or date.max, one.since, one.animal.code))


def ever_lent(on):
    """Return the animals that were ever lent or borrowed by a day; a page asks once."""
    return shelf.kept(("ever lent", on), lambda: _ever_lent(on))


def _ever_lent(on):
    lent = Departure.objects.current().filter(kind="loan", day__lte=on).values("animal")
    borrowed = Arrival.objects.current().filter(kind="loan", day__lte=on).values("members__animal")
    rows = Animal.objects.filter(Q(pk__in=lent) | Q(pk__in=borrowed))
    return rows.select_related("taxon", "owner", "clutch")


def _as_of(loan, on):
    return replace(loan, is_late=loan.due is not None and loan.due < on)


@dataclass(frozen=True, kw_only=True)
class Lending:
    """The loans of one premises, what it lent and what it borrowed."""

    holding: Holding
    lent: tuple[Loan, ...]
    borrowed: tuple[Loan, ...]


def lendings(on):
    """Return what each premises has lent and borrowed on a day."""
    running = loans(on)
    return [
        Lending(
            holding=holding,
            lent=tuple(one for one in running if one.lender == holding.party),
            borrowed=tuple(one for one in running if one.borrower == holding.party),
        )
        for holding in Holding.objects.select_related("party")
    ]
