"""Which founder alleles a collection still has, by dropping them down the pedigree by chance.

Every founder starts with two alleles of its own; each animal gets one of each parent's, and a
drawn parent is drawn anew in every run (MacCluer et al. 1986, Zoo Biol. 5:147-160; Lacy 1995).
"""

from dataclasses import dataclass

import numpy as np

from registry.lineage.errors import PedigreeError
from registry.lineage.founders import Outsider, founders_above
from registry.lineage.pedigree import NOBODY
from registry.lineage.sweep import strata_of

RUNS_AT_ONCE = 100
CELLS_AT_ONCE = 20_000_000


@dataclass(frozen=True, kw_only=True)
class AllelesKept:
    """What some runs of a gene drop kept.

    `at_start` is the number of founder alleles, two to each founder; `kept` how many of them
    each run left among the animals; `by_founder` is (founder, how many of its two on average).
    """

    seed: int
    runs: int
    at_start: int
    kept: tuple[int, ...]
    by_founder: tuple

    @property
    def mean(self):
        """How many alleles are kept on average."""
        return sum(self.kept) / self.runs

    @property
    def share(self):
        """The share of the founders' alleles that is kept on average."""
        return self.mean / self.at_start


def alleles_kept(lineage, keys, *, seed, runs=1000, progress=None):
    """Drop the founders' alleles down to some animals and count which they have.

    Parameters
    ----------
    lineage : Lineage
    keys : iterable of keys
        The animals that count, each once.
    seed : int
        The same seed and runs give the same result.
    runs : int
    progress : callable, optional
        Called with (runs done, runs) now and then; what it raises ends the work.

    Raises
    ------
    PedigreeError
        There are no animals, or no runs; UnknownAnimal if one has no record.

    Examples
    --------
    >>> from registry.lineage import Lineage
    >>> family = Lineage([("A", None, None), ("P", "A", None)])
    >>> alleles_kept(family, ["A", "P"], seed=1, runs=50).mean
    3.0
    """
    keys = list(dict.fromkeys(keys))
    if not keys or runs < 1:
        raise PedigreeError("A gene drop needs animals, and one run at least.")
    drop = _Drop(lineage, lineage.pedigree.points(keys))
    step = max(1, min(RUNS_AT_ONCE, CELLS_AT_ONCE // (2 * len(drop.strata.points))))
    kept, counts = np.zeros(2 * len(drop.founders)), []
    for done in range(0, runs, step):
        found = drop.run(np.random.default_rng([seed, done]), min(step, runs - done))
        kept += found.sum(axis=1)
        counts += found.sum(axis=0).tolist()
        if progress is not None:
            progress(len(counts), runs)
    of_two = (kept.reshape(-1, 2).sum(axis=1) / runs).tolist()
    return AllelesKept(
        seed=seed,
        runs=runs,
        at_start=len(kept),
        kept=tuple(counts),
        by_founder=tuple(zip(drop.founders, of_two, strict=True)),
    )


class _Drop:
    """The pedigree of some points, ready for runs: founder number f has alleles 2f, 2f + 1."""

    def __init__(self, lineage, points):
        self.strata = strata_of(lineage.pedigree, lineage.order, points)
        self.members = [self.strata.rank[point] for point in points.tolist()]
        self.founders = []
        self.number = {}
        for rank, point in enumerate(self.strata.points.tolist()):
            for founder in self._founders(lineage.pedigree, point):
                self.number.setdefault(rank, []).append(len(self.founders))
                self.founders.append(founder)

    def _founders(self, pedigree, point):
        draw = self.strata.draws.get(point)
        if draw is None:
            return [founder for founder, _ in founders_above(pedigree, point)]
        return [Outsider(draw.name)] if draw.rest else []

    def run(self, rng, runs):
        """Which alleles the members have, by (allele, run), in some runs."""
        alleles = self.alleles(rng, runs)[self.members]
        found = np.zeros((2 * len(self.founders), runs), dtype=bool)
        found[alleles.reshape(-1, runs), np.arange(runs)] = True
        return found

    def alleles(self, rng, runs):
        """The two alleles of every point in some runs, by (rank, side, run)."""
        strata = self.strata
        alleles = np.empty((len(strata.points), 2, runs), dtype=np.int32)
        for block in range(strata.blocks):
            begin, drawn, end = strata.starts[block], strata.drawn[block], strata.starts[block + 1]
            self._drop_to_animals(rng, alleles, np.arange(begin, drawn))
            for rank in range(drawn, end):
                self._draw(rng, alleles, rank)
        return alleles

    def _drop_to_animals(self, rng, alleles, ranks):
        each = np.arange(alleles.shape[2])
        for side, parents in enumerate((self.strata.sire[ranks], self.strata.dam[ranks])):
            which = rng.integers(0, 2, (len(ranks), len(each)))
            alleles[ranks, side] = alleles[parents[:, None], which, each]
            for at in np.flatnonzero(parents == NOBODY).tolist():
                alleles[ranks[at], side] = 2 * self.number[ranks[at]][0] + which[at]
        for rank in ranks[(self.strata.sire[ranks] == NOBODY) & (self.strata.dam[ranks] == NOBODY)]:
            alleles[rank] = 2 * self.number[rank][0] + np.arange(2)[:, None]

    def _draw(self, rng, alleles, rank):
        """Draw who the parent is in each run; the two sides of a pair are drawn together."""
        draw = self.strata.draws[self.strata.points[rank].item()]
        sides = [(rank, draw.candidates)]
        weights = draw.weights
        if draw.pairs:
            partner = self.strata.rank[draw.partner]
            if partner < rank:
                return
            one, other, weights = zip(*draw.pairs, strict=True)
            sides = [(rank, one), (partner, other)]
        picked = _picked(rng, weights, alleles.shape[2])
        for side, candidates in sides:
            self._take(rng, alleles, side, [*candidates, NOBODY], picked)

    def _take(self, rng, alleles, rank, candidates, picked):
        known = self.strata.rank
        who = np.array([known.get(point, NOBODY) for point in candidates])[picked]
        alleles[rank] = alleles[who, :, np.arange(len(who))].T
        outside = np.flatnonzero(who == NOBODY)
        if outside.size:
            own = 2 * self.number[rank][0] + np.arange(2)[:, None]
            alleles[rank][:, outside] = own


def _picked(rng, weights, runs):
    """For each run the number of the weight drawn; one more than there are for the rest."""
    ends = np.cumsum(weights)
    if ends.size and abs(ends[-1] - 1) < 1e-9:
        ends[-1] = 1.0
    return np.searchsorted(ends, rng.random(runs), side="right")
