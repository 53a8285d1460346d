"""Says in words what a pedigree picture shows: an animal, its sex, its parents."""

from registry.charts.figures import share
from registry.charts.pedigree import Certainty, Role, Sex

from ..telling import tell, to_tell

COUNTS = {Sex.MALE: "1.0", Sex.FEMALE: "0.1", Sex.UNSEXED: "0.0.1"}
SEXES = {
    Sex.MALE: to_tell("male"),
    Sex.FEMALE: to_tell("female"),
    Sex.UNSEXED: to_tell("unsexed"),
}
FULL = {
    Certainty.STRONG: to_tell("{sex} ({count})"),
    Certainty.NONE: to_tell("{sex} ({count})"),
    Certainty.WEAK: to_tell("{sex} ({count}), weak finding"),
    Certainty.CONTRADICTED: to_tell("{sex} ({count}), sex contradicted"),
}
SHORT = {
    Certainty.WEAK: to_tell("{count} weak"),
    Certainty.CONTRADICTED: to_tell("{count} sex contradicted"),
}
NOTHING = 1e-9
UNDRAWN = to_tell("an animal not drawn")
UNKNOWN = {
    Role.SIRE: to_tell("sire unknown"),
    Role.DAM: to_tell("dam unknown"),
    Role.EITHER: to_tell("parents unknown"),
}
NAMED = {
    Role.SIRE: to_tell("sire {names}"),
    Role.DAM: to_tell("dam {names}"),
    Role.EITHER: to_tell("parents two of {names}"),
}
OUTSIDE = {
    Role.SIRE: to_tell("sire an outsider {share}"),
    Role.DAM: to_tell("dam an outsider {share}"),
    Role.EITHER: to_tell("parents an outsider {share}"),
}


def drawn_sex(animal):
    """Say the sex an animal is drawn with: a contradicted one counts as unsexed."""
    return Sex.UNSEXED if animal.certainty == Certainty.CONTRADICTED else Sex(animal.sex)


def sex_count(animal):
    """Write the sex as keepers count: "0.1", "1.0 weak", "0.0.1 sex contradicted"."""
    count = COUNTS[drawn_sex(animal)]
    words = SHORT.get(animal.certainty)
    return tell(words, count=count) if words else count


def lines(animal):
    """Write the lines that stand beside a symbol, the code first."""
    state = sex_count(animal)
    if not animal.alive:
        state = tell("{sex}, dead", sex=state)
    inbreeding = "" if animal.inbreeding is None else f"F {animal.inbreeding}"
    told = [animal.code, animal.name, state, inbreeding, animal.locality, animal.born]
    return (*(line for line in told if line), *animal.notes)


def spoken(animal, *remarks):
    """Say an animal in one sentence without signs."""
    sex = drawn_sex(animal)
    told = [
        animal.code,
        animal.name,
        tell(FULL[animal.certainty], sex=tell(SEXES[sex]), count=COUNTS[sex]),
        "" if animal.alive else tell("dead"),
        animal.locality,
        animal.born,
        "" if animal.inbreeding is None else f"F {animal.inbreeding}",
        *animal.notes,
        *remarks,
    ]
    return ", ".join(part for part in told if part)


def parents_said(family, names):
    """Say the parents of a family, who may be one, who is missing, and how they are related.

    >>> from registry.charts.pedigree import Family, Parent
    >>> half = Parent(key="A", role="sire", weight=0.5)
    >>> quarter = Parent(key="B", role="sire", weight=0.25)
    >>> family = Family(key="m", parents=(half, quarter), young=())
    >>> parents_said(family, {"A": "E-1", "B": "E-2"})
    'sire E-1 (1/2), E-2 (1/4) or an outsider (1/4); dam unknown'
    """
    parts = [_part(family, role, names) for role in _roles(family)]
    if family.kinship is not None and family.kinship.related:
        parts.append(tell("parents related, kinship {kinship}", kinship=family.kinship))
    return "; ".join(parts)


def missing_said(family):
    """List what is missing of the parents: one unknown, or the share of an outsider."""
    gaps = [(role, family.missing(role)) for role in _roles(family)]
    return [_gap(role, gap) for role, gap in gaps if gap > NOTHING]


def _roles(family):
    """List the parts to be told: sire and dam, or two parents whose sexes nobody knows."""
    if any(parent.role == Role.EITHER for parent in family.parents):
        return (Role.EITHER,)
    return (Role.SIRE, Role.DAM)


def _part(family, role, names):
    """Say who is a sire, a dam or both parents."""
    listed = [p for p in family.parents if role in (p.role, Role.EITHER)]
    told = [names.get(parent.key, tell(UNDRAWN)) + _weight(parent) for parent in listed]
    gap = family.missing(role)
    if not told:
        return tell(UNKNOWN[role])
    if role == Role.EITHER and len(told) == 2 and gap <= NOTHING:
        return tell(
            "parents {one} and {other}, which of them the sire is not known",
            one=told[0],
            other=told[1],
        )
    told += [tell("an outsider ({share})", share=share(gap))] if gap > NOTHING else []
    return tell(NAMED[role], names=_listed(told))


def _weight(parent):
    """Write the weight of a parent who is not certain."""
    return "" if parent.certain else f" ({share(parent.weight)})"


def _listed(told):
    """List alternatives.

    >>> _listed(["A", "B", "C"])
    'A, B or C'
    """
    *first, last = told
    return (
        tell("{all_but_the_last} or {last}", all_but_the_last=", ".join(first), last=last)
        if first
        else last
    )


def _gap(role, gap):
    """Say one missing parent."""
    return tell(UNKNOWN[role]) if gap > 1 - NOTHING else tell(OUTSIDE[role], share=share(gap))
