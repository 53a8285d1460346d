"""The legend of a picture: what each sign in it means, in as many rows as needed."""

from functools import partial

from registry.charts.canvas import DASHES, element, group, line, write
from registry.charts.curves import arrow_head
from registry.charts.happenings import MARKS, course_line, outline_bar, solid_bar
from registry.charts.lettering import width
from registry.charts.sketch import SMALL, Shape
from registry.charts.symbols import symbol

ROW = 30
SIGN = 40
APART = 18


def legend_height(entries, wide):
    """Say how high the legend is at a width, in pixels."""
    return ROW * len(_rows(entries, wide)) + (APART if entries else 0)


def add_legend(body, entries, top, wide):
    """Draw the legend below a picture; it is for the eye, the words say the same elsewhere."""
    drawn = group(body, 0, top + APART, aria_hidden="true", class_="legend")
    for number, row in enumerate(_rows(entries, wide)):
        x = 0.0
        for sign, words in row:
            SIGNS[sign](group(drawn, x, ROW * (number + 0.5)))
            write(drawn, words, x + SIGN, ROW * (number + 0.5) + SMALL * 0.36, font_size=SMALL)
            x += _room(words)


def _room(words):
    """Say how wide one entry is."""
    return SIGN + width(words, SMALL) + APART


def _rows(entries, wide):
    """Break the entries into rows that fit."""
    rows, left = [], 0
    for entry in entries:
        if not rows or _room(entry[1]) > left + APART:
            rows.append([])
            left = wide
        rows[-1].append(entry)
        left -= _room(entry[1])
    return rows


def _sign_of(shape, **look):
    """Make the drawing of a symbol as a sign."""
    return lambda at: symbol(at, shape, SIGN / 2 - 4, 0, **look)


def _stroke(at, data="M2,0H32", **look):
    line(at, data, **look)


def _arrow(at, **look):
    line(at, "M2,0H30", **look)
    element(at, "path", d=arrow_head([(2, 0), (12, 0), (22, 0), (32, 0)]))


def _frame(at, **look):
    element(
        at, "rect", x=2, y=-9, width=30, height=18, rx=4, fill="none", stroke="currentColor", **look
    )


def _flagged(at):
    _frame(at, stroke_width=0.8)
    element(at, "path", d="M21,-9H32V2Z")


def _centred(draw, at):
    draw(group(at, SIGN / 2 - 4))


SIGNS = {
    "male": _sign_of(Shape.SQUARE),
    "female": _sign_of(Shape.CIRCLE),
    "unsexed": _sign_of(Shape.DIAMOND),
    "weak": _sign_of(Shape.CIRCLE, dashed=True),
    "contradicted": _sign_of(Shape.DIAMOND, sign="!"),
    "dead": _sign_of(Shape.SQUARE, slashed=True),
    "asked": lambda at: _frame(at, stroke_width=2.6),
    "common": _flagged,
    "uncertain": lambda at: _stroke(at, stroke_dasharray=DASHES),
    "related": lambda at: _stroke(at, "M2,-1.7H32M2,1.7H32"),
    "group": _sign_of(Shape.DIAMOND, sign="n"),
    "arrow": _arrow,
    "apart": lambda at: _arrow(at, stroke_dasharray=DASHES),
    "start": lambda at: _frame(at, stroke_width=2.6),
    "uncounted": lambda at: outline_bar(at, 2, 32, -7, 14),
    "counted": lambda at: solid_bar(at, 3, 32, -7, 14),
    "forecast": lambda at: outline_bar(at, 2, 32, -7, 14, dashed=True),
    "course": lambda at: course_line(at, 2, 32, 0, open_end=False),
    **{kind.value: partial(_centred, draw) for kind, draw in MARKS.items()},
}
