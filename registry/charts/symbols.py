"""The symbols of animals: square, circle, diamond; a slash, dashes, a sign inside."""

from registry.charts.canvas import DASHES, element, group, line, write
from registry.charts.sketch import SYMBOL, Shape

HALF = SYMBOL / 2
OVER = 5


def symbol(parent, shape, x, y, *, sign="", dashed=False, slashed=False):
    """Draw the symbol of an animal about its middle."""
    drawn = group(parent, x, y, class_=f"symbol {shape.value}")
    outline = SHAPES[shape](drawn)
    outline.attrib |= {"fill": "none", "stroke": "currentColor", "stroke-width": "1.6"}
    if dashed:
        outline.set("stroke-dasharray", DASHES)
    if sign:
        write(drawn, sign, 0, 4.5, font_size=13, font_weight="bold", text_anchor="middle")
    if slashed:
        far = HALF + OVER
        line(drawn, f"M{-far:g},{far:g}L{far:g},{-far:g}", class_="slash", stroke_width=1.6)


def _square(parent):
    side = SYMBOL - 3
    return element(parent, "rect", x=-side / 2, y=-side / 2, width=side, height=side)


def _circle(parent):
    return element(parent, "circle", r=HALF - 1)


def _diamond(parent):
    return element(parent, "path", d=f"M0,{-HALF:g}L{HALF:g},0L0,{HALF:g}L{-HALF:g},0Z")


SHAPES = {Shape.SQUARE: _square, Shape.CIRCLE: _circle, Shape.DIAMOND: _diamond}
