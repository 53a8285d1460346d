"""Lays one graph out, or turns one picture into a file, in a process of its own.

Graphviz is not re-entrant and ends the whole process where it gives up; it and the writer of files
hold Python's lock for as long as they work. Here none of that touches the site. Run as a file with
the act to do, never imported; what is given comes on standard input, the answer goes to standard
output.
"""

import io
import sys

MEMORY = 3 * 1024**3
SECONDS = 120


def bound():
    """Bound the memory and the processor time of this process where the system can."""
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))


def layout(given):
    """Let the Graphviz inside pygraphviz place a graph given as DOT; the answer is JSON."""
    import pygraphviz

    return pygraphviz.AGraph(string=given.decode()).draw(format="json0", prog="dot")


def png(given, scale):
    """Turn an SVG into a PNG of greys, which all pictures are: a sixth of the size in colour."""
    import vl_convert
    from PIL import Image

    coloured = vl_convert.svg_to_png(given.decode(), scale=float(scale))
    grey = io.BytesIO()
    Image.open(io.BytesIO(coloured)).convert("L").save(grey, "PNG")
    return grey.getvalue()


def pdf(given):
    """Turn an SVG into a PDF."""
    import vl_convert

    return vl_convert.svg_to_pdf(given.decode())


ACTS = {"layout": layout, "png": png, "pdf": pdf}

if __name__ == "__main__":
    bound()
    _, act, *how = sys.argv
    sys.stdout.buffer.write(ACTS[act](sys.stdin.buffer.read(), *how))
