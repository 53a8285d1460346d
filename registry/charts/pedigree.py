"""What a pedigree picture is made of: animals, whose young they are, and who is asked about."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from itertools import product
from math import fsum

from registry.charts.figures import Figure
from registry.charts.reach import common_ancestors

from ..telling import tell, tell_many

CERTAIN = 1 - 1e-9


class Sex(StrEnum):
    """The sex an animal is drawn with; contradicted findings are drawn unsexed."""

    MALE = "male"
    FEMALE = "female"
    UNSEXED = "unsexed"


class Certainty(StrEnum):
    """How sure a sex is."""

    STRONG = "strong"
    WEAK = "weak"
    CONTRADICTED = "contradicted"
    NONE = ""


class Role(StrEnum):
    """What a possible parent would be: sire, dam, or either of an unsexed pair."""

    SIRE = "sire"
    DAM = "dam"
    EITHER = "either"


@dataclass(frozen=True, kw_only=True)
class Animal:
    """One animal of a picture, with the text that stands beside its symbol.

    `key` identifies it, `code` is what the keeper calls it, `born` is a date already written out,
    `inbreeding` its F with the worst case, `notes` are further lines, `href` the page it links to.
    Plain strings serve for `sex` and `certainty`.
    """

    key: str
    code: str
    name: str = ""
    sex: Sex = Sex.UNSEXED
    certainty: Certainty = Certainty.NONE
    alive: bool = True
    locality: str = ""
    born: str = ""
    inbreeding: Figure | None = None
    notes: tuple[str, ...] = ()
    href: str = ""


@dataclass(frozen=True, kw_only=True)
class Parent:
    """An animal that is, or with a weight below 1 may be, a parent."""

    key: str
    role: Role
    weight: float = 1.0

    @property
    def certain(self):
        """Whether nobody else can be this parent."""
        return self.weight >= CERTAIN


@dataclass(frozen=True, kw_only=True)
class Parentage:
    """The parents of an animal, known or one of several; iterating gives the keys of all of them.

    Young of one uncertain `clutch` are drawn from one mating, young of two clutches from two.
    `pairs` lists the pairs (sire, dam; None is nobody known) where the parents were drawn as such.

    >>> list(Parentage.of(sires={"A": 0.5, "B": 0.5}, dams={"C": 1}))
    ['A', 'B', 'C']
    """

    parents: tuple[Parent, ...] = ()
    clutch: str = ""
    pairs: tuple[tuple[str | None, str | None], ...] = ()

    @classmethod
    def of(cls, *, sires=None, dams=None, clutch=""):
        """Make the parentage of sires and of dams, both mappings of key to weight."""
        listed = [(Role.SIRE, sires or {}), (Role.DAM, dams or {})]
        parents = [
            Parent(key=key, role=role, weight=weight)
            for role, weights in listed
            for key, weight in weights.items()
        ]
        return cls(parents=tuple(parents), clutch=clutch)

    @classmethod
    def of_pairs(cls, weights, *, clutch=""):
        """Make the parentage of pairs: a mapping of (sire, dam) to weight, None an outsider.

        >>> pairs = {("X", "Y"): 0.5, ("Y", "X"): 0.5}
        >>> [(p.key, p.role.value, p.weight) for p in Parentage.of_pairs(pairs).parents]
        [('X', 'either', 1.0), ('Y', 'either', 1.0)]
        """
        sires = {sire for sire, _ in weights} - {None}
        dams = {dam for _, dam in weights} - {None}
        keys = dict.fromkeys(key for pair in weights for key in pair if key is not None)
        parents = [
            Parent(
                key=key,
                role=_role(key, sires, dams),
                weight=fsum(w for pair, w in weights.items() if key in pair),
            )
            for key in keys
        ]
        return cls(parents=tuple(parents), clutch=clutch, pairs=tuple(weights))

    def __iter__(self):
        return iter(dict.fromkeys(parent.key for parent in self.parents))

    @property
    def certain(self):
        """Whether each parent on record is known for certain."""
        return all(parent.certain for parent in self.parents)

    def couples(self):
        """List the pairs of two animals that may have been sire and dam together."""
        if self.pairs:
            return tuple(pair for pair in self.pairs if None not in pair)
        sires = [parent.key for parent in self.parents if parent.role != Role.DAM]
        dams = [parent.key for parent in self.parents if parent.role != Role.SIRE]
        pairs = dict.fromkeys(tuple(pair) for pair in product(sires, dams) if len(set(pair)) == 2)
        return tuple(pairs)


def _role(key, sires, dams):
    """Say what an animal of several pairs would be."""
    if key in sires and key in dams:
        return Role.EITHER
    return Role.SIRE if key in sires else Role.DAM


@dataclass(frozen=True, kw_only=True)
class Group:
    """Young of one family that are not drawn singly: how many, and counted by sex ("2.3.9")."""

    size: int
    made_of: str


@dataclass(frozen=True, kw_only=True)
class Family:
    """Young with the same parents, drawn from one mating; `kinship` is that of the parents.

    `parents` are all on record, drawn or not. `more` stands for young not drawn singly.
    """

    key: str
    parents: tuple[Parent, ...]
    young: tuple[str, ...]
    kinship: Figure | None = None
    clutch: str = ""
    more: Group | None = None

    def missing(self, role):
        """Say the share of a parent that nobody on record accounts for, 0 to 1."""
        known = [p.weight for p in self.parents if p.role in (role, Role.EITHER)]
        if any(p.role == Role.EITHER for p in self.parents):
            known = [fsum(p.weight for p in self.parents) / 2]
        return max(0.0, 1 - fsum(known))


@dataclass(frozen=True, kw_only=True)
class Pedigree:
    """A pedigree as drawn: who is in it, who is asked about, who is a common ancestor.

    `unseen` says, by key, what the picture leaves out, such as "parents not drawn".
    """

    animals: tuple[Animal, ...]
    families: tuple[Family, ...]
    asked: tuple[str, ...]
    common: tuple[str, ...] = ()
    unseen: Mapping[str, str] = field(default_factory=dict)


class AnimalNotDescribed(LookupError):
    """A key is chosen for a picture, but no Animal is given for it; carries the `key`."""

    def __init__(self, key):
        super().__init__(tell("No animal is described for {key}.", key=key))
        self.key = key


def pedigree(chosen, *, asked, animals, parentage):
    """Put a picture together from the keys chosen for it.

    Parameters
    ----------
    chosen : iterable of str
        The keys to draw, as `reach.ancestors`, `reach.descendants` or `reach.kin` gives them.
    asked : iterable of str
        The keys the picture is about; marked, and their common ancestors with them.
    animals : mapping of str to Animal
        At least those chosen.
    parentage : mapping of str to Parentage
        Of those chosen; an animal without an entry has no parent on record. Young of animals
        chosen may be listed too, so that the picture can say what it leaves out.

    Raises
    ------
    AnimalNotDescribed
        A chosen key is not in `animals`.

    Examples
    --------
    >>> animals = {key: Animal(key=key, code=key) for key in "ABC"}
    >>> parentage = {"C": Parentage.of(sires={"A": 1}, dams={"B": 1})}
    >>> picture = pedigree("ABC", asked=["C"], animals=animals, parentage=parentage)
    >>> [(family.young, family.missing(Role.SIRE)) for family in picture.families]
    [(('C',), 0.0)]
    """
    drawn = {key: _described(animals, key) for key in sorted(set(chosen))}
    inside = {key: told for key, told in parentage.items() if key in drawn}
    asked = tuple(key for key in dict.fromkeys(asked) if key in drawn)
    common = common_ancestors(asked, inside)
    return Pedigree(
        animals=tuple(drawn.values()),
        families=_families(drawn, inside),
        asked=asked,
        common=tuple(key for key in common if key in drawn),
        unseen=_unseen(drawn, parentage),
    )


def _described(animals, key):
    """Find the animal of a key or say that there is none."""
    if key not in animals:
        raise AnimalNotDescribed(key)
    return animals[key]


def _families(drawn, parentage):
    """Gather the young by their parents; an uncertain clutch is a mating of its own."""
    matings = {}
    for key, told in parentage.items():
        if any(parent.key in drawn for parent in told.parents):
            clutch = "" if told.certain else told.clutch or key
            matings.setdefault((told.parents, clutch), []).append(key)
    return tuple(
        Family(
            key=f"m{number}",
            parents=parents,
            young=tuple(sorted(young)),
            kinship=_kinship(drawn[key] for key in young),
            clutch=parentage[young[0]].clutch if clutch else "",
        )
        for number, ((parents, clutch), young) in enumerate(matings.items())
    )


def _kinship(young):
    """Take the kinship of two parents from the inbreeding of their young, which it is."""
    return next((animal.inbreeding for animal in young if animal.inbreeding is not None), None)


def _unseen(drawn, parentage):
    """Say of each animal at the rim of the picture what is on record beyond it."""
    young = {}
    for key, told in parentage.items():
        for parent in told:
            young.setdefault(parent, []).append(key)
    told = {key: _beyond(key, drawn, parentage, young.get(key, [])) for key in drawn}
    return {key: text for key, text in told.items() if text}


def _beyond(key, drawn, parentage, young):
    """Count the parents left out, and the young where none of them is drawn."""
    parents = sum(parent not in drawn for parent in parentage.get(key, ()))
    parts = []
    if parents:
        parts = [tell_many("{count} parent not drawn", "{count} parents not drawn", parents)]
    if young and not any(child in drawn for child in young):
        parts.append(tell("{count} young not drawn", count=len(young)))
    return ", ".join(parts)


def with_leaf_siblings_grouped(picture, *, keep=3):
    """Draw at most `keep` childless young of each family, the others as one counted card.

    Animals asked about, and young that are parents themselves, are always drawn.
    """
    parents = {parent.key for family in picture.families for parent in family.parents}
    spared = parents | set(picture.asked)
    sexes = {animal.key: animal.sex for animal in picture.animals}
    families = [_shortened(family, spared, keep, sexes) for family in picture.families]
    gone = {key for family in picture.families for key in family.young}
    gone -= {key for family in families for key in family.young}
    animals = tuple(animal for animal in picture.animals if animal.key not in gone)
    unseen = {key: text for key, text in picture.unseen.items() if key not in gone}
    return replace(picture, animals=animals, families=tuple(families), unseen=unseen)


def _shortened(family, spared, keep, sexes):
    """Leave out the childless young of a family past the first few, unless it is only one."""
    leaves = [key for key in family.young if key not in spared]
    gone = leaves[keep:]
    if len(gone) < 2:
        return family
    young = tuple(key for key in family.young if key not in gone)
    return replace(family, young=young, more=Group(size=len(gone), made_of=count(gone, sexes)))


def count(keys, sexes):
    """Count animals as keepers do: males.females.unsexed, the last left out where it is nothing.

    >>> count("AB", {"A": "male", "B": "female"}), count("A", {"A": "unsexed"})
    ('1.1', '0.0.1')
    """
    found = [sexes[key] for key in keys]
    males, females, rest = (found.count(sex) for sex in (Sex.MALE, Sex.FEMALE, Sex.UNSEXED))
    return f"{males}.{females}.{rest}" if rest else f"{males}.{females}"
