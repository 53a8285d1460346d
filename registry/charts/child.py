"""Lays one graph out, draws one plot, or makes one file of a picture, in a process of its own.

Graphviz is not re-entrant and ends the whole process where it gives up; it and the writer of files
hold Python's lock for as long as they work. Here none of that touches the site. Run as a file with
the act to do, never imported; what is given comes on standard input, the answer goes to standard
output.
"""

import io
import sys

MEMORY = 3 * 1024**3
SECONDS = 120


def bound(**limits):
    """Bound this process, AS for its memory and CPU for its seconds, where the system can."""
    try:
        import resource
    except ImportError:
        return
    for name, most in limits.items():
        kind = getattr(resource, f"RLIMIT_{name}")
        _, hard = resource.getrlimit(kind)
        most = most if hard == resource.RLIM_INFINITY else min(most, hard)
        resource.setrlimit(kind, (most, most))


def layout(given):
    """Let the Graphviz inside pygraphviz place a graph given as DOT; the answer is JSON."""
    bound(AS=MEMORY)
    import pygraphviz

    return pygraphviz.AGraph(string=given.decode()).draw(format="json0", prog="dot")


def png(given, scale):
    """Turn an SVG into a PNG of greys, which all pictures are: a sixth of the size in colour."""
    bound(AS=MEMORY)
    import vl_convert
    from PIL import Image

    coloured = vl_convert.svg_to_png(given.decode(), scale=float(scale))
    grey = io.BytesIO()
    Image.open(io.BytesIO(coloured)).convert("L").save(grey, "PNG")
    return grey.getvalue()


def pdf(given):
    """Turn an SVG into a PDF."""
    bound(AS=MEMORY)
    import vl_convert

    return vl_convert.svg_to_pdf(given.decode())


def plot(given):
    """Turn the description of a plot, as JSON, into an SVG.

    The engine inside reserves a terabyte of addresses it never uses: memory stays unbounded here.
    """
    import vl_convert

    return vl_convert.vegalite_to_svg(given.decode()).encode()


ACTS = {"layout": layout, "png": png, "pdf": pdf, "plot": plot}

if __name__ == "__main__":
    _, act, *how = sys.argv
    bound(CPU=SECONDS)
    sys.stdout.buffer.write(ACTS[act](sys.stdin.buffer.read(), *how))
