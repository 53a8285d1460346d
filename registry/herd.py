"""Animals looked at together, and what is known of each, fetched once for all of them."""

from functools import cached_property

from .lineage import AtWorst
from .mixes import Mixes
from .models import Descent, SexFinding, Sexing, conclude
from .models.animals import Basis
from .pedigree import lineage_of

WHOLE = 40  # up to so many animals, everyone's kinship to everyone is worked out at once


class Herd:
    """A set of animals with their sexes, parents and kinship, each fetched at first use."""

    def __init__(self, animals):
        self.animals = {a.pk: a for a in animals}
        self._kept = {}
        self._rows = {}

    def once(self, key, make):
        """Return what `make()` gave the first time it was asked for under this key."""
        if key not in self._kept:
            self._kept[key] = make()
        return self._kept[key]

    def sexing(self, animal):
        """Return what the findings on an animal come to."""
        return self.sexings.get(animal.pk, Sexing())

    @cached_property
    def sexings(self):
        """What is concluded for each animal, being a seen parent included."""
        return sexings_of(self.animals)

    @cached_property
    def lineage(self):
        """The kinship engine over all ancestors of these animals."""
        return lineage_of(self.animals.values())

    def kinship(self, a, b):
        """Return expected and at-worst kinship of two animals: F of their young."""
        return self._row(a)[b.pk]

    def _row(self, a):
        """Return the kinship of one animal to the whole herd, worked out once."""
        if a.pk not in self._rows:
            keys = list(self.animals)
            rows = keys if len(keys) <= WHOLE else [a.pk]
            expected = self.lineage.kinship_table(rows, keys).tolist()
            worst, bounds = self.lineage.at_worst_table(rows, keys)
            for key, *told in zip(rows, expected, worst.tolist(), bounds.tolist(), strict=True):
                self._rows[key] = dict(zip(keys, map(_figures, *told), strict=True))
        return self._rows[a.pk]

    @cached_property
    def parents(self):
        """The keys of everyone who may be a parent of each animal."""
        return possible_parents(self.animals.values())


def _figures(expected, worst, is_bound):
    return expected, AtWorst(worst, is_bound)


def sexings_of(keys):
    """Return the conclusion on sex for each animal that has any finding."""
    found = {}
    for finding in SexFinding.objects.current().filter(animal__in=keys):
        found.setdefault(finding.animal_id, []).append(finding)
    for finding in findings_from_young(keys):
        found.setdefault(finding.animal_id, []).append(finding)
    return {key: conclude(findings) for key, findings in found.items()}


def findings_from_young(keys):
    """Yield a strong finding for each animal known, by sight or DNA, to be a sire or a dam.

    It is made for the question and never saved; its `descent` is the statement it rests on.
    """
    sure = (
        Descent.objects.current()
        .filter(basis__in=["seen", "dna"], role__in=["sire", "dam"], candidates__animal__in=keys)
        .prefetch_related("candidates")
        .distinct()
    )
    for descent in sure:
        candidates = descent.candidates.all()
        if len(candidates) == 1 and candidates[0].weight == 1:
            finding = SexFinding(
                animal_id=candidates[0].animal_id,
                day=descent.day,
                sex="male" if descent.role == "sire" else "female",
                basis=Basis.PARENT,
            )
            finding.descent = descent
            yield finding


def possible_parents(animals):
    """Return, for each animal, the keys of all who may be its parents."""
    animals, mixes = list(animals), Mixes()
    of = {a.pk: mixes.clutch_of(a.pk, a.clutch_id) for a in animals}
    laid_as = {key: mixes.laid_as(key).keys() for key in of.values() if key}
    rows = Descent.objects.current().filter(animal__in=[a.pk for a in animals])
    rows |= Descent.objects.current().filter(clutch__in=set().union(*laid_as.values()))
    own, shared = {}, {}
    for descent in rows.prefetch_related("candidates"):
        keys = {c.animal_id for c in descent.candidates.all()}
        keys |= {c.mate_id for c in descent.candidates.all() if c.mate_id}
        into = own if descent.animal_id else shared
        into.setdefault(descent.animal_id or descent.clutch_id, set()).update(keys)
    told = {key: set().union(*(shared.get(c, ()) for c in some)) for key, some in laid_as.items()}
    return {a.pk: own.get(a.pk, set()) | told.get(of[a.pk], set()) for a in animals}
