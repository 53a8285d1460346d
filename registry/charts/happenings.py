"""The signs of a batch's bar: a shape for each kind of happening, told apart without colour."""

from registry.charts.batches import Happening
from registry.charts.canvas import DASHES, PAPER, element, group, line, write

R = 6.0


def mark(parent, kind, x, y):
    """Draw the mark of a happening about a point."""
    drawn = group(parent, x, y, class_=f"mark {kind.name.lower()}")
    MARKS[kind](drawn)


def _ring(at, **look):
    return element(at, "circle", r=R, stroke="currentColor", stroke_width=1.4, **look)


def _addition(at):
    element(at, "path", d="M0,-6L6.5,5H-6.5Z", fill="none", stroke="currentColor", stroke_width=1.4)


def _sample(at):
    _ring(at, **PAPER)


def _negative(at):
    _ring(at, **PAPER)
    line(at, "M-3.4,0H3.4", stroke_width=1.8)


def _positive(at):
    disc = f"M{-R:g},0a{R:g},{R:g} 0 1 0 {2 * R:g},0a{R:g},{R:g} 0 1 0 {-2 * R:g},0Z"
    cross = "M-1,-4H1V-1H4V1H1V4H-1V1H-4V-1H-1Z"
    element(at, "path", d=disc + cross, fill_rule="evenodd")


def _inconclusive(at):
    _ring(at, **PAPER)
    write(at, "?", 0, 3.6, font_size=10, font_weight="bold", text_anchor="middle")


def _death(at):
    line(at, "M-5,-5L5,5M-5,5L5,-5", stroke_width=2.4)


def _meeting(at):
    element(at, "path", d="M-7,-5L0,0L-7,5ZM7,-5L0,0L7,5Z")


def _clearance(at):
    side = {"x": -R, "y": -R, "width": 2 * R, "height": 2 * R}
    element(at, "rect", **PAPER, stroke="currentColor", **side)
    line(at, "M-3.5,0L-1,3L4,-3.5", stroke_width=1.8)


MARKS = {
    Happening.ADDITION: _addition,
    Happening.SAMPLE: _sample,
    Happening.NEGATIVE: _negative,
    Happening.POSITIVE: _positive,
    Happening.INCONCLUSIVE: _inconclusive,
    Happening.DEATH: _death,
    Happening.MEETING: _meeting,
    Happening.CLEARANCE: _clearance,
}


def outline_bar(at, left, right, top, high, *, dashed=False):
    """Draw the outline of a stretch of days, dashed where it is a forecast."""
    element(
        at,
        "rect",
        x=left,
        y=float(top),
        width=max(right - left, 0.5),
        height=high,
        fill="none",
        stroke="currentColor",
        stroke_dasharray=DASHES if dashed else None,
        class_="forecast" if dashed else "bar",
    )


def solid_bar(at, left, right, top, high):
    """Draw a stretch of days that count, opened by a stroke that stands for day zero."""
    wide = max(right - left, 0.5)
    size = {"x": left, "y": float(top), "width": wide, "height": high}
    element(at, "rect", **size, fill_opacity="0.3", class_="counted")
    line(at, f"M{left:.1f},{top - 3}V{top + high + 3}", stroke_width=3, class_="zero")


def course_line(at, left, right, y, *, open_end):
    """Draw a treatment from first to last dose, without an end where it is still running."""
    closing = "" if open_end else f"M{right:.1f},{y - 4}v8"
    line(at, f"M{left:.1f},{y - 4}v8M{left:.1f},{y}H{right:.1f}{closing}", stroke_width=1.8)
