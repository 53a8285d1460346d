"""Kinship of animals, what it is made of, and what a collection keeps of its founders."""

from registry.lineage.lineage import AtWorst, Lineage
from registry.lineage.parents import OneOf, PairOf

__all__ = ["AtWorst", "Lineage", "OneOf", "PairOf"]
