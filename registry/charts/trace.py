"""A contact trace as a picture: who met whom, with the day on every step."""

from dataclasses import dataclass
from enum import StrEnum

from registry.charts.lettering import clean
from registry.charts.pedigree import Animal, AnimalNotDescribed
from registry.charts.pedigree_sketch import animal_card, animal_signs, legend_of
from registry.charts.sketch import Direction, Knot, Sketch, Stroke

from ..telling import tell, to_tell


class Way(StrEnum):
    """How a meeting came about."""

    DIRECT = to_tell("together")
    ENCLOSURE = to_tell("through the enclosure")
    THINGS = to_tell("things moved")
    UNIT = to_tell("same unit only")


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


def trace_sketch(trace):
    """Make the sketch of a contact trace, from where it starts to the right.

    Each step is an arrow with its day and place on it, dashed where the two were never together.

    >>> from registry.charts.pedigree import Animal
    >>> ends = [Animal(key=key, code=key) for key in ("D-03", "D-02")]
    >>> step = Step(source="D-03", target="D-02", day="12 Jun 2026", place="E10")
    >>> sketch = trace_sketch(Trace(animals=tuple(ends), steps=(step,), start=("D-03",)))
    >>> sketch.knots[0].lines
    ('12 Jun 2026', 'together, E10')
    """
    steps = list(enumerate(trace.steps))
    return Sketch(
        kind="trace",
        title=_title(trace),
        summary=" ".join([_counted(trace), *said(trace)]),
        cards=tuple(_card(animal, trace) for animal in trace.animals),
        knots=tuple(_knot(number, step) for number, step in steps),
        strokes=tuple(stroke for number, step in steps for stroke in _strokes(number, step)),
        direction=Direction.ACROSS,
        legend=legend_of(_signs(trace)),
    )


def _counted(trace):
    told = {"animals": len(trace.animals), "meetings": len(trace.steps)}
    return tell("{animals} animals and {meetings} meetings.", **told)


def said(trace):
    """Say each step of a trace in a sentence."""
    codes = _codes(trace)
    return tuple(
        clean(
            tell(
                "{one} to {other} on {day}, {way}.",
                one=codes[step.source],
                other=codes[step.target],
                day=step.day,
                way=_way(step),
            )
        )
        for step in trace.steps
    )


def _codes(trace):
    """Give the codes by key; refuse a trace that leads to an animal nobody describes."""
    codes = {animal.key: animal.code for animal in trace.animals}
    ends = [key for step in trace.steps for key in (step.source, step.target)]
    for key in (*trace.start, *ends):
        if key not in codes:
            raise AnimalNotDescribed(key)
    return codes


def _way(step):
    """Say how and where a meeting came about."""
    return f"{tell(step.way)}, {step.place}" if step.place else tell(step.way)


def _title(trace):
    """Name the picture after where the trace starts."""
    codes = _codes(trace)
    return tell("Contacts of {names}", names=", ".join(codes[key] for key in trace.start))


def _card(animal, trace):
    """Make the card of an animal met."""
    starts = animal.key in trace.start
    return animal_card(
        animal, remarks=(tell("the trace starts here"),) if starts else (), heavy=starts
    )


def _knot(number, step):
    """Make the words on a step."""
    return Knot(key=_key(number), lines=(step.day, _way(step)), dotted=False)


def _key(number):
    """Name the words on a step apart from every animal's key."""
    return f"\n{number}"


def _strokes(number, step):
    """Make the two halves of an arrow, its words between them."""
    dashed = step.way != Way.DIRECT
    yield Stroke(tail=step.source, head=_key(number), dashed=dashed)
    yield Stroke(tail=_key(number), head=step.target, dashed=dashed, arrow=True)


def _signs(trace):
    """List the signs that occur."""
    found = {"arrow" if step.way == Way.DIRECT else "apart" for step in trace.steps}
    return animal_signs(trace.animals) | found | ({"start"} if trace.start else set())
