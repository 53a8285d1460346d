"""Turns a pedigree into a sketch: a card for each animal, a knot for each mating."""

from registry.charts.figures import share
from registry.charts.pedigree import Certainty, Sex
from registry.charts.sketch import Card, Direction, Knot, Shape, Sketch, Stroke
from registry.charts.words import drawn_sex, lines, missing_said, spoken

SHAPES = {Sex.MALE: Shape.SQUARE, Sex.FEMALE: Shape.CIRCLE, Sex.UNSEXED: Shape.DIAMOND}
SIGNS = {
    "male": "male",
    "female": "female",
    "unsexed": "unsexed",
    "weak": "sex by a weak finding",
    "contradicted": "sex contradicted",
    "dead": "dead",
    "asked": "asked about",
    "common": "common ancestor",
    "uncertain": "one of several, with its weight",
    "related": "parents related",
    "group": "young drawn together",
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
    cards = [animal_card(animal, pedigree) for animal in pedigree.animals]
    cards += [_group_card(family) for family in pedigree.families if family.more]
    return Sketch(
        title=_title(pedigree),
        summary=_summary(pedigree),
        cards=tuple(cards),
        knots=tuple(_knot(family) for family in pedigree.families),
        strokes=tuple(stroke for f in pedigree.families for stroke in _strokes(f, drawn)),
        direction=direction,
        legend=tuple((sign, SIGNS[sign]) for sign in _signs(pedigree)),
    )


def animal_card(animal, pedigree):
    """Make the card of an animal."""
    remarks = _remarks(animal.key, pedigree)
    return Card(
        key=animal.key,
        shape=SHAPES[drawn_sex(animal)],
        lines=(*lines(animal), *remarks),
        spoken=spoken(animal, *remarks),
        sign="!" if animal.certainty == Certainty.CONTRADICTED else "",
        dashed=animal.certainty == Certainty.WEAK,
        slashed=not animal.alive,
        heavy=animal.key in pedigree.asked,
        flagged=animal.key in pedigree.common,
        href=animal.href,
        classes=_classes(animal, pedigree),
    )


def _remarks(key, pedigree):
    """Say what an animal is in this picture, and what is left out about it."""
    told = [
        ("asked about", key in pedigree.asked),
        ("common ancestor", key in pedigree.common),
        (pedigree.unseen.get(key, ""), True),
    ]
    return tuple(words for words, on in told if on and words)


def _classes(animal, pedigree):
    """Name what an animal is for the page's style sheet."""
    kinds = [
        ("asked", animal.key in pedigree.asked),
        ("common", animal.key in pedigree.common),
        ("dead", not animal.alive),
    ]
    return tuple(name for name, on in kinds if on)


def _group_card(family):
    """Make the card that stands for the young not drawn singly."""
    group = family.more
    words = (f"and {group.size} more young", group.made_of)
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
    related = family.kinship is not None and family.kinship.related
    words = [family.clutch, f"f {family.kinship}" if related else "", *missing_said(family)]
    return Knot(key=_knot_key(family), lines=tuple(word for word in words if word))


def _strokes(family, drawn):
    """Join the parents that are drawn to the knot, and the knot to the young."""
    knot = _knot_key(family)
    related = family.kinship is not None and family.kinship.related
    for parent in family.parents:
        if parent.key not in drawn:
            continue
        label = "" if parent.certain else share(parent.weight)
        dashed = not parent.certain
        yield Stroke(tail=parent.key, head=knot, label=label, dashed=dashed, double=related)
    for key in family.young:
        yield Stroke(tail=knot, head=key)
    if family.more:
        yield Stroke(tail=knot, head=_group_key(family))


def _title(pedigree):
    """Name the picture after the animals asked about."""
    codes = {animal.key: animal.code for animal in pedigree.animals}
    return f"Pedigree of {', '.join(codes[key] for key in pedigree.asked)}"


def _summary(pedigree):
    """Say what the picture holds and which ancestors are common."""
    codes = {animal.key: animal.code for animal in pedigree.animals}
    common = ", ".join(codes[key] for key in pedigree.common) or "none"
    return (
        f"{len(codes)} animals and {len(pedigree.families)} matings. "
        f"Common ancestors drawn: {common}. The outline beside the picture says the same in words."
    )


def _signs(pedigree):
    """List the signs that occur, in the order of the legend."""
    found = {drawn_sex(animal).value for animal in pedigree.animals}
    found |= {animal.certainty for animal in pedigree.animals}
    families = pedigree.families
    occurs = {
        "dead": any(not animal.alive for animal in pedigree.animals),
        "asked": bool(pedigree.asked),
        "common": bool(pedigree.common),
        "uncertain": any(not parent.certain for f in families for parent in f.parents),
        "related": any(f.kinship is not None and f.kinship.related for f in families),
        "group": any(f.more for f in families),
    }
    found |= {sign for sign, on in occurs.items() if on}
    return [sign for sign in SIGNS if sign in found]
