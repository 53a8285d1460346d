"""Where everything goes: Graphviz places boxes and lines, in a process of its own."""

import json
from dataclasses import dataclass
from functools import lru_cache
from itertools import batched

from registry.charts.apart import LayoutFailed, done_apart
from registry.charts.dot import skeleton

from ..telling import tell

__all__ = ["Layout", "LayoutFailed", "TooMuchToDraw", "place"]

MOST = 6000


class TooMuchToDraw(ValueError):
    """A picture has more parts than a picture can show; carries `parts` and `most`."""

    def __init__(self, parts):
        super().__init__(
            tell(
                "The picture would have {parts} parts, and {MOST} is the most that "
                "can be drawn. Choose fewer generations.",
                parts=parts,
                MOST=MOST,
            )
        )
        self.parts, self.most = parts, MOST


@dataclass(frozen=True, kw_only=True)
class Layout:
    """Places in pixels, the origin top left: middles by key, and a curve for each stroke.

    A curve is a point followed by three points (two of control, one on the line) for each bend.
    """

    width: float
    height: float
    middles: dict[str, tuple[float, float]]
    curves: tuple[tuple[tuple[float, float], ...], ...]


def place(sketch):
    """Lay a sketch out; raises TooMuchToDraw or LayoutFailed."""
    parts = len(sketch.cards) + len(sketch.knots) + len(sketch.strokes)
    if parts > MOST:
        raise TooMuchToDraw(parts)
    if not sketch.cards:
        return Layout(width=0, height=0, middles={}, curves=())
    keys = [item.key for item in (*sketch.cards, *sketch.knots)]
    return _read(_places(skeleton(sketch)), keys)


@lru_cache(maxsize=32)
def _places(source):
    """Ask Graphviz for the places; the same graph has the same places, so they are kept."""
    return done_apart("layout", source)


def _read(text, keys):
    """Take the places out of what Graphviz answered, turning its upward axis down."""
    told = json.loads(text)
    _, _, width, height = map(float, told["bb"].split(","))
    middles = {}
    for item in told.get("objects", []):
        x, y = map(float, item["pos"].split(","))
        middles[keys[int(item["name"][1:])]] = (x, height - y)
    edges = sorted(told.get("edges", []), key=lambda edge: int(edge["id"][1:]))
    curves = tuple(_curve(edge["pos"], height) for edge in edges)
    return Layout(width=width, height=height, middles=middles, curves=curves)


def _curve(text, height):
    """Read the points of a line."""
    numbers = [float(part) for point in text.split() for part in point.split(",")]
    return tuple((x, height - y) for x, y in batched(numbers, 2, strict=True))
