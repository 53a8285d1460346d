"""Kinship of animals, what it is made of, and what a collection keeps of its founders."""

from registry.lineage.choices import Choice, WorstChoice
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
from registry.lineage.groups import Unseen, source_group
from registry.lineage.lineage import Lineage
from registry.lineage.origins import Generation
from registry.lineage.parents import OneOf, PairOf
from registry.lineage.paths import Outsider, Path
from registry.lineage.worst import AtWorst

__all__ = [
    "AtWorst",
    "Choice",
    "Generation",
    "HalfAPair",
    "ImpossibleWeights",
    "Lineage",
    "LoopInDescent",
    "NameUsedTwice",
    "OneOf",
    "Outsider",
    "OwnParent",
    "PairOf",
    "PairOfOne",
    "Path",
    "PedigreeError",
    "RecordedTwice",
    "UnknownAnimal",
    "Unseen",
    "WorstChoice",
    "source_group",
]
