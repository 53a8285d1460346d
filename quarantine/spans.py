"""What the sweep over the days notes of each one: holds, clearances, batches, residues. Pure.

A day is its ordinal (``date.toordinal``); an end is the first day that no longer counts.
"""

from typing import NamedTuple

OWN = ("arrival", "batch", "stay", "hand", "positive")  # reasons other than a meeting or a birth


class Why(NamedTuple):
    """A reason as in ``standing.Reason``, its day an ordinal."""

    kind: str
    day: int
    source: str = ""
    batch: str = ""
    how: str = ""
    enclosure: str = ""
    key: str = ""


class Now(NamedTuple):
    """What one is since a day: held for reasons, or cleared."""

    since: int
    held: bool
    whys: tuple = ()


class Past(NamedTuple):
    """What one was from ``since`` up to ``end``; ``ended`` says by what."""

    since: int
    end: int
    held: bool
    whys: tuple
    ended: str


class In(NamedTuple):
    """In a batch since a day: ``named`` by a membership, else for want of one; ``via`` a parent."""

    batch: str
    since: int
    named: bool
    via: str = ""


class Was(NamedTuple):
    """Was in a batch from a day up to, not including, another."""

    batch: str
    since: int
    end: int
    named: bool
    via: str


class Residue(NamedTuple):
    """What a held one left in an enclosure: in force from ``placed`` up to ``until``, included."""

    who: str
    left: int
    placed: int
    until: int
    how: str
    batch: str
