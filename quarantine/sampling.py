"""Which samples of a test count, and the earliest day it can be met: exact, by greedy choice.

Days are proleptic ordinals (``date.toordinal``), so that they are added and compared fast. The
greedy choice is the best one: whichever samples meet a test, taking each as early as the gap
allows meets it no later.
"""

from bisect import bisect_left
from collections.abc import Iterable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True, slots=True)
class Window:
    """When samples of one test count, and how many are asked.

    A sample counts from ``first_from``, the last one from ``last_from``, and not in ``washouts``
    (first and last day, both included). ``laboratory`` is the days until a result, 1 or more.
    """

    negatives: int
    gap: int
    first_from: int
    last_from: int
    laboratory: int
    today: int
    washouts: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan:
    """How far a test is: negatives counted, the days of those to come, the day it is met."""

    counted: int
    to_come: tuple[int, ...]
    ready: int


def counts(taken: int, window: Window) -> bool:
    """Tell whether a sample of a day can count at all.

    >>> window = Window(negatives=1, gap=0, first_from=10, last_from=10, laboratory=7, today=0,
    ...                 washouts=((12, 20),))
    >>> [day for day in range(9, 23) if counts(day, window)]
    [10, 11, 21, 22]
    """
    return taken >= window.first_from and free_from(taken, window) == taken


def free_from(day: int, window: Window) -> int:
    """Return the first day from ``day`` on that is in no washout."""
    for first, last in sorted(window.washouts):
        if first <= day <= last:
            day = last + 1
    return day


def pick(taken: Iterable[int], window: Window) -> list[int]:
    """Pick all samples but the last as early as the gap allows, then the earliest that may be last.

    >>> window = Window(negatives=2, gap=14, first_from=0, last_from=28, laboratory=7, today=50)
    >>> pick([0, 13, 14, 27, 30], window)
    [0, 30]
    """
    picked: list[int] = []
    for day in sorted(taken):
        if len(picked) < window.negatives and day >= _next_from(picked, window):
            picked.append(day)
    return picked


def _next_from(picked: Sequence[int], window: Window) -> int:
    earliest = picked[-1] + window.gap if picked else window.first_from
    return max(earliest, window.last_from) if len(picked) == window.negatives - 1 else earliest


def plan(samples: Sequence[tuple[int, int]], window: Window) -> Plan:
    """Return the earliest way to meet a test with (taken, result known) samples that count.

    A missing sample is taken on the first day allowed, today at the earliest.

    >>> window = Window(negatives=2, gap=14, first_from=0, last_from=28, laboratory=7, today=20)
    >>> plan([(0, 20), (18, 25)], window)
    Plan(counted=1, to_come=(28,), ready=35)
    """
    counted = len(pick(_known_by(samples, window.today), window))
    picked = pick((taken for taken, _ in samples), window)
    to_come = _to_come(picked, window)
    ready = to_come[-1] + window.laboratory if to_come else _last_result(samples, window)
    return Plan(counted=counted, to_come=tuple(to_come), ready=ready)


def _known_by(samples, day):
    return [taken for taken, known in samples if known <= day]


def _to_come(picked: list[int], window: Window) -> list[int]:
    chosen = list(picked)
    while len(chosen) < window.negatives:
        chosen.append(free_from(max(_next_from(chosen, window), window.today), window))
    return chosen[len(picked) :]


def _last_result(samples, window):
    """Return the first day on which the results known by then meet the test."""
    days = sorted({max(known, window.today) for _, known in samples})
    met = lambda day: len(pick(_known_by(samples, day), window)) >= window.negatives  # noqa: E731
    return days[bisect_left(days, True, key=met)]
