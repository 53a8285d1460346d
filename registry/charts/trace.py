"""A contact trace as a picture: who met whom, with the day on every step."""

from dataclasses import dataclass
from enum import StrEnum

from registry.charts.pedigree import Animal


class Way(StrEnum):
    """How a meeting came about."""

    DIRECT = "together"
    ENCLOSURE = "through the enclosure"
    THINGS = "things moved"
    UNIT = "same unit only"


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step of a trace, from `source` to `target`; `day` is a date already written out."""

    source: str
    target: str
    day: str
    way: Way = Way.DIRECT
    place: str = ""


@dataclass(frozen=True, kw_only=True)
class Trace:
    """A trace as drawn: the animals with their standing as notes, the steps, whence it starts."""

    animals: tuple[Animal, ...]
    steps: tuple[Step, ...]
    start: tuple[str, ...]
