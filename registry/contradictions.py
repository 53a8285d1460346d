"""What cannot be true together of parents and young, each with the facts it rests on."""

from datetime import timedelta
from functools import cached_property
from itertools import product

import networkx as nx

from .conception import certain_beginning_of, certain_laying_of
from .herd import findings_on
from .models import ArrivalMember, Departure, Role, conclude
from .phrases import dated, in_a_row, written
from .telling import tell

SEX = {Role.SIRE: "male", Role.DAM: "female"}


class Contradiction(Exception):
    """Entries that cannot be true together; it carries the animals and the facts."""

    def __init__(self, sentence, *, animals=(), facts=()):
        self.sentence, self.animals, self.facts = sentence, tuple(animals), tuple(facts)
        super().__init__(sentence)


class OwnParent(Contradiction):
    """An animal is given as its own parent."""

    def __init__(self, descent, animal):
        text = tell("{animal} is given as its own parent.", animal=animal)
        super().__init__(text, animals=[animal], facts=[descent])


class LoopOfDescent(Contradiction):
    """Animals descend from each other in a circle: each a parent of the next."""

    def __init__(self, animals, facts=()):
        ring = " > ".join(str(a) for a in [*animals, animals[0]])
        text = tell(
            "{animals} would descend from themselves: {ring}.", animals=in_a_row(animals), ring=ring
        )
        super().__init__(text, animals=animals, facts=facts)


class ParentYounger(Contradiction):
    """A parent was not born yet when its young were begun."""

    def __init__(self, descent, parent):
        text = tell(
            "{parent}, born {born}, is younger than {child} and cannot be its {role}.",
            parent=parent,
            born=dated(parent.born, parent.born_precision),
            child=child_of(descent),
            role=role_of(descent),
        )
        super().__init__(text, animals=[parent], facts=[descent])


class ParentImmature(Contradiction):
    """A parent was not mature yet when its young were begun."""

    def __init__(self, descent, parent, last):
        text = tell(
            "{parent}, born {born}, was not mature when {child} was begun, by "
            "{last} ({taxon} is mature at {mature_days} days).",
            parent=parent,
            born=dated(parent.born, parent.born_precision),
            child=child_of(descent),
            last=written(last),
            taxon=parent.taxon,
            mature_days=parent.taxon.mature_days,
        )
        super().__init__(text, animals=[parent], facts=[descent])


class ParentDead(Contradiction):
    """A parent had died before its young can have been begun."""

    def __init__(self, descent, parent, death, first):
        text = tell(
            "{parent} died on {day}; {child} was begun on {first} or later.",
            parent=parent,
            day=written(death.day),
            child=child_of(descent),
            first=written(first),
        )
        super().__init__(text, animals=[parent], facts=[descent, death])


class WrongSex(Contradiction):
    """A sire is found to be female, or a dam to be male."""

    def __init__(self, descent, parent, found):
        text = tell(
            "{parent} is {sex} ({basis}, {day}) and cannot be {role} of {child}.",
            parent=parent,
            sex=tell(found.sex),
            basis=found.get_basis_display(),
            day=written(found.day),
            role=role_of(descent),
            child=child_of(descent),
        )
        rests_on = getattr(found, "descent", found)
        super().__init__(text, animals=[parent], facts=[descent, rests_on])


class OtherTaxon(Contradiction):
    """A parent is of a taxon that cannot have young of this one."""

    def __init__(self, descent, parent):
        text = tell(
            "{parent} is a {taxon} and cannot be a parent of {child}.",
            parent=parent,
            taxon=parent.taxon,
            child=child_of(descent),
        )
        super().__init__(text, animals=[parent], facts=[descent])


def child_of(descent):
    """Return the animal or the clutch a statement is about."""
    return descent.animal or descent.clutch


def role_of(descent):
    """Return what the named are to the child: sire, dam, or parent where either is possible."""
    return tell(descent.role) if descent.role in SEX else tell("parent")


class Evidence:
    """What is on record of the possible parents in some statements, fetched once for all."""

    def __init__(self, descents):
        self.descents = list(descents)
        self.parents = {a.pk: a for d in self.descents for a, _ in roles_of(d)}

    @cached_property
    def deaths(self):
        """The recorded death of each possible parent that has died."""
        rows = Departure.objects.current().filter(kind="death", animal__in=self.parents)
        return {row.animal_id: row for row in rows}

    @cached_property
    def findings(self):
        """All findings on the sex of each possible parent, being a seen parent included."""
        return findings_on(self.parents)

    @cached_property
    def first_days(self):
        """The first day each child of unknown birth is known to have lived."""
        children = [d.animal_id for d in self.descents if d.animal_id]
        rows = ArrivalMember.objects.filter(
            animal__in=children, arrival__void=False, arrival__superseded_at__isnull=True
        )
        found = {}
        for key, day in rows.values_list("animal", "arrival__day"):
            found[key] = min(day, found.get(key, day))
        return found

    def beginning(self, descent):
        """Return the days outside which the child of a statement cannot have been begun."""
        if descent.clutch_id:
            return certain_laying_of(descent.clutch)
        return certain_beginning_of(descent.animal, self.first_days.get(descent.animal_id))

    def sexing(self, animal, apart_from):
        """Return what is concluded on the sex of an animal without one of the statements."""
        return conclude(f for f in self.findings.get(animal.pk, ()) if not rests_on(f, apart_from))


def rests_on(finding, descent):
    """Whether a finding is made from a statement of descent."""
    return getattr(finding, "descent", None) == descent


def roles_of(descent):
    """Return `(animal, sex it must have)` for everybody named in a statement."""
    named = []
    for candidate in descent.candidates.all():
        named.append((candidate.animal, SEX.get(descent.role, "male")))
        if candidate.mate_id:
            named.append((candidate.mate, "female"))
    return list(dict.fromkeys(named))


def against(descent, evidence):
    """Yield what speaks against each possible parent in a statement."""
    for parent, sex in roles_of(descent):
        if parent == descent.animal:
            yield OwnParent(descent, parent)
            continue
        yield from _too_young(descent, parent, evidence)
        yield from _dead(descent, parent, sex, evidence)
        yield from _wrong_sex(descent, parent, sex, evidence)
        if parent.taxon != child_of(descent).taxon and not _could_cross(descent, parent):
            yield OtherTaxon(descent, parent)


def _too_young(descent, parent, evidence):
    last, born = evidence.beginning(descent).last, parent.earliest_birth
    if last is None or born is None:
        return
    if born > last:
        yield ParentYounger(descent, parent)
    elif born + timedelta(days=parent.taxon.mature_days) > last:
        yield ParentImmature(descent, parent, last)


def _dead(descent, parent, sex, evidence):
    death, first = evidence.deaths.get(parent.pk), evidence.beginning(descent).first
    if death is None or first is None:
        return
    stored = 0 if sex == "female" else parent.taxon.stored_sperm_days
    if death.day < first - timedelta(days=stored):
        yield ParentDead(descent, parent, death, first)


def _wrong_sex(descent, parent, sex, evidence):
    sexing = evidence.sexing(parent, descent)
    if not sexing.strong or sexing.sex in (None, sex):
        return
    strong = [
        f for f in evidence.findings.get(parent.pk, ()) if f.is_strong and not rests_on(f, descent)
    ]
    yield WrongSex(descent, parent, min(strong, key=lambda f: f.day))


def _could_cross(descent, parent):
    return parent.taxon.could_cross_with(child_of(descent).taxon)


def ring_through(descent, ancestry):
    """Return the animals of a circle that a statement closes with its parents' ancestors, or []."""
    held = {key: ancestry.statements(a) for key, a in ancestry.animals.items()}
    graph = nx.DiGraph(
        (parent, key) for key, rows in held.items() for d in rows for parent in keys_of(d)
    )
    closing = [key for key, rows in held.items() if descent in rows]
    for young, parent in product(closing, keys_of(descent)):
        if parent in graph and nx.has_path(graph, young, parent):
            return [ancestry.animals[key] for key in nx.shortest_path(graph, young, parent)]
    return []


def keys_of(descent):
    """Return the keys of everybody named in a statement."""
    rows = descent.candidates.all()
    return {c.animal_id for c in rows} | {c.mate_id for c in rows if c.mate_id}
