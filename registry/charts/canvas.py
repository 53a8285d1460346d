"""The sheet a picture is drawn on: SVG elements whose attributes any policy for styles allows."""

from hashlib import sha256
from xml.etree import ElementTree

from registry.charts.lettering import clean

MARGIN = 14
DASHES = "5 3"
FONT = "system-ui, sans-serif"
PAPER = {"class_": "paper", "fill": "Canvas"}
LINKS = ("/", "#", "?", "http://", "https://")


class UnsafeLink(ValueError):
    """A link that leads neither to a page of the site nor to the web; carries the `href`."""

    def __init__(self, href):
        super().__init__(f"A picture does not link to {href!r}.")
        self.href = href


def canvas(kind, title, summary, width, height):
    """Make an empty picture of a size in pixels, named and described for a screen reader.

    The class is "chart" and "chart-" with the kind; the colour of lines and text is the page's.
    """
    wide, high = f"{width + 2 * MARGIN:.0f}", f"{height + 2 * MARGIN:.0f}"
    size = {"viewBox": f"0 0 {wide} {high}", "width": wide, "height": high}
    svg = ElementTree.Element("svg", {"xmlns": "http://www.w3.org/2000/svg", **size})
    svg.attrib |= {"font-family": FONT, "fill": "currentColor"}
    identified(svg, kind, clean(title), clean(summary))
    return svg


def identified(svg, kind, title, summary):
    """Give a picture its classes and, for a screen reader, its name and description."""
    name = "chart-" + sha256(f"{kind} {title} {summary}".encode()).hexdigest()[:10]
    svg.attrib |= {
        "class": f"chart chart-{kind}",
        "role": "group",
        "aria-labelledby": f"{name}-title",
        "aria-describedby": f"{name}-summary",
    }
    for place, (tag, words) in enumerate((("title", title), ("desc", summary))):
        part = ElementTree.Element(tag, {"id": f"{name}-{'summary' if place else 'title'}"})
        part.text = words
        svg.insert(place, part)


def element(parent, tag, **attributes):
    """Add an element; numbers are rounded, `class_` is the class, `_` in a name is a hyphen."""
    named = {name.rstrip("_").replace("_", "-"): value for name, value in attributes.items()}
    told = {name: _written(value) for name, value in named.items() if value not in (None, "")}
    return ElementTree.SubElement(parent, tag, told)


def _written(value):
    """Write an attribute, numbers with one decimal."""
    return f"{round(value, 1):g}" if isinstance(value, float) else str(value)


def group(parent, x=0.0, y=0.0, **attributes):
    """Add a group whose origin is shifted."""
    if x or y:
        attributes["transform"] = f"translate({_written(float(x))},{_written(float(y))})"
    return element(parent, "g", **attributes)


def labelled(parent, spoken, href="", **attributes):
    """Add a group that a screen reader names, a link if it leads somewhere; raises UnsafeLink."""
    spoken = clean(spoken)
    if href:
        made = element(parent, "a", href=_safe(href), aria_label=spoken, **attributes)
    else:
        made = element(parent, "g", role="img", aria_label=spoken, **attributes)
    element(made, "title").text = spoken
    return made


def _safe(href):
    """Let a link pass that cannot run anything."""
    if not href.startswith(LINKS):
        raise UnsafeLink(href)
    return href


def write(parent, words, x, y, **attributes):
    """Add a line of text, kept apart from the direction of the text around it."""
    written = element(parent, "text", x=float(x), y=float(y), unicode_bidi="isolate", **attributes)
    written.text = clean(words)
    return written


def line(parent, data, **attributes):
    """Add a path drawn with the page's colour."""
    pen = {"fill": "none", "stroke": "currentColor", "stroke_width": 1.2}
    return element(parent, "path", d=data, **(pen | attributes))


def finished(svg):
    """Write a picture out as text."""
    return ElementTree.tostring(svg, encoding="unicode")
