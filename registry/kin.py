"""The nearest relatives of an animal, and why two animals are related, in words."""

from dataclasses import dataclass

from .lineage import ClutchOf, Unseen, pairs_of
from .models import Animal
from .pedigree import ancestry_of
from .phrases import figure, in_a_row, kin_words, share
from .telling import tell

NEAREST = 40


@dataclass(frozen=True, kw_only=True)
class Relative:
    """One relative: in words, and how related, expected and at worst."""

    animal: Animal
    words: str
    expected: float
    worst: float
    traced: float


def kin_of(animal, on):
    """Return the nearest relatives of an animal among those here and its own ancestors."""
    others = Animal.objects.here(on).filter(taxon=animal.taxon_id).exclude(pk=animal.pk)
    ancestry = ancestry_of([animal, *others.select_related("taxon", "source_group", "locality")])
    lineage = ancestry.lineage()
    keys = [key for key in ancestry.animals if key != animal.pk]
    expected = lineage.kinship_table([animal.pk], keys)[0].tolist()
    worst = lineage.at_worst_table([animal.pk], keys)[0][0].tolist()
    rows = zip(keys, expected, worst, strict=True)
    nearest = sorted((r for r in rows if r[2] > 0), key=lambda r: (-r[1], -r[2], r[0]))[:NEAREST]
    return [_relative(animal, key, e, w, ancestry, lineage) for key, e, w in nearest]


def _relative(animal, key, expected, worst, ancestry, lineage):
    return Relative(
        animal=ancestry.animals[key],
        words=relation(ancestry, animal.pk, key) or kin_words(expected or worst),
        expected=expected,
        worst=worst,
        traced=min(lineage.traced(animal.pk), lineage.traced(key)),
    )


def relation(ancestry, one, other):
    """Return what `other` is to `one` where their certain parents say so, else an empty string."""
    mine, theirs = _certain(ancestry, one), _certain(ancestry, other)
    if other in mine:
        return tell("parent")
    if one in theirs:
        return tell("young")
    shared = len(mine & theirs)
    if shared:
        return tell("full sibling") if shared == 2 else tell("half-sibling")
    if other in _above(ancestry, mine):
        return tell("grandparent")
    if one in _above(ancestry, theirs):
        return tell("young of its young")
    return ""


def _certain(ancestry, key):
    """Return the parents of an animal that are known for certain."""
    animal = ancestry.animals.get(key)
    parents = ancestry.parents(animal) if animal else ()
    if parents and isinstance(parents[0], ClutchOf):
        sides = (set(side) for side in zip(*pairs_of(*parents), strict=True))
        parents = [side.pop() for side in sides if len(side) == 1]
    return {p for p in parents if isinstance(p, int)}


def _above(ancestry, keys):
    return {p for key in keys for p in _certain(ancestry, key)}


@dataclass(frozen=True, kw_only=True)
class Part:
    """One part of a kinship: the path, the ancestor it goes through, and what it adds."""

    path: tuple
    ancestor: object
    inbreeding: float
    weight: float
    contribution: float
    share: float


@dataclass(frozen=True, kw_only=True)
class Account:
    """Why two animals are as related as they are."""

    expected: float
    worst: float
    traced: float
    parts: tuple
    choices: tuple
    keys: frozenset


def why(one, other):
    """Return the account of the kinship of two animals; its parts sum to the expected figure."""
    ancestry = ancestry_of([one, other])
    lineage = ancestry.lineage()
    expected = lineage.kinship(one.pk, other.pk)
    paths = lineage.paths(one.pk, other.pk)
    return Account(
        expected=expected,
        worst=lineage.at_worst(one.pk, other.pk),
        traced=min(lineage.traced(one.pk), lineage.traced(other.pk)),
        parts=tuple(_part(path, ancestry, expected) for path in paths),
        choices=tuple(_choices(lineage, one.pk, other.pk, ancestry)),
        keys=frozenset(k for path in paths for k in path.animals if isinstance(k, int)),
    )


def _part(path, ancestry, whole):
    return Part(
        path=tuple(_named(key, ancestry) for key in path.animals),
        ancestor=None if path.is_rest else _named(path.ancestor, ancestry),
        inbreeding=path.inbreeding,
        weight=path.weight,
        contribution=path.contribution,
        share=path.contribution / whole if whole else 0.0,
    )


def _named(key, ancestry):
    """Return the animal of a key, or words for somebody nobody saw."""
    if key in ancestry.animals:
        return ancestry.animals[key]
    return tell("a founder nobody saw") if isinstance(key, Unseen) else str(key)


def _choices(lineage, one, other, ancestry):
    """Yield a sentence for each choice of parents that makes the two as related as at worst."""
    for choice in lineage.worst_choice(one, other).choices:
        young = in_a_row(_named(key, ancestry) for key in choice.young)
        yield tell(
            "the {role} of {young}: {chosen}",
            role=_role(choice.role),
            young=young,
            chosen=_chosen(choice.chosen, ancestry),
        )


def _role(role):
    return tell("parents") if role == "pair" else tell(role)


def _chosen(chosen, ancestry):
    if isinstance(chosen, tuple):
        return in_a_row(_chosen(one, ancestry) for one in chosen)
    return tell("an outsider") if chosen is None else str(_named(chosen, ancestry))


def part_words(part):
    """Say one part of an account in a sentence."""
    if part.ancestor is None:
        return tell(
            "All smaller paths together add {contribution}.", contribution=figure(part.contribution)
        )
    ancestor = str(part.ancestor)
    if part.inbreeding > 1e-12:
        inbreeding = figure(part.inbreeding)
        ancestor = tell(
            "{ancestor} (itself inbred, F {figure})", ancestor=ancestor, figure=inbreeding
        )
    told = {
        "ancestor": ancestor,
        "path": " – ".join(str(a) for a in part.path),
        "figure": figure(part.contribution),
        "share": share(part.share),
    }
    if part.weight == 1:
        return tell("Through {ancestor}: {path}; adds {figure}, {share} of the whole.", **told)
    return tell(
        "Through {ancestor}: {path}, taken with weight {weight}; adds {figure}, "
        "{share} of the whole.",
        weight=figure(part.weight),
        **told,
    )
