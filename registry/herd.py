"""Animals looked at together, and what is known of each, fetched once for all of them."""

from collections import defaultdict
from functools import cached_property
from itertools import chain

from django.db.models import Exists, OuterRef, Q, QuerySet

from . import shelf
from .lineage import AtWorst
from .mixes import mixes_known
from .models import Candidate, SexFinding, Sexing, conclude
from .models.animals import Basis
from .pedigree import lineage_of
from .together import fetch

WHOLE = 40  # up to so many animals, everyone's kinship to everyone is worked out at once


class Herd:
    """A set of animals with their sexes, parents and kinship, each fetched at first use."""

    def __init__(self, animals):
        self.animals = {a.pk: a for a in animals}
        self._kept = {}
        self._rows = {}
        self._beside = list(self.animals)

    def parts(self, companies):
        """Yield a herd for each of some companies, with all that is known of the whole.

        Kinship is worked out among those of a few companies at once: less than to everybody,
        and more than one company at a time, of which there may be many.
        """
        for some in _few_at_once(companies):
            keys, rows = [a.pk for company in some for a in company], {}
            for company in some:
                part = self._part(company)
                part._beside, part._rows = keys, rows
                yield part

    def _part(self, animals):
        some = Herd(animals)
        some._kept["shelf"] = self.once("shelf", dict)
        some.sexings, some.lineage, some.parents = self.sexings, self.lineage, self.parents
        return some

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
        expected, worst, is_bound = self._row(a)[b.pk]
        return expected, AtWorst(worst, is_bound)

    def _row(self, a):
        """Return the kinship of one animal to those looked at with it, worked out once."""
        if a.pk not in self._rows:
            keys = self._beside
            rows = keys if len(keys) <= WHOLE else [a.pk]
            expected = self.lineage.kinship_table(rows, keys).tolist()
            worst, bounds = self.lineage.at_worst_table(rows, keys)
            for key, *told in zip(rows, expected, worst.tolist(), bounds.tolist(), strict=True):
                self._rows[key] = dict(zip(keys, zip(*told, strict=True), strict=True))
        return self._rows[a.pk]

    @cached_property
    def parents(self):
        """The keys of everyone who may be a parent of each animal."""
        return possible_parents(self.animals.values())


def _few_at_once(companies):
    """Yield companies in lists of no more animals than are worked out at once, or of one."""
    some, count = [], 0
    for company in companies:
        if some and count + len(company) > WHOLE:
            yield some
            some, count = [], 0
        some.append(company)
        count += len(company)
    if some:
        yield some


def sexings_of(keys):
    """Return the conclusion on sex for each animal that has any finding."""
    return {key: conclude(findings) for key, findings in findings_on(keys).items()}


def findings_on(keys):
    """Return all findings on each animal, a strong one included for each sure sire or dam.

    That one is made for the question and never saved; its `descent` is the statement it rests on.
    A page that asks again about the same animals, by their keys, asks the database once.
    """
    if isinstance(keys, QuerySet):
        return _findings_on(keys)
    keys = frozenset(keys)
    if (found := shelf.about("findings", keys)) is not None:
        return {key: found[key] for key in keys & found.keys()}
    return shelf.kept(("findings", keys), lambda: _findings_on(keys))


def _findings_on(keys):
    rows, sure = SexFinding.objects.current().filter(animal__in=keys), _sure_parents(keys)
    fetch(rows, sure)
    found = {}
    for finding in chain(rows, map(_finding_of, sure)):
        found.setdefault(finding.animal_id, []).append(finding)
    return found


def _sure_parents(keys):
    """Return the candidates that are named alone, and for sure, in a statement in force."""
    others = Candidate.objects.filter(descent=OuterRef("descent")).exclude(pk=OuterRef("pk"))
    rows = Candidate.objects.filter(
        ~Exists(others),
        weight=1,
        animal__in=keys,
        descent__basis__in=["seen", "dna"],
        descent__role__in=["sire", "dam"],
        descent__void=False,
        descent__superseded_at__isnull=True,
    )
    return rows.select_related("descent").order_by("descent__day", "descent")


def _finding_of(candidate):
    descent = candidate.descent
    finding = SexFinding(
        animal_id=candidate.animal_id,
        day=descent.day,
        sex="male" if descent.role == "sire" else "female",
        basis=Basis.PARENT,
    )
    finding.descent = descent
    return finding


def possible_parents(animals):
    """Return, for each animal, the keys of all who may be its parents."""
    animals, mixes = list(animals), mixes_known()
    if ancestry := shelf.about("ancestry", {a.pk for a in animals}):
        return {a.pk: ancestry.named_for(a) for a in animals}
    of = {a.pk: mixes.clutch_of(a.pk, a.clutch_id) for a in animals}
    laid_as = {key: mixes.laid_as(key).keys() for key in of.values() if key}
    keys, clutches = {a.pk for a in animals}, set().union(*laid_as.values())
    asked = "parents", frozenset(keys), frozenset(clutches)
    own, shared = defaultdict(set), defaultdict(set)
    for child, clutch, *named in shelf.kept(asked, lambda: _named_for(keys, clutches)):
        (own[child] if child else shared[clutch]).update(key for key in named if key)
    told = {key: set().union(*(shared[c] for c in some)) for key, some in laid_as.items()}
    return {a.pk: own[a.pk] | told.get(of[a.pk], set()) for a in animals}


def _named_for(animals, clutches):
    """Return `(animal, clutch, parent, its mate)` for all named as parents of any of these."""
    about = Q(descent__animal__in=animals) | Q(descent__clutch__in=clutches)
    rows = Candidate.objects.order_by().filter(
        about, descent__void=False, descent__superseded_at__isnull=True
    )
    names = ("descent__animal_id", "descent__clutch_id", "animal_id", "mate_id")
    return list(rows.values_list(*names))
