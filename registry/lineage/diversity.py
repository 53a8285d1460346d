"""What a collection keeps of the genes of its founders.

Sources: mean kinship and gene diversity, Ballou & Lacy (1995) and Lacy (1995, Zoo Biol.
14:565-577); founder genome equivalents and effective founders, Lacy (1989, Zoo Biol. 8:111-123).
"""

from dataclasses import dataclass
from functools import cached_property
from math import fsum

from registry.lineage.errors import PedigreeError
from registry.lineage.founders import contributions
from registry.lineage.table import mean_kinship


@dataclass(frozen=True, kw_only=True)
class Collection:
    """The figures of a collection; all expected, none at worst.

    `mean_kinships` gives for each animal its mean kinship with all of them, itself included;
    `traced` is the mean share of their ancestry that leads to founders of known wild origin.
    A missing parent counts as a founder and flatters the figures, so that share stands beside.
    """

    mean_kinships: dict
    contributions: tuple
    traced: float

    @cached_property
    def mean_kinship(self):
        """The mean of the mean kinships: the chance that two genes of the collection are one."""
        return fsum(self.mean_kinships.values()) / len(self.mean_kinships)

    @property
    def gene_diversity(self):
        """The share of the wild's heterozygosity that is kept, 1 - mean kinship."""
        return 1 - self.mean_kinship

    @property
    def founder_genome_equivalents(self):
        """How many founders unrelated and not inbred would have the same gene diversity."""
        return 1 / (2 * self.mean_kinship)

    @property
    def effective_founders(self):
        """How many founders giving equally would be as even as these."""
        return 1 / fsum(one.share**2 for one in self.contributions)


def collection(lineage, keys):
    """The `Collection` of some animals, each counted once.

    Parameters
    ----------
    lineage : Lineage
    keys : iterable of keys
        The living, say, with or without those that never bred. A founder among them counts
        without young too; one not among them counts by its descendants.

    Raises
    ------
    PedigreeError
        There are no animals; UnknownAnimal if one has no record.

    Examples
    --------
    >>> from registry.lineage import Lineage
    >>> family = Lineage([("A", None, None), ("B", None, None), ("P", "A", "B")])
    >>> figures = collection(family, ["A", "B", "P"])
    >>> round(figures.gene_diversity, 3), round(figures.founder_genome_equivalents, 2)
    (0.722, 1.8)
    """
    keys = list(dict.fromkeys(keys))
    if not keys:
        raise PedigreeError("A collection without animals has no figures.")
    points = lineage.pedigree.points(keys)
    means = mean_kinship(lineage.descent, points)
    return Collection(
        mean_kinships=dict(zip(keys, means.tolist(), strict=True)),
        contributions=tuple(contributions(lineage.descent, points)),
        traced=fsum(map(lineage.traced, keys)) / len(keys),
    )
