"""Says in words what a pedigree picture shows: an animal, its sex, its parents."""

from registry.charts.figures import share
from registry.charts.pedigree import Certainty, Role, Sex

COUNTS = {Sex.MALE: "1.0", Sex.FEMALE: "0.1", Sex.UNSEXED: "0.0.1"}
FULL = {
    Certainty.STRONG: "",
    Certainty.NONE: "",
    Certainty.WEAK: ", weak finding",
    Certainty.CONTRADICTED: ", sex contradicted",
}
SHORT = {**FULL, Certainty.WEAK: " weak", Certainty.CONTRADICTED: " sex contradicted"}
NOTHING = 1e-9
UNDRAWN = "an animal not drawn"
NOUNS = {Role.SIRE: "sire", Role.DAM: "dam", Role.EITHER: "parents"}


def drawn_sex(animal):
    """Say the sex an animal is drawn with: a contradicted one counts as unsexed."""
    return Sex.UNSEXED if animal.certainty == Certainty.CONTRADICTED else Sex(animal.sex)


def sex_count(animal):
    """Write the sex as keepers count: "0.1", "1.0 weak", "0.0.1 sex contradicted"."""
    return COUNTS[drawn_sex(animal)] + SHORT[animal.certainty]


def lines(animal):
    """Write the lines that stand beside a symbol, the code first."""
    state = sex_count(animal) + ("" if animal.alive else ", dead")
    inbreeding = "" if animal.inbreeding is None else f"F {animal.inbreeding}"
    told = [animal.code, animal.name, state, inbreeding, animal.locality, animal.born]
    return (*(line for line in told if line), *animal.notes)


def spoken(animal, *remarks):
    """Say an animal in one sentence without signs."""
    sex = drawn_sex(animal)
    told = [
        animal.code,
        animal.name,
        f"{sex.value} ({COUNTS[sex]}){FULL[animal.certainty]}",
        "" if animal.alive else "dead",
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
        parts.append(f"parents related, kinship {family.kinship}")
    return "; ".join(parts)


def missing_said(family):
    """List what is missing of the parents: one unknown, or the share of an outsider."""
    gaps = [(NOUNS[role], family.missing(role)) for role in _roles(family)]
    return [_gap(noun, gap) for noun, gap in gaps if gap > NOTHING]


def _roles(family):
    """List the parts to be told: sire and dam, or two parents whose sexes nobody knows."""
    if any(parent.role == Role.EITHER for parent in family.parents):
        return (Role.EITHER,)
    return (Role.SIRE, Role.DAM)


def _part(family, role, names):
    """Say who is a sire, a dam or both parents."""
    listed = [p for p in family.parents if role in (p.role, Role.EITHER)]
    told = [names.get(parent.key, UNDRAWN) + _weight(parent) for parent in listed]
    gap = family.missing(role)
    if not told:
        return f"{NOUNS[role]} unknown"
    if role == Role.EITHER and len(told) == 2 and gap <= NOTHING:
        return f"parents {told[0]} and {told[1]}, which of them the sire is not known"
    told += [f"an outsider ({share(gap)})"] if gap > NOTHING else []
    return f"{NOUNS[role]} {'two of ' if role == Role.EITHER else ''}{_listed(told)}"


def _weight(parent):
    """Write the weight of a parent who is not certain."""
    return "" if parent.certain else f" ({share(parent.weight)})"


def _listed(told):
    """List alternatives.

    >>> _listed(["A", "B", "C"])
    'A, B or C'
    """
    *first, last = told
    return f"{', '.join(first)} or {last}" if first else last


def _gap(noun, gap):
    """Say one missing parent."""
    return f"{noun} unknown" if gap > 1 - NOTHING else f"{noun} an outsider {share(gap)}"
