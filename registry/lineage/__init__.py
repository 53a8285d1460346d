"""Kinship of animals, what it is made of, and what a collection keeps of its founders."""

from registry.lineage.choices import Choice, WorstChoice
from registry.lineage.diversity import Collection, collection
from registry.lineage.errors import (
    HalfAPair,
    ImpossibleWeights,
    LoopInDescent,
    NameUsedTwice,
    OwnParent,
    PairOfOne,
    PedigreeError,
    RecordedTwice,
    UnknownAnimal,
)
from registry.lineage.founders import Contribution, Missing, Outsider
from registry.lineage.genedrop import AllelesKept, alleles_kept
from registry.lineage.groups import Unseen, source_group
from registry.lineage.lineage import Lineage
from registry.lineage.origins import Generation
from registry.lineage.pairs import PairFigures, Plan, PlannedPair, Wishes, plan_pairs
from registry.lineage.parents import ClutchOf, OneOf, PairOf, pairs_of
from registry.lineage.paths import Path
from registry.lineage.worst import AtWorst

__all__ = [
    "AllelesKept",
    "AtWorst",
    "Choice",
    "ClutchOf",
    "Collection",
    "Contribution",
    "Generation",
    "HalfAPair",
    "ImpossibleWeights",
    "Lineage",
    "LoopInDescent",
    "Missing",
    "NameUsedTwice",
    "OneOf",
    "Outsider",
    "OwnParent",
    "PairFigures",
    "PairOf",
    "PairOfOne",
    "Path",
    "PedigreeError",
    "Plan",
    "PlannedPair",
    "RecordedTwice",
    "UnknownAnimal",
    "Unseen",
    "Wishes",
    "WorstChoice",
    "alleles_kept",
    "collection",
    "pairs_of",
    "plan_pairs",
    "source_group",
]
