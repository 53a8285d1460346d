"""What cannot be true of clutches reared together and their young; listed until somebody acts."""

from collections import defaultdict

from .conception import certain_laying_of
from .contradictions import Contradiction
from .headcount import remaining
from .mixes import mixes_known
from .models import Animal, Clutch
from .phrases import dated, in_a_row, written
from .seldom import seldom
from .telling import tell
from .together import fetch


class BornBeforeClutch(Contradiction):
    """A young of a mix was born before one of its clutches can have been laid."""

    def __init__(self, animal, clutch, first):
        text = tell(
            "{animal} was born {born} and counts as possibly of {clutch}, which was laid on {day} "
            "or later. Change its share, or say of which clutch each is.",
            animal=animal,
            born=dated(animal.born, animal.born_precision),
            clutch=clutch,
            day=written(first),
        )
        super().__init__(text, animals=[animal])


class MoreThanBrought(Contradiction):
    """More young are stated to be of a clutch than it brought into the mix."""

    def __init__(self, clutch, most, stated):
        animals = [one.animal for one in stated]
        text = tell(
            "{animals} are stated to be of {clutch}, which brought at most {most} by its counts.",
            animals=in_a_row(animals),
            clutch=clutch,
            most=most,
        )
        super().__init__(text, animals=animals, facts=stated)


class AllAccountedFor(Contradiction):
    """All young of a clutch are known by name, and others still count as possibly of it."""

    def __init__(self, clutch, most, others, stated):
        text = tell(
            "All {most} that {clutch} brought are known ({known}), and {others} still may be of "
            "it. Change its share, or say of which clutch each is.",
            most=most,
            clutch=clutch,
            known=in_a_row(one.animal for one in stated),
            others=in_a_row(others),
        )
        super().__init__(text, animals=others, facts=stated)


class NotInTheMix(Contradiction):
    """A young is stated to be of a clutch that was not reared with those it came from."""

    def __init__(self, stated):
        text = tell(
            "{animal} is stated to be of {clutch}, which is not in {mix}.",
            animal=stated.animal,
            clutch=stated.clutch,
            mix=stated.animal.clutch,
        )
        super().__init__(text, animals=[stated.animal], facts=[stated])


def young_and_clutches(mixes):
    """Return questions for the young of mixes, and for the clutches they may be of."""
    laid_as = {clutch for mix in mixes.parts for clutch in mixes.laid_as(mix)}
    return (
        Animal.objects.filter(clutch__in=mixes.parts.keys()).order_by("code"),
        Clutch.objects.filter(pk__in=laid_as).select_related("taxon"),
    )


def of_mixes(mixes, young, clutches):
    """Yield what speaks against the clutches that young of mixes are, or may be, of."""
    if not mixes.parts:
        return
    possible = {mix: mixes.laid_as(mix).keys() for mix in mixes.parts}
    leaves = {clutch.pk: clutch for clutch in clutches}
    stated = _stated()
    open_ones = [one for one in young if one.pk not in mixes.stated]
    yield from _born_before(open_ones, possible, leaves)
    yield from (NotInTheMix(s) for s in _misplaced(stated, mixes))
    for key, clutch in leaves.items():
        yield from _counted(
            clutch, stated[key], [a for a in open_ones if key in possible[a.clutch_id]]
        )


def _stated():
    found = defaultdict(list)
    for row in seldom().stated:
        found[row.clutch_id].append(row)
    return found


def _misplaced(stated, mixes):
    rows = (row for some in stated.values() for row in some)
    return [row for row in rows if row.clutch_id not in mixes.reared_in(row.animal.clutch_id)]


def _born_before(young, possible, leaves):
    for animal in young:
        for key in possible[animal.clutch_id]:
            first = certain_laying_of(leaves[key]).first
            if first and animal.latest_birth and animal.latest_birth < first:
                yield BornBeforeClutch(animal, leaves[key], first)


def _counted(clutch, stated, others):
    most = remaining(clutch) if stated else None
    if most is not None and len(stated) > most:
        yield MoreThanBrought(clutch, most, stated)
    elif most is not None and len(stated) == most and others:
        yield AllAccountedFor(clutch, most, others, stated)


def of_mixes_about(animal):
    """Yield those that one animal has a part in."""
    if animal.clutch_id and animal.clutch.mixed:
        mixes = mixes_known()
        found = of_mixes(mixes, *fetch(*young_and_clutches(mixes)))
        yield from (one for one in found if animal in one.animals)
