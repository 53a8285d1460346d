"""Turns a pedigree into a sketch: a card for each animal, a knot for each mating."""

from registry.charts.figures import share
from registry.charts.pedigree import Certainty, Sex
from registry.charts.sketch import Card, Direction, Knot, Shape, Sketch, Stroke
from registry.charts.words import drawn_sex, lines, missing_said, spoken

from ..telling import tell, tell_many, to_tell

SHAPES = {Sex.MALE: Shape.SQUARE, Sex.FEMALE: Shape.CIRCLE, Sex.UNSEXED: Shape.DIAMOND}
MOST_NAMED = 6
SIGNS = {
    "male": to_tell("male"),
    "female": to_tell("female"),
    "unsexed": to_tell("unsexed"),
    "weak": to_tell("sex by a weak finding"),
    "contradicted": to_tell("sex contradicted"),
    "dead": to_tell("dead"),
    "asked": to_tell("asked about"),
    "common": to_tell("common ancestor"),
    "uncertain": to_tell("one of several, with its weight"),
    "related": to_tell("parents related"),
    "group": to_tell("young drawn together"),
    "start": to_tell("where the trace starts"),
    "arrow": to_tell("together in one enclosure"),
    "apart": to_tell("not together: through an enclosure or by things moved"),
}


def pedigree_sketch(pedigree, direction=Direction.ACROSS):
    """Make the sketch of a pedigree, oldest animals first in the direction given.

    Parameters
    ----------
    pedigree : Pedigree
    direction : Direction
        Across (left to right) keeps many generations readable, down is the printed form.
    """
    drawn = {animal.key for animal in pedigree.animals}
    cards = [_card(animal, pedigree) for animal in pedigree.animals]
    cards += [_group_card(family) for family in pedigree.families if family.more]
    return Sketch(
        title=_title(pedigree),
        summary=_summary(pedigree),
        cards=tuple(cards),
        knots=tuple(_knot(family) for family in pedigree.families),
        strokes=tuple(stroke for f in pedigree.families for stroke in _strokes(f, drawn)),
        direction=direction,
        legend=legend_of(_signs(pedigree)),
    )


def animal_card(animal, *, remarks=(), heavy=False, flagged=False):
    """Make the card of an animal; remarks are added to its lines and to what is spoken."""
    kinds = [("asked", heavy), ("common", flagged), ("dead", not animal.alive)]
    return Card(
        key=animal.key,
        shape=SHAPES[drawn_sex(animal)],
        lines=(*lines(animal), *remarks),
        spoken=spoken(animal, *remarks),
        sign="!" if animal.certainty == Certainty.CONTRADICTED else "",
        dashed=animal.certainty == Certainty.WEAK,
        slashed=not animal.alive,
        heavy=heavy,
        flagged=flagged,
        href=animal.href,
        classes=tuple(name for name, on in kinds if on),
    )


def _card(animal, pedigree):
    """Make the card of an animal as it stands in a pedigree."""
    asked, common = animal.key in pedigree.asked, animal.key in pedigree.common
    unseen = pedigree.unseen.get(animal.key, "")
    told = [(tell("asked about"), asked), (tell("common ancestor"), common), (unseen, unseen)]
    remarks = tuple(words for words, on in told if on)
    return animal_card(animal, remarks=remarks, heavy=asked, flagged=common)


def _group_card(family):
    """Make the card that stands for the young not drawn singly."""
    group = family.more
    words = (tell("and {size} more young", size=group.size), group.made_of)
    return Card(
        key=_group_key(family),
        shape=Shape.DIAMOND,
        lines=words,
        spoken=", ".join(words),
        sign=str(group.size),
        classes=("group",),
    )


def _group_key(family):
    """Name the card of a group apart from every animal's key."""
    return f"{_knot_key(family)} more"


def _knot_key(family):
    """Name the knot of a family apart from every animal's key."""
    return f"\n{family.key}"


def _knot(family):
    """Make the knot of a mating, with what the strokes cannot say."""
    kinship = f"f {family.kinship}" if _related(family) else ""
    words = [family.clutch, kinship, *missing_said(family)]
    return Knot(key=_knot_key(family), lines=tuple(word for word in words if word))


def _related(family):
    """Whether the parents of a family are related, at worst at least."""
    return family.kinship is not None and family.kinship.related


def _strokes(family, drawn):
    """Join the parents that are drawn to the knot, and the knot to the young."""
    knot = _knot_key(family)
    for parent in family.parents:
        if parent.key not in drawn:
            continue
        label = "" if parent.certain else share(parent.weight)
        dashed = not parent.certain
        yield Stroke(
            tail=parent.key, head=knot, label=label, dashed=dashed, double=_related(family)
        )
    for key in family.young:
        yield Stroke(tail=knot, head=key)
    if family.more:
        yield Stroke(tail=knot, head=_group_key(family))


def _title(pedigree):
    """Name the picture after the animals asked about, or count them where they are many."""
    codes = {animal.key: animal.code for animal in pedigree.animals}
    asked = [codes[key] for key in pedigree.asked]
    named = ", ".join(asked)
    if not 0 < len(asked) <= MOST_NAMED:
        number = len(asked) or len(codes)
        named = tell_many("{count} animal", "{count} animals", number)
    return tell("Pedigree of {names}", names=named)


def _summary(pedigree):
    """Say what the picture holds and which ancestors are common."""
    codes = {animal.key: animal.code for animal in pedigree.animals}
    common = ", ".join(codes[key] for key in pedigree.common) or tell("none")
    return tell(
        "{animals} animals and {matings} matings. Common ancestors drawn: "
        "{common}. The outline beside the picture says the same in words.",
        animals=len(codes),
        matings=len(pedigree.families),
        common=common,
    )


def animal_signs(animals):
    """List the signs that symbols of animals show."""
    found = {drawn_sex(animal).value for animal in animals}
    found |= {str(animal.certainty) for animal in animals if animal.certainty}
    return found | ({"dead"} if any(not animal.alive for animal in animals) else set())


def legend_of(found):
    """Put signs in the order of the legend, each with what it means."""
    return tuple((sign, tell(meaning)) for sign, meaning in SIGNS.items() if sign in found)


def _signs(pedigree):
    """List the signs that occur in a pedigree."""
    families = pedigree.families
    occurs = {
        "asked": bool(pedigree.asked),
        "common": bool(pedigree.common),
        "uncertain": any(not parent.certain for f in families for parent in f.parents),
        "related": any(_related(family) for family in families),
        "group": any(family.more for family in families),
    }
    return animal_signs(pedigree.animals) | {sign for sign, on in occurs.items() if on}
