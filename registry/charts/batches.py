"""Quarantine batches on a time line: a bar for each, with what happened to it and the forecast."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from ..telling import to_tell


class Happening(StrEnum):
    """What a mark on a batch's bar stands for; each kind has a shape of its own."""

    ADDITION = to_tell("animal added")
    SAMPLE = to_tell("sample taken")
    NEGATIVE = to_tell("result negative")
    POSITIVE = to_tell("result positive")
    INCONCLUSIVE = to_tell("result inconclusive")
    DEATH = to_tell("death")
    MEETING = to_tell("met a held animal")
    CLEARANCE = to_tell("clearance signed")


@dataclass(frozen=True, kw_only=True)
class Mark:
    """One thing that happened to a batch on a day; `text` says it in full."""

    day: date
    kind: Happening
    text: str = ""


@dataclass(frozen=True, kw_only=True)
class Course:
    """A course of treatment, first to last dose, both included; `last` is planned if running."""

    first: date
    last: date
    text: str = ""
    running: bool = False


@dataclass(frozen=True, kw_only=True)
class Batch:
    """A batch as drawn, from the day it opened to the day it closed or to the day asked.

    `zero` is day zero on the day asked, `best` the best release day of the forecast where there
    is one, `said` the sentence that tells how the batch stands.
    """

    code: str
    opened: date
    zero: date
    closed: date | None = None
    best: date | None = None
    said: str = ""
    marks: tuple[Mark, ...] = ()
    courses: tuple[Course, ...] = ()
    href: str = ""
