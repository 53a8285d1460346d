"""The one door by which it is stated who the parents of an animal or a clutch are."""

from dataclasses import dataclass
from math import fsum

from django.db import transaction
from django.utils import timezone

from .conflicts import conflicts, detailed
from .contradictions import Contradiction, Evidence, LoopOfDescent, against, ring_through
from .lifetime import NotOnThatDay, refuse_ahead
from .models import Animal, Candidate, Clutch, Descent, Role
from .pedigree import ancestry_of
from .phrases import figure, in_a_row
from .telling import tell

__all__ = [
    "Contradiction",
    "NotOnThatDay",
    "StatementRefused",
    "conflicts",
    "state_parents",
    "withdraw_parents",
]

ROUNDING = 1e-9


class StatementRefused(Exception):
    """A statement of descent that says too much, too little, or the same twice."""


class WeightsRefused(StatementRefused):
    """A weight is no share, or the weights come to more than 1."""


class NamedTwice(StatementRefused):
    """One candidate is named twice, or a pair is one animal twice."""

    def __init__(self, name):
        super().__init__(tell("{name} is named twice.", name=name))


class AlreadyStated(StatementRefused):
    """There is a statement in force for this parent; a correction names it."""

    def __init__(self, descent):
        self.descent = descent
        super().__init__(
            tell(
                "The {role} is stated already ({descent}); correct that statement and say why.",
                role=descent.get_role_display(),
                descent=descent,
            )
        )


class PairAndParents(StatementRefused):
    """Both parents are stated as a pair, or each for itself: not both ways."""

    def __init__(self, descent):
        self.descent = descent
        super().__init__(
            tell(
                "It is stated already: {descent}. Parents are drawn as a pair or "
                "stated as sire and dam, not both; correct or withdraw that "
                "statement first.",
                descent=descent,
            )
        )


class MixHasNoParents(StatementRefused):
    """Parents are stated for each clutch reared together, not for the mix of them."""

    def __init__(self, mix):
        parts = in_a_row(part.clutch for part in mix.current_parts())
        super().__init__(
            tell(
                "{mix} is {parts}, reared together; state the parents of each of them.",
                mix=mix,
                parts=parts,
            )
        )


class NotItsStatement(StatementRefused):
    """A correction names a statement about another child, or one replaced already."""

    def __init__(self, descent):
        self.descent = descent
        super().__init__(
            tell(
                "“{descent}” is not in force for this child; it cannot be corrected here.",
                descent=descent,
            )
        )


class ReasonMissing(StatementRefused):
    """A correction says why."""

    def __init__(self):
        super().__init__(tell("Say why the earlier statement is corrected."))


@dataclass(frozen=True, kw_only=True)
class Possible:
    """One who may be the parent, or two who may be the sire and the dam, with a weight."""

    animal: Animal
    mate: Animal | None = None
    weight: float = 1.0

    def __str__(self):
        return (
            tell("{animal} with {mate}", animal=self.animal, mate=self.mate)
            if self.mate
            else str(self.animal)
        )


def possible(candidate):
    """Read `(animal, weight)` or `(sire, dam, weight)`."""
    if isinstance(candidate, Possible):
        return candidate
    animal, *mate, weight = candidate
    return Possible(animal=animal, mate=mate[0] if mate else None, weight=float(weight))


@transaction.atomic
def state_parents(child, role, candidates, basis, day, by, replaces=None, why="", note="", at=None):
    """State who the sire, the dam or the pair of parents is, or raise what speaks against it.

    `candidates` are `(animal, weight)`, or `(sire, dam, weight)` for a pair; weights may come to
    less than 1, the rest being an outsider. Raises a Contradiction or a StatementRefused.
    """
    moment = at or timezone.now()
    named = [possible(c) for c in candidates]
    refuse_ahead(day, moment)
    if isinstance(child, Clutch) and child.mixed:
        raise MixHasNoParents(child)
    _shares(named, role)
    _lock(child)
    _one_statement(child, role, replaces, why)
    told = {"role": role, "basis": basis, "day": day, "note": note}
    descent = _entered(child, told, replaces, why, by, moment)
    Candidate.objects.bulk_create(
        Candidate(descent=descent, animal=c.animal, mate=c.mate, weight=c.weight) for c in named
    )
    for contradiction in speaks_against(descent):
        raise contradiction
    return descent


def withdraw_parents(descent, by, why, at=None):
    """Enter that a statement of descent was never so, with the reason."""
    if not why.strip():
        raise ReasonMissing
    return descent.withdrawn(by=by, why=why, at=at)


def speaks_against(descent):
    """Yield each contradiction a statement makes with what is on record."""
    (descent,) = detailed(Descent.objects.filter(pk=descent.pk))
    yield from against(descent, Evidence([descent]))
    ancestry = ancestry_of({a for c in descent.candidates.all() for a in _both(c)})
    if ring := ring_through(descent, ancestry):
        yield LoopOfDescent(ring, facts=[descent])


def _both(candidate):
    return [a for a in (candidate.animal, candidate.mate) if a]


def _shares(named, role):
    """Refuse weights that are no shares of one whole, and candidates named twice."""
    for one in named:
        if not 0 < one.weight <= 1 + ROUNDING:
            raise WeightsRefused(tell("The weight of {one} is above 0 and at most 1.", one=one))
        if (one.mate is not None) != (role == Role.PAIR) or one.mate == one.animal:
            raise WeightsRefused(
                tell("{one}: a pair is two different animals, a sire or dam is one.", one=one)
            )
    total = fsum(one.weight for one in named)
    if total > 1 + ROUNDING:
        raise WeightsRefused(
            tell("The weights come to {total}; together they are at most 1.", total=figure(total))
        )
    names = [(one.animal.pk, one.mate and one.mate.pk) for one in named]
    for one, name in zip(named, names, strict=True):
        if names.count(name) > 1:
            raise NamedTwice(one)


def _lock(child):
    """Make two statements about the same child wait for each other."""
    list(type(child).objects.select_for_update().filter(pk=child.pk))


def _of(child):
    return {"clutch": child} if isinstance(child, Clutch) else {"animal": child}


def _one_statement(child, role, replaces, why):
    """Refuse a second statement for one role; a correction names the first, and says why."""
    standing = list(Descent.objects.current().filter(**_of(child)))
    if replaces is not None and replaces not in standing:
        raise NotItsStatement(replaces)
    if replaces is not None and not why.strip():
        raise ReasonMissing
    for other in standing:
        if other == replaces:
            continue
        if other.role == role:
            raise AlreadyStated(other)
        if Role.PAIR in (other.role, role):
            raise PairAndParents(other)


def _entered(child, told, replaces, why, by, moment):
    """Enter the statement, in the place of the one it corrects where there is one."""
    if replaces is None:
        return Descent.objects.create(**_of(child), **told, entered_at=moment, entered_by=by)
    descent = replaces.corrected(by=by, why=why, at=moment, **told)
    descent.candidates.all().delete()  # the copies of those named before
    return descent
