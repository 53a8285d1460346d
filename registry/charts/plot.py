"""Plots without a browser: an Altair chart becomes SVG that may stand in a page."""

from xml.etree import ElementTree

import altair
import vl_convert

from registry.charts.apart import done_apart
from registry.charts.canvas import FONT, identified
from registry.charts.lettering import clean
from registry.charts.lightened import lighten

SVG = "http://www.w3.org/2000/svg"
INK = "currentColor"
QUIET = {"gridColor": INK, "gridOpacity": 0.15, "domainColor": INK, "tickColor": INK}
TEXT = {"labelColor": INK, "titleColor": INK, "labelFont": FONT, "titleFont": FONT}
SIZES = {"labelFontSize": 11, "titleFontSize": 11, "titleFontWeight": "normal"}
NEVER = ("style", "script", "foreignObject", "image")

ElementTree.register_namespace("", SVG)


class UnsafePicture(RuntimeError):
    """A drawing holds what a page must not: a script, a style, a picture from elsewhere."""


def data(rows):
    """Give rows, a list of dicts, to a chart."""
    return altair.InlineData(values=list(rows))


def distinct(names):
    """Clean names and number those met again, since a plot puts equal names in one place.

    >>> distinct(["E-1", "E-2", "E-1"])
    ['E-1', 'E-2', 'E-1 (2)']
    """
    seen, told = {}, []
    for name in map(clean, names):
        seen[name] = seen.get(name, 0) + 1
        told.append(name if seen[name] == 1 else f"{name} ({seen[name]})")
    return told


def drawn(chart, *, kind, title, summary):
    """Draw a chart.

    Parameters
    ----------
    chart : altair chart
        All text in its data cleaned; constants coloured `INK`.
    kind : str
        Names the class, "chart-" and the kind.
    title, summary : str
        What a screen reader says of the picture.

    Returns
    -------
    str
        An `svg` element without script, style element or style attribute.
    """
    spec = _inked(chart).to_dict(context={"pre_transform": False})
    return _finished(vl_convert.vegalite_to_svg(spec), kind, clean(title), clean(summary))


def drawn_apart(chart, *, kind, title, summary):
    """Draw a chart of thousands of marks as `drawn` does, without holding up the site meanwhile.

    Raises LayoutFailed where it is not ready in time.
    """
    spec = _inked(chart).to_json(indent=None, context={"pre_transform": False})
    return _finished(done_apart("plot", spec).decode(), kind, clean(title), clean(summary))


def _finished(svg, kind, title, summary):
    """Check what was drawn, and name it for a screen reader and for the page's style sheet."""
    root = ElementTree.fromstring(svg)
    _refuse_unsafe(root)
    for part in root.iter():
        part.tag = part.tag.removeprefix(f"{{{SVG}}}")
    lighten(root)
    root.set("xmlns", SVG)
    identified(root, kind, title, summary)
    return ElementTree.tostring(root, encoding="unicode")


def _inked(chart):
    """Draw in the page's own colour and face, on no background."""
    return (
        chart.configure(background="transparent", font=FONT)
        .configure_axis(**QUIET, **TEXT, **SIZES)
        .configure_legend(**TEXT, **SIZES, symbolStrokeColor=INK, symbolFillColor=INK)
        .configure_header(**TEXT, **SIZES)
        .configure_title(color=INK, font=FONT, fontSize=12, anchor="start")
        .configure_view(stroke=None)
        .configure_text(color=INK, font=FONT, fontSize=11)
    )


def _refuse_unsafe(root):
    """Make sure that nothing came in that a strict policy would block or that could act."""
    for part in root.iter():
        name = part.tag.removeprefix(f"{{{SVG}}}")
        acts = [a for a in part.attrib if a == "style" or a.startswith("on") or "href" in a]
        if name in NEVER or acts:
            raise UnsafePicture(f"<{name}> with {acts}")
