"""The whole register in light rows, for questions that must look at everybody once."""

from collections import defaultdict
from functools import cached_property

import networkx as nx

from .conception import between, certain_laying_of, development, hull
from .mixes import mixes_known
from .models import (
    Animal,
    ArrivalMember,
    Candidate,
    Clutch,
    Departure,
    SexFinding,
    Stage,
    Taxon,
)
from .models.animals import STRONG
from .models.dates import earliest, latest
from .pedigree import that_hold
from .together import again, fetch

ASKED = {
    "animals": Animal.objects.order_by().values_list(
        "pk", "born", "born_precision", "taxon_id", "clutch_id", "locality_id"
    ),
    "taxa": Taxon.objects.order_by(),
    "clutches": Clutch.objects.order_by().select_related("taxon"),
    "deaths": Departure.objects.current()
    .filter(kind="death")
    .order_by()
    .values_list("animal_id", "day"),
    "comings": ArrivalMember.objects.filter(
        arrival__void=False, arrival__superseded_at__isnull=True
    )
    .order_by()
    .values_list("animal_id", "arrival__day"),
    "candidates": Candidate.objects.filter(descent__void=False, descent__superseded_at__isnull=True)
    .order_by()
    .values_list(
        "descent_id",
        "descent__role",
        "animal_id",
        "mate_id",
        "descent__animal_id",
        "descent__clutch_id",
        "weight",
        "descent__basis",
    ),
    "findings": SexFinding.objects.current()
    .filter(basis__in=STRONG)
    .order_by()
    .values_list("animal_id", "sex"),
}
FIRST, LAST, TAXON, CLUTCH, PLACE = range(5)


class Light:
    """Who may be whose parent, with births, deaths, places and strong sexes, by key.

    All of it is fetched at one moment, in one statement, with whatever else is asked.
    """

    def __init__(self, *others):
        asked = {name: again(rows) for name, rows in ASKED.items()}
        fetch(*asked.values(), *others)
        self._rows = asked

    @cached_property
    def animals(self):
        """`(earliest birth, latest birth, taxon, clutch, locality)` of each animal."""
        return {
            key: (earliest(born, known), latest(born, known), *rest)
            for key, born, known, *rest in self._rows["animals"]
        }

    @cached_property
    def taxa(self):
        """The taxa by key."""
        return {taxon.pk: taxon for taxon in self._rows["taxa"]}

    @cached_property
    def clutches(self):
        """`(the days it can have been laid on, its taxon)` of each clutch."""
        rows = self._rows["clutches"]
        found = {c.pk: (certain_laying_of(c), c.taxon_id) for c in rows if not c.mixed}
        return found | {c.pk: (self._laid(c.pk, found), c.taxon_id) for c in rows if c.mixed}

    def _laid(self, mix, found):
        return hull([found[key][0] for key in self.mixes.laid_as(mix) if key in found])

    @cached_property
    def mixes(self):
        """Which clutches are reared together."""
        return mixes_known()

    @cached_property
    def deaths(self):
        """The day each dead animal died."""
        return dict(self._rows["deaths"])

    @cached_property
    def first_days(self):
        """The first day on which each animal came."""
        return dict(sorted(self._rows["comings"], key=lambda row: row[1], reverse=True))

    def child(self, animal, clutch):
        """Return the days outside which the child of a statement cannot have begun, its taxon."""
        clutch = clutch or self.animals[animal][CLUTCH]
        return self.clutches[clutch] if clutch else self.beginnings[animal]

    @cached_property
    def beginnings(self):
        """The same for each animal that is of no clutch."""
        spans = {key: development(taxon, Stage.METAMORPHOSED) for key, taxon in self.taxa.items()}
        return {
            key: (
                between(spans[row[TAXON]], row[FIRST], row[LAST], self.first_days.get(key)),
                row[TAXON],
            )
            for key, row in self.animals.items()
            if not row[CLUTCH]
        }

    @cached_property
    def candidates(self):
        """`(statement, role, animal, mate, child, clutch, sure)` of each possible parent."""
        return [
            (*row[:6], row[6] == 1 and row[7] in {"seen", "dna"} and row[1] != "pair")
            for row in self._rows["candidates"]
        ]

    @cached_property
    def statements(self):
        """The statements by child: of "animal" or "clutch", `{key: {role: (key, parents)}}`."""
        found = {"animal": defaultdict(dict), "clutch": defaultdict(dict)}
        for descent, role, animal, mate, child, clutch, _ in self.candidates:
            table = found["animal"][child] if child else found["clutch"][clutch]
            table.setdefault(role, (descent, set()))[1].update({animal, mate} - {None})
        return found

    def holding(self, key):
        """Return the statements that may hold for an animal, each with the parents it names."""
        own = self.statements["animal"].get(key, {})
        clutch = self.mixes.clutch_of(key, self.animals[key][CLUTCH])
        shared = (self.statements["clutch"].get(c, {}) for c in self.mixes.laid_as(clutch))
        return dict(held for some in shared for held in that_hold(own, some).values())

    @cached_property
    def strong(self):
        """The animals with a strong finding or statement, by sex."""
        found = {"male": set(), "female": set()}
        for key, sex in self._rows["findings"]:
            found[sex].add(key)
        for _, role, animal, _, _, _, sure in self.candidates:
            if sure:
                found["male" if role == "sire" else "female"].add(animal)
        return found

    def rings(self):
        """Return the keys of animals that descend from each other, circle by circle."""
        edges = [
            (parent, key)
            for key in self.animals
            for parents in self.holding(key).values()
            for parent in parents
        ]
        if all(self._surely_older(*edge) for edge in edges):
            return []  # whoever is older than the next is in no circle
        graph = nx.DiGraph(edges)
        knots = nx.strongly_connected_components(graph)
        return [self._ring(graph.subgraph(knot)) for knot in knots if len(knot) > 1]

    def _surely_older(self, parent, key):
        last, first = self.animals[parent][LAST], self.animals[key][FIRST]
        return bool(last and first and last < first)

    def _ring(self, graph):
        return [older for older, _ in nx.find_cycle(graph)]
