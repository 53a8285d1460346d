"""How long kinship takes, from a line of two thousand to a register of a million.

Run `python -m tests.bench.lineage`. Beside the time of all F stands its ratio, in the same run,
to one plain NumPy pass over the same arrays (each animal the mean of a number of its parents),
which no method can do without; and for sizes it can do, to the textbook's tabular method.

closed lines: lines of 2,000 that never mix, 12 generations, 6 pairs of each breeding.
one population: 15 generations mated at random, 333 sires and half of the females of each.
"""

from resource import RUSAGE_SELF, getrusage
from time import perf_counter

import numpy as np

from registry.lineage import Lineage, Wishes, alleles_kept, collection, plan_pairs
from tests.bench.animals import closed_lines, uncertain, wide

EARLY = range(400, 600)
LINE = "{:58}{:>10}{:>12}{:>12}"


def timed(work, times=3):
    """Seconds of the quickest of some tries, and what the last gave."""
    quickest = np.inf
    for _ in range(times):
        begin = perf_counter()
        result = work()
        quickest = min(quickest, perf_counter() - begin)
    return quickest, result


def tell(what, seconds, plain=None, tabular=None):
    """Print one line of the table."""
    ratios = ["" if other is None else f"{seconds / other:.3g}" for other in (plain, tabular)]
    print(LINE.format(what, f"{seconds:.4f}", *ratios), flush=True)


def plain_pass(sire, dam):
    """The least that anything over all animals does: a mean over known parents."""
    number = np.arange(len(sire) + 1, dtype=float)
    return 0.5 * (number[sire] + number[dam])


def tabular_method(sire, dam):
    """All F by the full table, row by row (Emik & Terrill 1949)."""
    table = np.zeros((len(sire) + 1, len(sire) + 1))
    for row, (one, other) in enumerate(zip(sire.tolist(), dam.tolist(), strict=True)):
        table[row, :row] = table[:row, row] = 0.5 * (table[one, :row] + table[other, :row])
        table[row, row] = 0.5 + 0.5 * table[one, other]
    return 2 * np.diag(table)[:-1] - 1


def all_inbreeding(name, arrays, with_tabular=False):
    """All F from the arrays on, nothing known before; checked where the table can be made."""
    seconds, found = timed(lambda: Lineage.from_arrays(*arrays).inbreeding_array())
    plain, _ = timed(lambda: plain_pass(*arrays))
    tabular = None
    if with_tabular:
        tabular, expected = timed(lambda: tabular_method(*arrays), times=1)
        assert np.abs(found - expected).max() < 1e-12
    tell(f"all F, {name}", seconds, plain, tabular)


def growth():
    """All F of registers of ten thousand to a million."""
    for lines in (5, 50, 500):
        all_inbreeding(f"closed lines, {2000 * lines:,}", closed_lines(lines))
    print(f"{'memory at its highest so far':58}{getrusage(RUSAGE_SELF).ru_maxrss / 1e6:>9.2f} GB")
    for animals in (10_000, 100_000):
        all_inbreeding(f"one population, {animals:,}", wide(animals))
    for animals in (1_000, 2_000, 4_000):
        all_inbreeding(f"one line, {animals:,}", closed_lines(1, animals), with_tabular=True)
    all_inbreeding("one population, 4,000", wide(4_000, sires=30), with_tabular=True)


def single_questions():
    """Questions about a few animals of a million."""
    register = closed_lines(500)
    cold = timed(lambda: Lineage.from_arrays(*register).kinship(1999, 1998), times=3)[0]
    tell("a million opened, and one kinship asked", cold)
    family = Lineage.from_arrays(*register)
    family.inbreeding_array()
    others = np.random.default_rng(1).integers(0, 1_000_000, 20_000).tolist()
    tell("one with 20,000 of the million", timed(lambda: family.kinship_table([1999], others))[0])
    tell("one kinship in the million", timed(lambda: family.kinship(1999, 1998), 10)[0])
    tell("its paths", timed(lambda: family.paths(1999, 1998))[0])
    seconds, grown = timed(lambda: family.extended([("new", 1999, 1998)]))
    tell("one animal added to the million", seconds)
    tell("F of all but one known, and of the new one", timed(grown.inbreeding_array, 1)[0])


def uncertain_line():
    """A line of 2,000 in which one parent in ten is one of two or three."""
    family = Lineage(uncertain(*closed_lines(1)))
    mates = list(range(1000, 2000))
    tell("1,000 mates, expected", timed(lambda: family.kinship_table([1990], mates), 1)[0])
    for one, first in ((1990, 1000), (990, 1000), (400, 0), (990, 0)):
        mates_at_worst(family, one, range(first, first + 1000))
    living = list(range(1834, 2000))
    tell("figures of a collection of 166", timed(lambda: collection(family, living))[0])
    tell("1,000 runs of a gene drop", timed(lambda: alleles_kept(family, living, seed=1), 1)[0])
    plan(family, "20.20", males=living[:40:2], females=living[1:40:2])
    plan(family, "0.0.100", unsexed=living[:100])
    seconds, (_, bounds) = timed(lambda: family.at_worst_table(EARLY, EARLY), 1)
    tell(f"200 with each other at worst, {bounds.mean():.0%} bounds", seconds)


def mates_at_worst(family, one, others):
    """One animal with a list of possible mates."""
    seconds, (_, bounds) = timed(lambda: family.at_worst_table([one], others))
    tell(f"1,000 mates at worst for no. {one}, {bounds.mean():.0%} bounds", seconds)


def plan(family, animals, **sexes):
    """A plan for a line in which all are kin."""
    wishes = Wishes(below=0.35, below_at_worst=1)
    seconds, made = timed(lambda: plan_pairs(family, wishes=wishes, **sexes), 1)
    tell(f"a plan for {animals}, {made.figures.pairs} pairs", seconds)


def uncertain_population():
    """A population of 100,000 in which one parent in ten is one of two or three."""
    seconds, family = timed(lambda: Lineage(uncertain(*wide(100_000))), 1)
    tell("100,000 records read, 10 % one-of", seconds)
    tell("all F of them", timed(family.inbreeding_array, 1)[0])
    mates = list(range(99_000, 100_000))
    tell("1,000 mates of them, expected", timed(lambda: family.kinship_table([95_000], mates))[0])
    tell("one at worst (a bound)", timed(lambda: family.at_worst(95_000, 99_000), 1)[0])


def long_and_narrow():
    """Siblings mated again and again."""
    generations = np.arange(600) // 2
    sire, dam = 2 * generations - 2, 2 * generations - 1
    sire[:2] = dam[:2] = -1
    all_inbreeding("300 generations of siblings", (sire, dam), with_tabular=True)


if __name__ == "__main__":
    print(LINE.format("", "seconds", "to a pass", "to a table"))
    growth()
    single_questions()
    uncertain_line()
    long_and_narrow()
    uncertain_population()
    print(f"{'memory at its highest':58}{getrusage(RUSAGE_SELF).ru_maxrss / 1e6:>9.2f} GB")
