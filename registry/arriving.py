"""The one door by which animals come: together, from one source, saved whole or not at all."""

from dataclasses import dataclass, field
from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from .codes import CodesTaken, codes_in_use, refuse_repeats
from .models import (
    Animal,
    Arrival,
    ArrivalKind,
    ArrivalMember,
    Basis,
    Belief,
    Holding,
    Locality,
    Mark,
    MarkKind,
    Paper,
    Party,
    Precision,
    SexFinding,
    SourceGroup,
    Taxon,
)
from .phrases import in_a_row, written
from .presence import presences
from .register_lines import arrival_came
from .telling import tell, tell_many

MOST_AT_ONCE = 500


class ArrivalRefused(Exception):
    """An arrival cannot be as it is told; `field` names what to change."""

    def __init__(self, message, field=None):
        self.field = field
        super().__init__(message)


@dataclass(frozen=True, kw_only=True)
class Newcomer:
    """One animal that was never here before."""

    code: str
    name: str = ""
    sex: str = ""  # the seller's word, so weak
    supplier_code: str = ""
    born: date | None = None  # where it was born on another day than the others
    born_precision: str = Precision.UNKNOWN
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Told:
    """What is said of the parents of those that come: a belief, with numbers where counted."""

    belief: str = Belief.NOTHING
    sires: int | None = None
    dams: int | None = None
    group: SourceGroup | None = None  # an earlier arrival of the same breeder


@dataclass(frozen=True, kw_only=True)
class PaperGiven:
    """A paper that came along, with its file where there is one."""

    kind: str
    number: str = ""
    issuer: str = ""
    day: date | None = None
    file: object = None


@dataclass(frozen=True, kw_only=True)
class Coming:
    """Everything said of one arrival of animals of one taxon and one place."""

    day: date
    kind: str
    holding: Holding
    supplier: Party | None
    taxon: Taxon
    locality: Locality | None = None
    source_code: str = "U"
    born: date | None = None
    born_precision: str = Precision.UNKNOWN
    told: Told | None = field(default_factory=Told)  # None where they have no source in common
    newcomers: tuple[Newcomer, ...] = ()
    papers: tuple[PaperGiven, ...] = ()
    due_back: date | None = None
    route: str = ""
    country: str = ""
    note: str = ""


@transaction.atomic
def register_arrival(coming, *, by, at=None):
    """Enter an arrival with its animals, their source, papers and the seller's word on sex."""
    moment = at or timezone.now()
    _refuse_what_cannot_be(coming, timezone.localdate(moment))
    arrival = _arrival(coming, by, moment)
    group = _group(coming)
    animals = [_animal(coming, one, group, arrival) for one in coming.newcomers]
    for one, animal in zip(coming.newcomers, animals, strict=True):
        _seller_says(one, animal, coming.day, by, moment)
    for paper in coming.papers:
        _paper(paper, arrival, animals, by, moment)
    arrival_came(arrival)
    return arrival


@dataclass(frozen=True, kw_only=True)
class Return:
    """Everything said of animals on record that come again: from a loan, or bought back."""

    day: date
    kind: str
    holding: Holding
    supplier: Party | None
    animals: tuple[Animal, ...]
    due_back: date | None = None
    papers: tuple[PaperGiven, ...] = ()
    route: str = ""
    note: str = ""


@transaction.atomic
def register_return(back, *, by, at=None):
    """Enter that animals on record came again: from a loan, or bought back."""
    moment = at or timezone.now()
    if back.day > timezone.localdate(moment):
        raise ArrivalRefused(tell("An arrival is entered on the day it happens or later."), "day")
    refuse_due_back(back.kind, back.day, back.due_back)
    for presence in presences({a.pk: a for a in back.animals}).values():
        _refuse_again(presence, back.day)
    arrival = _arrival(back, by, moment)
    ArrivalMember.objects.bulk_create(
        ArrivalMember(arrival=arrival, animal=a) for a in back.animals
    )
    for paper in back.papers:
        _paper(paper, arrival, back.animals, by, moment)
    arrival_came(arrival)
    return arrival


def _refuse_again(presence, day):
    """Refuse an animal that is here on the day, or that came again later without leaving."""
    if presence.is_here(day):
        raise ArrivalRefused(
            tell("{animal} is here already on {day}.", animal=presence.animal, day=written(day)),
            "animals",
        )
    presence.comings.append(day)
    if problem := presence.contradiction():
        raise ArrivalRefused(problem, "day")


def refuse_due_back(kind, day, due_back):
    """Refuse a day due back of anything but a loan, or before the loan begins."""
    if due_back and kind != ArrivalKind.LOAN:
        text = tell("Only a loan is due back; leave {due_back} out.", due_back=written(due_back))
        raise ArrivalRefused(text, "due_back")
    if due_back and due_back < day:
        raise ArrivalRefused(
            tell("It is due back on {due_back}, before it came.", due_back=written(due_back)),
            "due_back",
        )


def _refuse_what_cannot_be(coming, today):
    """Raise the first sentence that says why this arrival cannot have happened like that."""
    if coming.day > today:
        raise ArrivalRefused(tell("An arrival is entered on the day it happens or later."), "day")
    refuse_due_back(coming.kind, coming.day, coming.due_back)
    for birth in (coming, *coming.newcomers):
        if birth.born and birth.born_precision == Precision.DAY and birth.born > coming.day:
            raise ArrivalRefused(tell("They cannot have been born after they came."), "born")
    if not 1 <= len(coming.newcomers) <= MOST_AT_ONCE:
        n = len(coming.newcomers)
        raise ArrivalRefused(
            tell(
                "An arrival is of 1 to {MOST_AT_ONCE} animals, not {n}.",
                MOST_AT_ONCE=MOST_AT_ONCE,
                n=n,
            ),
            "animals",
        )
    if coming.locality and coming.locality.taxon_id != coming.taxon.pk:
        text = tell(
            "{locality} is a place of {taxon}, not of {taxon_2}.",
            locality=coming.locality,
            taxon=coming.locality.taxon,
            taxon_2=coming.taxon,
        )
        raise ArrivalRefused(text, "locality")
    _refuse_codes([one.code for one in coming.newcomers])


def _refuse_codes(codes):
    try:
        refuse_repeats(codes)
    except ValidationError as problem:
        raise ArrivalRefused(problem.messages[0], "animals") from problem
    if taken := codes_in_use(codes):
        raise ArrivalRefused(str(CodesTaken(taken)), "animals")


def _arrival(coming, by, moment):
    return Arrival.objects.create(
        day=coming.day,
        kind=coming.kind,
        supplier=coming.supplier,
        holding=coming.holding,
        route=coming.route,
        country=getattr(coming, "country", ""),
        due_back=coming.due_back,
        note=coming.note,
        entered_at=moment,
        entered_by=by,
    )


def _group(coming):
    """Return the source the animals share, if any: a new one unless an earlier one is named."""
    told = coming.told
    if told is None:
        return None
    if told.group:
        return told.group
    counted = told.belief == Belief.COUNTED
    name = tell("{taxon}, {day}", taxon=coming.taxon, day=written(coming.day))
    if coming.supplier:
        name = tell(
            "{taxon} from {supplier}, {day}",
            taxon=coming.taxon,
            supplier=coming.supplier,
            day=written(coming.day),
        )
    return SourceGroup.objects.create(
        name=name[:160],
        belief=told.belief,
        sires=told.sires if counted else None,
        dams=told.dams if counted else None,
    )


def _animal(coming, one, group, arrival):
    birth = one if one.born else coming
    animal = Animal.objects.create(
        code=one.code,
        name=one.name,
        taxon=coming.taxon,
        locality=coming.locality,
        source_code=coming.source_code,
        born=birth.born,
        born_precision=birth.born_precision if birth.born else Precision.UNKNOWN,
        source_group=group,
        note=one.note,
    )
    ArrivalMember.objects.create(arrival=arrival, animal=animal)
    return animal


def _seller_says(one, animal, day, by, moment):
    entry = {"animal": animal, "day": day, "entered_at": moment, "entered_by": by}
    if one.sex:
        SexFinding.objects.create(sex=one.sex, basis=Basis.SELLER, **entry)
    if one.supplier_code:
        Mark.objects.create(kind=MarkKind.SUPPLIER, value=one.supplier_code, **entry)


def _paper(given, arrival, animals, by, moment):
    paper = Paper.objects.create(
        kind=given.kind,
        number=given.number,
        issuer=given.issuer,
        day=given.day,
        file=given.file or "",
        arrival=arrival,
        entered_at=moment,
        entered_by=by,
    )
    paper.animals.set(animals)


def sentence(animals):
    """Say who came: "EA-001, EA-002 and EA-003", or how many where they are many."""
    if len(animals) <= 6:
        return in_a_row(animals)
    return tell_many("{count} animal", "{count} animals", len(animals))
