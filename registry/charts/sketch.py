"""What is to be drawn, before anything has a place: cards, knots between them, and strokes."""

from dataclasses import dataclass
from enum import StrEnum

from registry.charts.lettering import clean, cut, width

SYMBOL = 26
PAD = 7
GAP = 8
LEADING = 14
SIZE, CODE_SIZE, SMALL = 11, 13, 10.5
ROOM = 168
KNOT = 7


class Direction(StrEnum):
    """Which way time runs in a picture."""

    DOWN = "down"
    ACROSS = "across"


class Shape(StrEnum):
    """The outline of a symbol."""

    SQUARE = "square"
    CIRCLE = "circle"
    DIAMOND = "diamond"


@dataclass(frozen=True, kw_only=True)
class Card:
    """A symbol with lines of text beside or beneath it, the first line being its name.

    `spoken` is the whole in one sentence, for a screen reader and as a tool tip. `classes` are
    for the page's style sheet; `heavy` and `flagged` are drawn as well.
    """

    key: str
    shape: Shape
    lines: tuple[str, ...]
    spoken: str
    sign: str = ""
    dashed: bool = False
    slashed: bool = False
    heavy: bool = False
    flagged: bool = False
    href: str = ""
    classes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Knot:
    """A point where strokes meet, with small text by it; `dotted` ones show the point."""

    key: str
    lines: tuple[str, ...] = ()
    dotted: bool = True


@dataclass(frozen=True, kw_only=True)
class Stroke:
    """A line from one card or knot to another."""

    tail: str
    head: str
    label: str = ""
    dashed: bool = False
    double: bool = False
    arrow: bool = False


@dataclass(frozen=True, kw_only=True)
class Sketch:
    """A whole picture to be laid out; `legend` pairs the name of a sign with what it means."""

    title: str
    summary: str
    cards: tuple[Card, ...]
    knots: tuple[Knot, ...] = ()
    strokes: tuple[Stroke, ...] = ()
    direction: Direction = Direction.ACROSS
    legend: tuple[tuple[str, str], ...] = ()
    kind: str = "pedigree"


def fitted(card):
    """Give the lines of a card as drawn: clean, and cut to the room there is."""
    first, *rest = [clean(line) for line in card.lines] or [""]
    drawn = [cut(first, ROOM, CODE_SIZE, bold=True)]
    return (*drawn, *(cut(line, ROOM, SIZE) for line in rest if line))


def knotted(knot):
    """Give the lines of a knot as drawn."""
    return tuple(cut(clean(line), ROOM, SMALL) for line in knot.lines)


def text_box(card):
    """Measure the text of a card: width and height."""
    first, *rest = fitted(card)
    widths = [width(first, CODE_SIZE, bold=True), *(width(line, SIZE) for line in rest)]
    return max(widths), LEADING * (1 + len(rest)) + 2


def card_boxes(sketch):
    """Measure the cards of a sketch by key: width and height, alike along the way time runs."""
    boxes = {card.key: MEASURED[sketch.direction](card) for card in sketch.cards}
    widest = max((wide for wide, _ in boxes.values()), default=0)
    highest = max((high for _, high in boxes.values()), default=0)
    if sketch.direction == Direction.ACROSS:
        return {key: (widest, high) for key, (_, high) in boxes.items()}
    return {key: (wide, highest) for key, (wide, _) in boxes.items()}


def _box_beside(card):
    """Measure a card whose text stands beside its symbol."""
    wide, high = text_box(card)
    return SYMBOL + GAP + wide + 2 * PAD, max(SYMBOL, high) + 2 * PAD


def _box_beneath(card):
    """Measure a card whose text stands beneath its symbol."""
    wide, high = text_box(card)
    return max(SYMBOL + 2 * PAD, wide) + 2 * PAD, SYMBOL + GAP / 2 + high + 2 * PAD


MEASURED = {Direction.ACROSS: _box_beside, Direction.DOWN: _box_beneath}


def knot_box(knot, direction):
    """Measure a knot so that its point is the middle of the box."""
    lines = knotted(knot)
    wide = max((width(line, SMALL) for line in lines), default=0)
    high = LEADING * len(lines)
    if not knot.dotted:
        return max(wide + 6, KNOT), max(high + 4, KNOT)
    if direction == Direction.ACROSS:
        return max(wide, KNOT), KNOT + 2 * high
    return KNOT + 2 * (wide + 4 if wide else 0), max(high, KNOT)
