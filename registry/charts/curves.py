"""Lines of a picture: the paths of curves, of double lines, and points along them."""

from itertools import pairwise
from math import hypot

PARTS = 16
APART = 1.7


def path(points):
    """Write a curve (a point, then three for each bend) as the data of an SVG path."""
    start, *rest = points
    bends = (rest[at : at + 3] for at in range(0, len(rest), 3))
    return f"M{_at(start)}" + "".join(f"C{' '.join(map(_at, bend))}" for bend in bends)


def double_path(points):
    """Write two lines that run beside a curve, as the data of one SVG path."""
    along = sampled(points)
    return " ".join(_straight(_beside(along, side)) for side in (APART, -APART))


def sampled(points):
    """Walk a curve in short straight steps."""
    walked = [points[0]]
    for at in range(0, len(points) - 3, 3):
        bend = points[at : at + 4]
        walked += [_on(bend, step / PARTS) for step in range(1, PARTS + 1)]
    return walked


def point_along(points, part):
    """Find the point at a part (0 to 1) of the length of a curve."""
    walked = sampled(points)
    lengths = [hypot(bx - ax, by - ay) for (ax, ay), (bx, by) in pairwise(walked)]
    left = part * sum(lengths)
    for (a, b), length in zip(pairwise(walked), lengths, strict=True):
        if length and left <= length:
            return tuple(p + (q - p) * left / length for p, q in zip(a, b, strict=True))
        left -= length
    return walked[-1]


def arrow_head(points, size=8):
    """Write the triangle at the end of a curve, pointing along it, as the data of an SVG path."""
    tip, before = points[-1], point_along(points, 0.9)
    along = (tip[0] - before[0], tip[1] - before[1])
    length = hypot(*along) or 1
    ux, uy = along[0] / length, along[1] / length
    foot = (tip[0] - size * ux, tip[1] - size * uy)
    wings = [(foot[0] + side * uy, foot[1] - side * ux) for side in (size / 2.4, -size / 2.4)]
    return f"{_straight([tip, *wings])}Z"


def _on(bend, t):
    """Find a point of a cubic Bezier curve (de Casteljau)."""
    while len(bend) > 1:
        bend = [(ax + (bx - ax) * t, ay + (by - ay) * t) for (ax, ay), (bx, by) in pairwise(bend)]
    return bend[0]


def _beside(walked, apart):
    """Shift a walked line to its side."""
    ends = [walked[0], *walked, walked[-1]]
    shifted = []
    for before, here, after in zip(ends, walked, ends[2:], strict=False):
        dx, dy = after[0] - before[0], after[1] - before[1]
        length = hypot(dx, dy) or 1
        shifted.append((here[0] - apart * dy / length, here[1] + apart * dx / length))
    return shifted


def _straight(points):
    """Write points as a line of straight steps."""
    return "M" + "L".join(map(_at, points))


def _at(point):
    """Write a point with one decimal, which is finer than any screen."""
    return f"{round(point[0], 1):g},{round(point[1], 1):g}"
