"""Draws a sketch as SVG that may stand in a page: classes and attributes, no style, no script."""

from dataclasses import dataclass, replace

from registry.charts import canvas
from registry.charts.canvas import DASHES, MARGIN, PAPER, element, group, labelled, line, write
from registry.charts.curves import arrow_head, double_path, path, point_along
from registry.charts.layout import place
from registry.charts.legend import add_legend, legend_height
from registry.charts.lettering import width
from registry.charts.sketch import (
    CODE_SIZE,
    GAP,
    KNOT,
    LEADING,
    PAD,
    SIZE,
    SMALL,
    SYMBOL,
    Direction,
    card_boxes,
    fitted,
    knotted,
    text_box,
)
from registry.charts.symbols import symbol

NARROWEST = 420
FLAG = 11
ALONG = (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8)


def draw(sketch):
    """Lay a sketch out and draw it.

    Returns
    -------
    str
        An `svg` element with a title, a description and, for each card, a link or a labelled
        group. It takes its colour from the page (`currentColor`).

    Raises
    ------
    TooMuchToDraw, LayoutFailed, UnsafeLink
    """
    layout = place(sketch)
    wide = max(layout.width, NARROWEST)
    high = layout.height + legend_height(sketch.legend, wide)
    sheet = canvas.canvas(sketch.kind, sketch.title, sketch.summary, wide, high)
    body = group(sheet, MARGIN, MARGIN)
    _add_strokes(body, sketch, layout)
    _add_knots(body, sketch, layout)
    _add_cards(body, sketch, layout)
    add_legend(body, sketch.legend, layout.height, wide)
    return canvas.finished(sheet)


def _add_strokes(body, sketch, layout):
    """Draw all lines first, so that cards and text lie over them."""
    lines = group(body, aria_hidden="true", class_="strokes")
    for stroke, curve in zip(sketch.strokes, layout.curves, strict=True):
        dashes = DASHES if stroke.dashed else None
        data = double_path(curve) if stroke.double else path(curve)
        line(lines, data, class_=_stroke_class(stroke), stroke_dasharray=dashes)
        if stroke.arrow:
            element(lines, "path", d=arrow_head(curve))


def _stroke_class(stroke):
    """Name the kind of a line for the page's style sheet."""
    kinds = [("uncertain", stroke.dashed), ("related", stroke.double)]
    return " ".join(["stroke", *(name for name, on in kinds if on)])


def _add_knots(body, sketch, layout):
    """Draw the points where strokes meet, and the small text by them and on the strokes."""
    patches = [_Patch.by(knot, sketch.direction, layout) for knot in sketch.knots if knot.lines]
    for stroke, curve in zip(sketch.strokes, layout.curves, strict=True):
        if stroke.label:
            patches.append(_Patch.on(curve, stroke.label, patches))
    small = group(body, aria_hidden="true", class_="knots")
    for knot in sketch.knots:
        if knot.dotted:
            x, y = layout.middles[knot.key]
            element(small, "circle", cx=x, cy=y, r=KNOT / 2, class_="knot")
    for patch in patches:
        patch.add(small)


@dataclass(frozen=True)
class _Patch:
    """Small lines about a point, on paper that hides the strokes beneath."""

    lines: tuple[str, ...]
    x: float
    y: float

    @classmethod
    def by(cls, knot, direction, layout):
        """Place the text of a knot: over a bare one, beneath or beside a point."""
        x, y = layout.middles[knot.key]
        patch = cls(knotted(knot), x, y)
        if not knot.dotted:
            return patch
        if direction == Direction.ACROSS:
            return replace(patch, y=y + KNOT / 2 + patch.high / 2)
        return replace(patch, x=x + KNOT / 2 + 2 + patch.wide / 2)

    @classmethod
    def on(cls, curve, label, taken):
        """Place the label of a stroke at the middle, or where it covers no other text."""
        places = [cls((label,), *point_along(curve, part)) for part in ALONG]
        free = (one for one in places if not any(one.covers(other) for other in taken))
        return next(free, places[0])

    @property
    def wide(self):
        return max(width(words, SMALL) for words in self.lines) + 4

    @property
    def high(self):
        return LEADING * len(self.lines)

    def covers(self, other):
        """Say whether two patches overlap."""
        across = abs(self.x - other.x) < (self.wide + other.wide) / 2
        return across and abs(self.y - other.y) < (self.high + other.high) / 2

    def add(self, parent):
        """Draw the patch."""
        left, top = self.x - self.wide / 2, self.y - self.high / 2
        element(parent, "rect", x=left, y=top, width=self.wide, height=self.high, **PAPER)
        for number, words in enumerate(self.lines):
            y = top + LEADING * (number + 0.5) + SMALL * 0.36
            write(parent, words, self.x, y, font_size=SMALL, text_anchor="middle")


def _add_cards(body, sketch, layout):
    """Draw the animals: for each a frame, its symbol and its lines."""
    boxes = card_boxes(sketch)
    for card in sketch.cards:
        (x, y), (wide, high) = layout.middles[card.key], boxes[card.key]
        drawn = labelled(body, card.spoken, card.href, class_=" ".join(["card", *card.classes]))
        at = group(drawn, x - wide / 2, y - high / 2)
        _add_frame(at, card, wide, high)
        FILLED[sketch.direction](at, card, wide, high)


def _add_frame(at, card, wide, high):
    """Draw the frame: heavy round one that is asked about, with a filled corner for a flag."""
    size = {"x": 0.0, "y": 0.0, "width": wide, "height": high, "rx": 5}
    pen = {"stroke": "currentColor", "stroke_width": 2.6 if card.heavy else 0.8}
    faint = {} if card.heavy else {"stroke_opacity": "0.4"}
    element(at, "rect", class_="frame", fill="none", **size, **pen, **faint)
    if card.flagged:
        corner = f"M{wide - FLAG:.1f},0H{wide:.1f}V{FLAG}Z"
        element(at, "path", d=corner, class_="flag")


def _fill_beside(at, card, wide, high):
    """Draw the symbol with the lines to its right."""
    _, text_high = text_box(card)
    _add_symbol(at, card, PAD + SYMBOL / 2, high / 2)
    _write_lines(at, card, PAD + SYMBOL + GAP, (high - text_high) / 2, "start")


def _fill_beneath(at, card, wide, high):
    """Draw the symbol with the lines beneath it."""
    _add_symbol(at, card, wide / 2, PAD + SYMBOL / 2)
    _write_lines(at, card, wide / 2, PAD + SYMBOL + GAP / 2, "middle")


FILLED = {Direction.ACROSS: _fill_beside, Direction.DOWN: _fill_beneath}


def _add_symbol(at, card, x, y):
    """Draw the symbol of a card."""
    symbol(at, card.shape, x, y, sign=card.sign, dashed=card.dashed, slashed=card.slashed)


def _write_lines(at, card, x, top, anchor):
    """Write the name of a card in bold and the rest smaller."""
    first, *rest = fitted(card)
    y = top + LEADING - 1
    write(at, first, x, y, font_size=CODE_SIZE, font_weight="bold", text_anchor=anchor)
    for number, words in enumerate(rest, start=1):
        write(at, words, x, y + number * LEADING, font_size=SIZE, text_anchor=anchor)
