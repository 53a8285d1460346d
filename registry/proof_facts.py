"""What the register has on record of an animal's origin, as a proof of origin prints it."""

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from .herd import sexings_of
from .models import Animal, Departure, Mark, Paper, RegisterLine, Sexing
from .pedigree import ancestry_of
from .phrases import dated, in_a_row, share, written
from .standing import standings
from .telling import tell
from .whence import members_of

GENERATIONS = 2  # parents, and theirs


@dataclass(frozen=True, kw_only=True)
class Ancestor:
    """One that may be a parent, or a parent's parent: in which place, how likely, on what basis."""

    role: str
    animal: Animal
    weight: float
    basis: str

    @property
    def who(self):
        """Say which animal in which place."""
        return f"{self.role} {self.animal.code}"


class Facts:
    """Animals with their parents and theirs, and everything on record that a proof names."""

    def __init__(self, animals, on):
        self.animals, self.on = list(animals), on
        self.ancestry = ancestry_of(self.animals)

    def ancestors(self, animal, generations=GENERATIONS, place=""):
        """Return who may be a parent, each followed by who may be its parents."""
        found = []
        if generations:
            for parent in self.parents(animal, place):
                found.append(parent)
                place_of = f"{parent.role}'s "
                found += self.ancestors(parent.animal, generations - 1, place_of)
        return found

    def parents(self, animal, place=""):
        """Return who may be a parent of an animal, the sire before the dam."""
        found = {}
        for _, of_clutch, stated in self.families(animal):
            for role, descent in sorted(stated.items(), reverse=True):
                label = f"{place}{'sire or dam' if role == 'pair' else role}"
                for candidate in descent.candidates.all():
                    for key in filter(None, [candidate.animal_id, candidate.mate_id]):
                        before = found[label, key].weight if (label, key) in found else 0
                        found[label, key] = Ancestor(
                            role=label,
                            animal=self.people[key],
                            weight=round(before + candidate.weight * of_clutch, 9),
                            basis=descent.get_basis_display(),
                        )
        return sorted(found.values(), key=lambda parent: parent.role.endswith("dam"))

    def families(self, animal):
        """Return `(clutch, share, statements by role)` for each clutch an animal may be of."""
        return self.ancestry.families(self.ancestry.animals[animal.pk])

    @cached_property
    def people(self):
        """Everybody in the pedigree, by key, with what a line about them says."""
        keys = list(self.ancestry.animals)
        rows = Animal.objects.filter(pk__in=keys)
        return {
            a.pk: a
            for a in rows.select_related(
                "taxon", "locality", "clutch__enclosure__unit__holding__party"
            )
        }

    @cached_property
    def named(self):
        """The keys of all that the proof names."""
        keys = {a.pk for a in self.animals}
        return keys | {x.animal.pk for a in self.animals for x in self.ancestors(a)}

    @cached_property
    def papers(self):
        """The papers on record of everybody named, by key, without the proofs we issued."""
        rows = Paper.objects.current().filter(ours=False).order_by("day", "pk")
        found = defaultdict(dict)
        for paper in rows.filter(animals__in=self.named).distinct().prefetch_related("animals"):
            for animal in paper.animals.all():
                found[animal.pk][paper.pk] = paper
        shared = rows.filter(arrival__members__animal__in=self.named, animals=None).distinct()
        for paper in shared.prefetch_related("arrival__members"):
            for member in paper.arrival.members.all():
                found[member.animal_id][paper.pk] = paper
        return {key: list(papers.values()) for key, papers in found.items()}

    @cached_property
    def arrivals(self):
        """The arrivals of everybody named, by key, the first first."""
        found = defaultdict(list)
        for member in members_of(self.named):
            found[member.animal_id].append(member.arrival)
        return found

    @cached_property
    def lines(self):
        """The register lines of everybody named, by key."""
        found = defaultdict(list)
        rows = RegisterLine.animals.through.objects.filter(animal__in=self.named)
        for row in rows.select_related("registerline__holding").order_by("registerline__number"):
            found[row.animal_id].append(row.registerline)
        return found

    @cached_property
    def marks(self):
        """The marks of the animals, by key."""
        found = defaultdict(list)
        for mark in Mark.objects.current().filter(animal__in=self.animals).order_by("day", "pk"):
            found[mark.animal_id].append(mark)
        return found

    @cached_property
    def departures(self):
        """The last departure of each animal that has left, by key."""
        rows = Departure.objects.current().filter(animal__in=self.animals, day__lte=self.on)
        last = {d.animal_id: d for d in rows.select_related("receiver").order_by("day", "pk")}
        here = set(Animal.objects.here(self.on).filter(pk__in=last).values_list("pk", flat=True))
        return {key: departure for key, departure in last.items() if key not in here}

    @cached_property
    def sexings(self):
        """What the findings of sex come to, by key."""
        return sexings_of([a.pk for a in self.animals])

    @cached_property
    def standings(self):
        """What each animal is on the day, by key."""
        return standings([a for a in self.animals if a.pk not in self.departures], self.on)

    @cached_property
    def lineage(self):
        """The kinship engine over everybody."""
        return self.ancestry.lineage()


def sheet(facts, animal):
    """Return what is printed of one animal."""
    one = facts.people[animal.pk]
    return {
        "code": one.code,
        "name": one.name,
        "species": one.taxon.name,
        "common": one.taxon.common_name,
        "facts": [[label, text] for label, text in _rows(facts, one)],
        "papers": [paper_words(p) for p in facts.papers.get(one.pk, [])],
        "ancestors": [_ancestor_row(facts, a) for a in facts.ancestors(one)],
    }


def _rows(facts, one):
    generation = facts.lineage.generation(one.pk)
    counted = str(generation)
    if generation.cites:
        counted = tell("{generation}; CITES F{cites}", generation=counted, cites=generation.cites)
    yield tell("Sex"), facts.sexings.get(one.pk, Sexing()).words()
    yield tell("Born"), dated(one.born, one.born_precision) if one.born else tell("not known")
    yield tell("Locality"), locality_words(one.locality)
    yield tell("Origin (CITES source code)"), one.get_source_code_display()
    yield tell("Generation"), counted
    yield tell("Marks"), "\n".join(_mark(m) for m in facts.marks[one.pk]) or tell("none on record")
    yield tell("How it came"), "\n".join(came(facts, one))
    yield tell("Register"), _line_words(facts.lines[one.pk])
    yield tell("Standing"), standing_words(facts, one)


def _mark(mark):
    return f"{mark} ({written(mark.day)})"


def locality_words(locality):
    """Say a collecting place: its name, how closely it is known, its country."""
    if locality is None:
        return tell("not known")
    known = "" if locality.is_mixed else locality.get_precision_display()
    return ", ".join(filter(None, [locality.name, known, locality.country]))


def came(facts, one):
    """Say how an animal came to be here: bred, or with whom it came and when."""
    said = []
    if one.clutch_id:
        told = {"home": one.clutch.enclosure.unit.holding, "clutch": one.clutch.code}
        if one.clutch.laid:
            laid = dated(one.clutch.laid, one.clutch.laid_precision)
            said.append(
                tell("Bred here ({home}) in clutch {clutch}, laid {laid}.", laid=laid, **told)
            )
        elif one.clutch.mixed:
            said.append(
                tell(
                    "Bred here ({home}) in clutch {clutch}, in which {clutches} were reared "
                    "together.",
                    clutches=in_a_row(one.clutch.laid_as()),
                    **told,
                )
            )
        else:
            said.append(tell("Bred here ({home}) in clutch {clutch}.", **told))
    return said + [_arrival_words(a) for a in facts.arrivals[one.pk]]


def _arrival_words(arrival):
    supplier = arrival.supplier
    parts = [supplier.name, *supplier.address.splitlines(), supplier.country] if supplier else []
    told = {"day": written(arrival.day), "kind": arrival.get_kind_display()}
    if parts:
        source = ", ".join(filter(None, parts))
        return tell("Came on {day}, {kind} from {source}.", source=source, **told)
    return tell("Came on {day}, {kind}.", **told)


def _line_words(lines):
    return ", ".join(
        tell("line {number} of {holding}", number=x.number, holding=x.holding) for x in lines
    ) or tell("no line on record")


def standing_words(facts, one):
    """Say held or cleared on the day, or what it was when it left."""
    left = facts.departures.get(one.pk)
    if left:
        told = {"state": tell("held" if left.held else "cleared"), "day": written(left.day)}
        told |= {"kind": left.get_kind_display(), "receiver": left.receiver}
        if left.receiver:
            return tell("{state}, on leaving on {day} ({kind} to {receiver})", **told)
        return tell("{state}, on leaving on {day} ({kind})", **told)
    told = facts.standings.get(one.pk)
    if told is None:
        return tell("not on record")
    return tell(
        "{state} on {day}. {sentence}",
        state=tell(told.state),
        day=written(facts.on),
        sentence=told.sentence,
    )


def paper_words(paper):
    """Say a paper: kind, number, issuer, day."""
    day = written(paper.day) if paper.day else ""
    return ", ".join(filter(None, [str(paper), paper.issuer, day]))


def _ancestor_row(facts, ancestor):
    one = ancestor.animal
    weight = "" if ancestor.weight == 1 else f" ({share(ancestor.weight)})"
    papers = [paper_words(p) for p in facts.papers.get(one.pk, [])]
    return [
        tell(ancestor.role) + weight,
        one.code,
        one.source_code,
        locality_words(one.locality),
        ancestor.basis,
        "\n".join(came(facts, one)) or tell("never here"),
        "\n".join(papers) or tell("none on record"),
    ]
