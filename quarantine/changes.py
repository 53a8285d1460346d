"""What later entries change: evidence under a signature, and release days that move.

A signature keeps the points that were unmet when it was given (none, unless a veterinarian
overrides). Later the rules are run again for the day it was signed for, on all that is known now.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from quarantine.clock import NotOpened, true_on
from quarantine.entries import entered_by
from quarantine.evidence import Facts
from quarantine.readings import Point, Reading, Start, Unmet


@dataclass(frozen=True, kw_only=True, slots=True)
class Signature:
    """A release signed for ``day``: the points then listed as unmet, and day zero as it was."""

    batch: str
    day: date
    listed: frozenset[Point]
    zero: date


@dataclass(frozen=True, kw_only=True, slots=True)
class ChangedEvidence:
    """For the day of signing the rules now say no: for ``unlisted`` points or a later day zero.

    ``zero`` is the later day zero, ``None`` where it has not moved.
    """

    signature: Signature
    unlisted: tuple[Unmet, ...]
    zero: Start | None
    reading: Reading


@dataclass(frozen=True, kw_only=True, slots=True)
class Delay:
    """An act moves the best release day of a batch from ``before`` to ``after``.

    ``days`` is by how many; it and ``after`` are ``None`` where no day can be told any more
    (``reading.barred_by`` says why).
    """

    batch: str
    before: date
    after: date | None
    days: int | None
    reading: Reading


def signature(facts: Facts, day: date, entered: date) -> Signature:
    """Return what a signature for a day lists, on the evidence known on the day it is entered.

    A new signature for the same day settles changed evidence in this way.
    """
    reading = true_on(entered_by(facts, entered), day)
    return Signature(
        batch=facts.batch,
        day=day,
        listed=frozenset(unmet.point for unmet in reading.unmet),
        zero=reading.expected_zero.day,
    )


def changed_evidence(facts: Facts, signed: Signature) -> ChangedEvidence | None:
    """Return what now speaks against a signature, ``None`` if nothing new does.

    To ask as known on a day, pass ``entered_by(facts, day)``. The signature's ``listed`` points may
    come from stored lists: they are compared as tuples of texts.
    """
    reading = true_on(facts, signed.day)
    unlisted = tuple(unmet for unmet in reading.unmet if unmet.point not in signed.listed)
    moved = reading.expected_zero.day > signed.zero and not reading.possible
    if not unlisted and not moved:
        return None
    return ChangedEvidence(
        signature=signed,
        unlisted=unlisted,
        zero=reading.expected_zero if moved else None,
        reading=reading,
    )


def delay(before: Facts, after: Facts, day: date) -> Delay | None:
    """Return by how much an act delays a batch: its facts without and with the act, on a day.

    ``None`` where the best release day stays, comes nearer, was not known before, or where the act
    leaves nobody to release.
    """
    was, now = _reading(before, day), _reading(after, day)
    if not was or not was.best or not now or not now.living:
        return None
    if now.best and now.best <= was.best:
        return None
    return Delay(
        batch=after.batch,
        before=was.best,
        after=now.best,
        days=(now.best - was.best).days if now.best else None,
        reading=now,
    )


def _reading(facts: Facts, day: date) -> Reading | None:
    try:
        return true_on(facts, day)
    except NotOpened:
        return None


def delays(pairs: Iterable[tuple[Facts, Facts]], day: date) -> Iterator[Delay]:
    """Yield the delay of each batch that an act delays, from (before, after) facts of each."""
    for before, after in pairs:
        if found := delay(before, after, day):
            yield found
