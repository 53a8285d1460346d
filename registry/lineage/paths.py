"""Why two animals are related: their common ancestors and the paths through each.

A path adds (1/2)^n (1 + F of the ancestor), n the animals on it, both ends and the ancestor
counted; a drawn parent does not count, but its weight multiplies once, even where the path
enters and leaves through the same one (Wright 1922, Am. Nat. 56:330-338).
"""

from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count

from registry.lineage.founders import Outsider
from registry.lineage.pedigree import NOBODY

SHOWN = 20
MOST_PAIRS = 100_000
FIRST_DEPTH = 4
DEEPEST = 60
ROUNDING = 1e-12


@dataclass(frozen=True, kw_only=True)
class Path:
    """One part of a kinship: a path from one animal up to an ancestor and down to the other.

    `animals` are the keys on it from end to end; `inbreeding` is F of the ancestor, `weight`
    the product of the weights of drawn parents. The last part may be the rest: no ancestor, no
    animals, and what all smaller paths add.
    """

    ancestor: object
    animals: tuple
    weight: float
    inbreeding: float
    contribution: float

    @property
    def is_rest(self):
        """Whether this is what all smaller paths add."""
        return not self.animals


def paths_between(descent, strata, one, other, figure):
    """The largest paths between two points, then the rest; they sum to `figure`.

    Parameters
    ----------
    descent : Descent
        Must know all that the two points descend from.
    strata : Strata
        Those of the two points.
    figure : float
        The kinship of the two.

    Returns
    -------
    list of Path
        At most 20, the largest first, and the rest if there is any. In a pedigree so wide that
        not all paths can be looked at, the largest are sought in the nearest generations.
    """
    if one == other:
        return [_alone(descent.pedigree.keys[one], figure)]
    search = _Search(descent, strata, strata.rank[one], strata.rank[other])
    found = []
    for depth in range(FIRST_DEPTH, DEEPEST, 2):
        try:
            found = search.largest(depth)
        except _TooWide:
            break
        if search.settled(found, figure, depth):
            break
    rest = figure - sum(path.contribution for path in found)
    return [*found, _rest(rest)] if rest > ROUNDING * figure else found


def _rest(contribution):
    return Path(ancestor=None, animals=(), weight=1.0, inbreeding=0.0, contribution=contribution)


def _alone(key, figure):
    inbreeding = 2 * figure - 1
    return Path(
        ancestor=key, animals=(key,), weight=1.0, inbreeding=inbreeding, contribution=figure
    )


class _TooWide(Exception):
    """There are more pairs of ancestors than can be looked at."""


class _Search:
    """Looks for the largest paths between two ranks of the strata.

    A state is the pair of ranks that the two arms of a path have reached; the younger goes on.
    The arms end where they meet; at (NOBODY, drawn) they have met in an outsider. `best` is the
    most that a path through a state can add, so that only the largest are followed.
    """

    def __init__(self, descent, strata, left, right):
        self.descent = descent
        self.strata = strata
        self.start = left, right
        self.above = [self._ranks_above(rank) for rank in range(len(strata.points))]
        self.far = self._distances(left), self._distances(right)
        self.leads = self._leading()
        self.best, self.depth, self.cut = {}, 0, False

    def largest(self, depth):
        """The 20 largest paths with arms of at most so many animals, the largest first."""
        self.best, self.depth, self.cut = {}, depth, False
        found, number = [], count()
        waiting = [(-self._most(*self.start), next(number), self.start, 1.0, 1.0, ((), ()))]
        while waiting and len(found) < SHOWN and waiting[0][0] < 0:
            _, _, state, gain, weight, arms = heappop(waiting)
            if self._is_end(*state):
                found.append(self._path(state, gain, weight, arms))
                continue
            arms = self._walked(state, arms)
            for share, factor, *after in self._steps(*state):
                most = gain * share * factor * self._most(*after)
                after = tuple(after), gain * share * factor, weight * factor, arms
                heappush(waiting, (-most, next(number), *after))
        return found

    def settled(self, found, figure, depth):
        """Whether no path with longer arms can be among the largest."""
        if not self.cut or sum(path.contribution for path in found) >= figure * (1 - ROUNDING):
            return True
        return len(found) == SHOWN and found[-1].contribution >= 0.5 ** (depth + 1)

    def _draw(self, rank):
        return self.strata.draws.get(self.strata.points[rank].item())

    def _ranks_above(self, rank):
        draw, ranks = self._draw(rank), self.strata.rank
        if draw is not None:
            return [ranks[point] for point in draw.candidates]
        parents = self.strata.sire[rank].item(), self.strata.dam[rank].item()
        return [one for one in parents if one != NOBODY]

    def _distances(self, start):
        """How many animals above the start each rank is at least; drawn ones do not count."""
        far = {start: 0}
        for rank in range(start, -1, -1):
            if rank in far:
                step = far[rank] + (self._draw(rank) is None)
                for older in self.above[rank]:
                    far[older] = min(far.get(older, step), step)
        return far

    def _leading(self):
        """Whether each rank leads to a common ancestor, or is one, or one side of a pair."""
        leads = []
        for rank in range(len(self.above)):
            common = all(rank in far for far in self.far)
            draw = self._draw(rank)
            paired = draw is not None and bool(draw.pairs)
            leads.append(common or paired or any(leads[older] for older in self.above[rank]))
        return leads

    def _is_end(self, left, right):
        return left == NOBODY or (left == right and self._draw(left) is None)

    def _itself(self, rank):
        """Kinship of a common ancestor with itself."""
        if rank == NOBODY:
            return 0.5
        return self.descent.itself[self.strata.points[rank]].item()

    def _most(self, left, right):
        """The most that one path through a state can add."""
        if self._is_end(left, right):
            return self._itself(left)
        if not (self.leads[left] and self.leads[right]):
            return 0.0
        if (left, right) not in self.best:
            if len(self.best) > MOST_PAIRS:
                raise _TooWide
            ahead = self._steps(left, right)
            most = (share * factor * self._most(*after) for share, factor, *after in ahead)
            self.best[left, right] = max(most, default=0.0)
        return self.best[left, right]

    def _steps(self, left, right):
        """(half or 1, weight, left, right) for each way on, the younger arm going up."""
        if left == right:
            return self._together(left)
        young = max(left, right)
        draw = self._draw(young)
        if draw is None:
            ways = self._parents(young, self.far[left < right])
        elif draw.partner == self.strata.points[min(left, right)]:
            return self._as_pair(draw, left > right)
        else:
            ways = [(1.0, w, one) for w, one in zip(draw.weights, self.above[young], strict=True)]
        if left > right:
            return [(share, weight, one, right) for share, weight, one in ways]
        return [(share, weight, left, one) for share, weight, one in ways]

    def _parents(self, rank, far):
        if far[rank] >= self.depth and self.above[rank]:
            self.cut = True
            return []
        return [(0.5, 1.0, one) for one in self.above[rank]]

    def _together(self, rank):
        """Both arms have reached one drawn parent: they meet in whoever it is."""
        draw = self._draw(rank)
        ways = [(1.0, w, one, one) for w, one in zip(draw.weights, self.above[rank], strict=True)]
        return [*ways, (1.0, draw.rest, NOBODY, rank)] if draw.rest else ways

    def _as_pair(self, draw, turned):
        """The arms have reached the two sides of one pair."""
        rank = self.strata.rank
        pairs = [(w, rank[a], rank[b]) for a, b, w in draw.pairs if NOBODY not in (a, b)]
        return [(1.0, w, *((a, b) if turned else (b, a))) for w, a, b in pairs]

    def _walked(self, state, arms):
        """The animals of both arms after the younger has gone on."""
        side = int(state[0] < state[1])
        walked = [list(arm) for arm in arms]
        if state[0] != state[1] and self._draw(state[side]) is None:
            walked[side].append(state[side])
        return tuple(tuple(arm) for arm in walked)

    def _path(self, state, gain, weight, arms):
        top = Outsider(self._draw(state[1]).name) if state[0] == NOBODY else self._key(state[0])
        left, right = ([self._key(rank) for rank in arm] for arm in arms)
        itself = self._itself(state[0])
        return Path(
            ancestor=top,
            animals=(*left, top, *reversed(right)),
            weight=weight,
            inbreeding=2 * itself - 1,
            contribution=gain * itself,
        )

    def _key(self, rank):
        return self.descent.pedigree.keys[self.strata.points[rank]]
