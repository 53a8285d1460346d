"""Kinship at worst: the highest over all choices of the parents that are not certain.

One choice is made per drawn parent and holds wherever that parent is met. Up to 4,096 choices
the figure is exact; above, it is what comes of taking the best candidate at each step, youngest
first, which no choice exceeds. Caution goes against inbreeding, and the mean keeps diversity
(Willis 2001, Zoo Biol. 20:95-107).
"""

from dataclasses import dataclass
from math import prod

import numpy as np

from registry.lineage.groups import Unseen
from registry.lineage.pedigree import NOBODY
from registry.lineage.sweep import Best, Each, Sweep, strata_of
from registry.lineage.table import kinship_table

MOST_CHOICES = 4096
ROUNDING = 1e-12
CELLS_AT_ONCE = 16_000_000
MOST_CELLS = 3_000_000_000


class AtWorst(float):
    """A kinship at worst: a number that also tells whether it `is_bound`, "at most", or exact.

    Examples
    --------
    >>> figure = AtWorst(0.25, is_bound=True)
    >>> figure > 0.125, f"{figure:.3f}", figure.is_bound
    (True, '0.250', True)
    """

    def __new__(cls, value, is_bound=False):
        self = super().__new__(cls, value)
        self.is_bound = bool(is_bound)
        return self

    def __reduce__(self):
        return AtWorst, (float(self), self.is_bound)


@dataclass(frozen=True, kw_only=True)
class Case:
    """The highest kinship of two points, and the choice by which it comes about.

    `chosen` gives the option at each drawn parent; where `figure` is a bound, the choice that
    comes near, which `attained` tells.
    """

    figure: AtWorst
    attained: float
    chosen: dict


def options_of(pedigree, strata, asked):
    """What can be chosen at each drawn parent (for a pair: at its first side).

    Unseen founders of a source group that are only ever candidates together, and not asked
    about, are alike: one of them for all is the worst there is, since making two founders one
    never lowers a kinship. So nothing is left to choose there.
    """
    alike = _alike(pedigree, strata, asked)
    return {
        point: (min(draw.options),) if alike.issuperset(draw.options) else draw.options
        for point, draw in strata.draws.items()
        if not draw.pairs or point < draw.partner
    }


def _alike(pedigree, strata, asked):
    """The unseen founders that are candidates of some draws and nothing else, always the same."""
    together = {}
    for draw in strata.draws.values():
        for one in draw.candidates:
            together.setdefault(one, set()).add(draw.pairs or frozenset(draw.candidates))
    bred = {*strata.sire.tolist(), *strata.dam.tolist()}
    return {
        one
        for one, sets in together.items()
        if isinstance(pedigree.keys[one], Unseen)
        and len(sets) == 1
        and one not in asked
        and strata.rank[one] not in bred
        and pedigree.sire[one] == pedigree.dam[one] == NOBODY
    }


def count_of(options):
    """How many ways there are to choose."""
    return prod(map(len, options.values()))


def bound_table(strata, rows, columns, options):
    """The recursive bound of every row point with every column point, and the kept sweep."""
    sweep = Sweep(strata, Best(options), asked={*rows, *columns}).run()
    return sweep.table[np.ix_(sweep.slots(rows), sweep.slots(columns))][:, :, 0]


def each_choice(strata, one, others, options):
    """Kinship of a point with others, by (other, way to choose), and the rule that chose."""
    rule = Each(options)
    sweep = Sweep(strata, rule, asked=[one, *others]).run()
    return sweep.between([one] * len(others), others), rule


def cells(strata, asked, options):
    """How many cells the table of all choices has at its widest, at most."""
    return count_of(options) * (strata.width + asked + 1) ** 2


def worst_figure(descent, one, other):
    """Kinship of two points at worst; exact as well where even the bound is the expected one."""
    return _figure(descent, _Search(descent, one, other))


def worst_case(descent, one, other):
    """The `Case` of two points."""
    search = _Search(descent, one, other)
    figure = _figure(descent, search)
    if search.succeeded:
        return Case(figure=figure, attained=search.highest, chosen=search.chosen)
    chosen = search.likely(search.options)
    return Case(figure=figure, attained=search.bound(chosen), chosen=chosen)


def _figure(descent, search):
    search.run()
    if search.succeeded:
        return AtWorst(search.highest)
    bound, pair = search.bound(search.options), search.pair
    expected = kinship_table(descent, pair[:1], pair[1:])[0, 0]
    return AtWorst(bound, is_bound=bound > expected + ROUNDING)


class _Search:
    """Looks for the choice with the highest kinship of two points.

    It succeeds where there are few choices, unless the pedigree is so wide that looking at them
    would take minutes.
    """

    def __init__(self, descent, one, other):
        self.pair = one, other
        self.strata = strata_of(descent.pedigree, descent.order, np.array(self.pair))
        self.options = options_of(descent.pedigree, self.strata, self.pair)
        self.highest = -1.0
        self.chosen = {}
        self.steps = 0
        self.succeeded = False

    def run(self):
        """Look at every choice, if there are few."""
        if count_of(self.options) <= MOST_CHOICES:
            self.look(self.options)
            self.succeeded = not self._tired

    @property
    def _tired(self):
        return self.steps * self.strata.width**2 > MOST_CELLS

    def bound(self, options):
        """No choice among the options exceeds this."""
        self.steps += self.strata.blocks
        one, other = self.pair
        return float(bound_table(self.strata, [one], [other], options)[0, 0])

    def look(self, options):
        """Take the best choice among the options, if it beats the best so far."""
        if cells(self.strata, 2, options) <= CELLS_AT_ONCE:
            self._take_apart(options)
            return
        if self._tired:
            return
        bound, scores = self.bound(options), self._scores(options)
        if bound > self.highest + ROUNDING:
            self._keep(_highest(options, scores))
        point = _least_clear(scores)
        if point is None or bound <= self.highest + ROUNDING:
            return
        for option in _best_first(options[point], scores[point]):
            self.look({**options, point: (option,)})

    def likely(self, options):
        """The choice in which each candidate is the most related to the two, as it seems."""
        return _highest(options, self._scores(options))

    def _keep(self, chosen):
        value = self.bound(chosen)
        if value > self.highest:
            self.highest, self.chosen = value, chosen

    def _take_apart(self, options):
        one, other = self.pair
        values, rule = each_choice(self.strata, one, [other], options)
        values = values[0]
        at = int(values.argmax())
        if values[at] > self.highest:
            self.highest = float(values[at])
            digits = np.unravel_index(at, [len(options[point]) for point in rule.met])
            self.chosen = {
                point: (options[point][digit],)
                for point, digit in zip(rule.met, digits, strict=True)
            }

    def _scores(self, options):
        """How related each option of each open drawn parent is to the two, at most."""
        open_ones = {point: some for point, some in options.items() if len(some) > 1}
        asked = {p for some in open_ones.values() for p in _flat(some)} - {NOBODY}
        asked = [*asked, *self.pair]
        table = bound_table(self.strata, asked, self.pair, options)
        score = dict(zip(asked, table.sum(axis=1).tolist(), strict=True)) | {NOBODY: 0.0}
        return {
            point: [sum(score[one] for one in _flat([option])) for option in some]
            for point, some in open_ones.items()
        }


def _flat(options):
    """The points of options, each of which is a point or a pair of them."""
    return [
        point
        for option in options
        for point in (option if isinstance(option, tuple) else (option,))
    ]


def _highest(options, scores):
    return {
        point: (some[int(np.argmax(scores[point]))],) if point in scores else some
        for point, some in options.items()
    }


def _least_clear(scores):
    """The drawn parent whose second best option is the most related; None if none is open."""
    return max(scores, key=lambda point: sorted(scores[point])[-2], default=None)


def _best_first(options, scores):
    order = np.argsort(scores)[::-1]
    return [options[at] for at in order]
