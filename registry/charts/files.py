"""Pictures as files: one SVG picture becomes an SVG file, a PNG or a PDF that all look the same."""

from xml.etree import ElementTree

from registry.charts.apart import done_apart

SVG = "http://www.w3.org/2000/svg"
INK, PAPER = "#1a1a1a", "#ffffff"
MOST_PIXELS = 25_000_000
SHARPNESS = 2.0

ElementTree.register_namespace("", SVG)


def svg_file(svg):
    """Make a picture stand alone: dark ink on white paper, and no links, which lead nowhere there.

    Parameters
    ----------
    svg : str
        A picture as `drawing.draw` or a plot gives it.

    Returns
    -------
    bytes
        An SVG file in UTF-8.
    """
    return ElementTree.tostring(_alone(svg), encoding="utf-8", xml_declaration=True)


def png_file(svg):
    """Make a PNG in greys, twice as fine as the page, less fine past 25 million pixels.

    Raises LayoutFailed, as `pdf_file` does, where the file is not ready in time.
    """
    alone = _alone(svg)
    pixels = float(alone.get("width")) * float(alone.get("height"))
    scale = min(SHARPNESS, (MOST_PIXELS / pixels) ** 0.5)
    return done_apart("png", ElementTree.tostring(alone, encoding="unicode"), str(scale))


def pdf_file(svg):
    """Make a PDF of one page, with its text as text."""
    return done_apart("pdf", ElementTree.tostring(_alone(svg), encoding="unicode"))


def _alone(svg):
    """Set ink and paper, and turn links into groups."""
    root = ElementTree.fromstring(svg)
    root.set("color", INK)
    sheet = {"width": root.get("width"), "height": root.get("height"), "fill": PAPER}
    title_and_description = sum(
        child.tag in (f"{{{SVG}}}title", f"{{{SVG}}}desc") for child in root
    )
    root.insert(title_and_description, ElementTree.Element(f"{{{SVG}}}rect", sheet))
    for part in root.iter():
        if part.get("fill") == "Canvas":
            part.set("fill", PAPER)
        if part.tag == f"{{{SVG}}}a":
            part.tag = f"{{{SVG}}}g"
            part.attrib.pop("href", None)
    return root
