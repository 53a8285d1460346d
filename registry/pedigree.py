"""From the register's statements of descent to the records the kinship engine reads."""

from collections import defaultdict
from functools import cached_property
from itertools import batched, chain

from django.db import connection
from django.db.models import Q

from . import shelf
from .lineage import ClutchOf, Lineage, OneOf, PairOf, Unseen
from .mixes import mixes_known
from .models import Animal, Belief, Candidate, Clutch, Descent, SourceCode
from .together import attach, fetch

AT_ONCE = 900  # keys per query, below SQLite's limit on parameters
PEOPLE = Animal.objects.select_related("taxon", "source_group")
CAPTIVE = {SourceCode.CAPTIVE_BRED, SourceCode.CAPTIVE_BORN, SourceCode.RANCHED}


def lineage_of(animals, known_on=None):
    """Return the engine over these animals and all their ancestors."""
    return ancestry_of(animals, known_on).lineage()


def ancestry_of(animals, known_on=None):
    """Return everyone these animals may descend from, generation by generation upwards."""
    found, given = Ancestry(known_on), {a.pk: a for a in animals}
    laid_as = [(mix, one) for mix in found.mixes.parts for one in found.mixes.reared_in(mix)]
    some = batched(given, AT_ONCE, strict=False)
    above = dict(pair for keys in some for pair in _above(keys, laid_as))
    people = found.read(above)
    for key, animal in given.items():
        _lend(people[key], animal)
    people |= given
    found.name_from(people)
    wave = given.values()
    while wave:
        found.animals |= {a.pk: a for a in wave}
        named = {key for a in wave for key in found.named_for(a)} - found.animals.keys()
        if missing := named - people.keys():
            people |= found.read(dict(_above(sorted(missing), laid_as)))
        wave = sorted((people[key] for key in named), key=lambda a: a.code)
    if known_on is None:
        shelf.kept(("ancestry", frozenset(found.animals)), lambda: found)
    return found


ABOVE = """SELECT pk, clutch FROM (WITH RECURSIVE laid(mix, clutch) AS ({}), above(pk, clutch) AS (
    SELECT id, clutch_id FROM registry_animal WHERE id IN ({})
    UNION
    SELECT parent.id, parent.clutch_id FROM above
    LEFT JOIN laid ON laid.mix = above.clutch
    JOIN registry_descent said
        ON said.animal_id = above.pk OR said.clutch_id = COALESCE(laid.clutch, above.clutch)
    JOIN registry_candidate named ON named.descent_id = said.id
    JOIN registry_animal parent ON parent.id IN (named.animal_id, named.mate_id)
) SELECT pk, clutch FROM above) everyone"""
NO_MIX = "SELECT 0, 0 WHERE 1 = 0"


def _lend(fetched, animal):
    """Give an animal what was fetched with it once more, where it lacks that."""
    for name in ("taxon", "source_group"):
        field = Animal._meta.get_field(name)
        if not field.is_cached(animal):
            field.set_cached_value(animal, getattr(fetched, name))


def _above(keys, laid_as):
    """Return `(key, clutch)` of animals and of all that were ever named above them.

    `laid_as` are `(mix, clutch)` for each clutch of which young of a mix may be.
    """
    laid = f"VALUES {', '.join(['(%s, %s)'] * len(laid_as))}" if laid_as else NO_MIX
    statement = ABOVE.format(laid, ", ".join(["%s"] * len(keys)))
    with connection.cursor() as cursor:
        cursor.execute(statement, [*chain.from_iterable(laid_as), *keys])
        return cursor.fetchall()


def stated_parents(animal):
    """Return `(clutch, share, statements by role)` for each clutch of a mix it may be of.

    Of any other animal there is one, and no clutch is named.
    """
    found = Ancestry()
    found.add([animal])
    return families_in(found, animal)


def families_in(ancestry, animal):
    """Return the same of an animal whose ancestry is fetched already."""
    told = ancestry.families(animal)
    several = Clutch.objects.in_bulk([key for key, *_ in told]) if len(told) > 1 else {}
    return [(several.get(key), share, stated) for key, share, stated in told]


class Ancestry:
    """Animals with the statements about their parents."""

    def __init__(self, known_on=None):
        self.animals = {}
        self.of_animal = defaultdict(dict)
        self.of_clutch = defaultdict(dict)
        self._known_on = known_on

    def add(self, animals):
        """Take in animals with the statements about their parents."""
        animals = list(animals)
        self.animals |= {a.pk: a for a in animals}
        self.read({a.pk: a.clutch_id for a in animals}, Animal.objects.none())

    def read(self, clutch_of, people=PEOPLE):
        """Take in the statements on `{animal: its clutch}`; return the animals by key."""
        read = {}
        for some in batched(clutch_of, AT_ONCE, strict=False):
            bred = {self.mixes.clutch_of(key, clutch_of[key]) for key in some} - {None}
            clutches = {one for key in bred for one in self.mixes.laid_as(key)}
            rows, candidates = self._said(Q(animal__in=some) | Q(clutch__in=clutches))
            those = people.filter(pk__in=some)
            fetch(those, rows, candidates)
            attach(rows, "candidates", candidates)
            for descent in rows:
                table = self.of_animal if descent.animal_id else self.of_clutch
                table[descent.animal_id or descent.clutch_id][descent.role] = descent
            read |= {a.pk: a for a in those}
        return read

    @cached_property
    def mixes(self):
        """Which clutches are reared together."""
        return mixes_known(self._known_on)

    def name_from(self, people):
        """Let the statements name animals that are fetched already."""
        for table in (*self.of_animal.values(), *self.of_clutch.values()):
            for candidate in (c for d in table.values() for c in d.candidates.all()):
                if candidate.animal_id in people:
                    candidate.animal = people[candidate.animal_id]
                if candidate.mate_id in people:
                    candidate.mate = people[candidate.mate_id]

    def _said(self, about):
        """Return questions for statements, as known on the day, and for those named in them."""
        rows = Descent.objects.filter(about)
        rows = rows.known(self._known_on) if self._known_on else rows.current()
        return rows, Candidate.objects.filter(descent__in=rows.order_by().values("pk"))

    def named_for(self, animal):
        """Return the keys of all who are named as possible parents of an animal or its clutch."""
        said = [self.of_animal.get(animal.pk, {})]
        said += [self.of_clutch.get(key, {}) for key in self.mixes.laid_as(self._clutch(animal))]
        rows = [c for table in said for d in table.values() for c in d.candidates.all()]
        return {key for c in rows for key in (c.animal_id, c.mate_id) if key}

    def named(self):
        """Return the keys of all animals named as possible parents so far."""
        return {key for animal in self.animals.values() for key in self.named_for(animal)}

    def families(self, animal):
        """Return `(clutch, share, statements)` for each clutch an animal may be of."""
        own = self.of_animal.get(animal.pk, {})
        if whole(own):
            return [(animal.clutch_id, 1.0, own)]
        laid_as = self.mixes.laid_as(self._clutch(animal)).items()
        return [(c, share, that_hold(own, self.of_clutch.get(c, {}))) for c, share in laid_as]

    def statements(self, animal):
        """Return the statements that may hold for an animal: its own before those of its clutch."""
        told = [d for *_, by_role in self.families(animal) for d in by_role.values()]
        return list(dict.fromkeys(told))

    def parents(self, animal):
        """Return sire and dam of an animal as the engine takes them."""
        return self._parents_in(animal, self._clutch(animal))

    def _clutch(self, animal):
        return self.mixes.clutch_of(animal.pk, animal.clutch_id)

    def _parents_in(self, animal, clutch):
        """Return the parents of an animal of a clutch; of a mix those of one of several."""
        own = self.of_animal.get(animal.pk, {})
        if clutch in self.mixes and not whole(own):
            parts = self.mixes.parts[clutch].items()
            families = [(*self._parents_in(animal, part), share) for part, share in parts]
            mixed = ClutchOf(families, name=f"clutch {clutch} of {animal.pk}")
            return mixed, mixed
        stated = that_hold(own, self.of_clutch.get(clutch, {}))
        if "pair" in stated:
            pair = _pair(stated["pair"])
            return pair, pair
        if (not stated and animal.source_group_id is not None) or self._unsaid(animal):
            return _from_source(animal)
        return tuple(_parent(stated.get(role), animal) for role in ("sire", "dam"))

    def _unsaid(self, animal):
        """Whether it was bred by somebody who said nothing of its parents."""
        return (
            not self.statements(animal)
            and animal.clutch_id is None
            and animal.source_group_id is None
            and animal.source_code in CAPTIVE
        )

    def records(self):
        """Return `(key, sire, dam)` for every animal, and for the founders nobody saw."""
        rows = [(a.pk, *self.parents(a)) for a in self.animals.values()]
        unseen = {
            key
            for _, *parents in rows
            for parent in parents
            if isinstance(parent, OneOf)
            for key in parent.weights
            if isinstance(key, Unseen)
        }
        return rows + [(key, None, None) for key in sorted(unseen, key=str)]

    def wild(self):
        """Return the keys of founders known to come from the wild."""
        return {
            a.pk
            for a in self.animals.values()
            if a.source_code == SourceCode.WILD
            or (a.source_group and a.source_group.belief == Belief.WILD)
        }

    def lineage(self):
        """Return the kinship engine over these animals."""
        return Lineage(self.records(), wild=self.wild())


def whole(stated):
    """Return whether statements by role say who both parents are."""
    return "pair" in stated or {"sire", "dam"} <= stated.keys()


def that_hold(own, shared):
    """Return the statements that hold, by role, of an animal's own and those of its clutch."""
    if whole(own):
        return own
    return {k: v for k, v in shared.items() if not (k == "pair" and own)} | own


def _parent(descent, animal):
    """Return one stated parent as the engine takes it."""
    if descent is None:
        return None
    candidates = list(descent.candidates.all())
    if not candidates:
        return None
    if len(candidates) == 1 and candidates[0].weight == 1:
        return candidates[0].animal_id
    weights = {c.animal_id: c.weight for c in candidates}
    return OneOf(weights, name=_node(descent, animal))


def _node(descent, animal):
    """Name the node: shared by a clutch that has one sire, else drawn apart for each young."""
    if descent.role == "sire" and descent.clutch_id and not animal.taxon.one_sire_per_clutch:
        return f"{descent.role} {descent.pk} of {animal.pk}"
    return f"{descent.role} {descent.pk}"


def _pair(descent):
    """Return a pair of parents drawn together."""
    pairs = {(c.animal_id, c.mate_id): c.weight for c in descent.candidates.all()}
    return PairOf(pairs, name=f"pair {descent.pk}")


def _from_source(animal):
    """Return parents among the founders nobody saw that stand behind a source."""
    group = animal.source_group
    if group and group.belief == Belief.WILD:
        return None, None
    counted = group and group.belief == Belief.COUNTED
    sires, dams = (group.sires, group.dams) if counted else (2, 2)
    name = f"source {group.pk}" if group else f"unsaid {animal.pk}"
    return (
        _one_unseen(name, "sire", sires, animal),
        _one_unseen(name, "dam", dams, animal),
    )


def _one_unseen(name, side, count, animal):
    weights = {Unseen(name, side, number): 1 / count for number in range(1, count + 1)}
    return OneOf(weights, name=f"{side} of {animal.pk} in {name}")
