"""Kinship as a map: a square for each two animals, the larger the more related they are."""

from dataclasses import dataclass

import altair

from registry.charts.chart import Chart
from registry.charts.figures import Figure, digits
from registry.charts.plot import INK, data, distinct, drawn_apart

from ..telling import tell, to_tell

MOST = 60
WRITTEN = 24
CELL, SMALL_CELL = 34, 15
KEY = to_tell("kinship: full siblings 0.25, half-siblings 0.125; hollow: at worst")
LOOK = {
    "values": [1 / 16, 1 / 8, 1 / 4, 1 / 2],
    "orient": "bottom",
    "format": ".4~f",
    "symbolType": "square",
    "titleLimit": 0,
}


class TooManyToMap(ValueError):
    """A kinship map is asked for more animals than it can show; carries `asked` and `most`."""

    def __init__(self, asked):
        super().__init__(
            tell(
                "The map would have {asked} animals on each side, and {MOST} is the "
                "most that can be read. Choose fewer animals.",
                asked=asked,
                MOST=MOST,
            )
        )
        self.asked, self.most = asked, MOST


@dataclass(frozen=True, kw_only=True)
class Kinships:
    """Kinship among animals: their codes, and a symmetric matrix of figures in that order."""

    codes: tuple[str, ...]
    figures: tuple[tuple[Figure, ...], ...]


def kinship_map(kinships):
    """Draw kinship as squares whose area grows with it, hollow ones for the worst case.

    With at most 24 animals the figures stand below the diagonal and the squares above it. The
    single squares are kept from screen readers, which are better served by the table.

    Parameters
    ----------
    kinships : Kinships

    Returns
    -------
    Chart
        The table is the matrix: a heading column of codes, then one column for each animal.

    Raises
    ------
    TooManyToMap
        For more than 60 animals.
    LayoutFailed
        Where the drawing is not ready in time.
    """
    names = distinct(kinships.codes)
    if len(names) > MOST:
        raise TooManyToMap(len(names))
    cells = _cells(names, kinships.figures)
    return Chart(
        svg=drawn_apart(
            _map(names, cells),
            kind="kinship",
            title=tell("Kinship"),
            summary=_summary(names, cells),
        ),
        columns=("", *names),
        rows=tuple(
            (name, *map(str, row)) for name, row in zip(names, kinships.figures, strict=True)
        ),
    )


def _cells(names, figures):
    """List the cells of the matrix."""
    return [
        {
            "row": names[down],
            "column": names[across],
            "expected": figure.expected,
            "worst": figure.worst,
            "told": digits(figure.expected),
            "below": down > across,
        }
        for down, line in enumerate(figures)
        for across, figure in enumerate(line)
    ]


def _map(names, cells):
    """Draw the squares, and the figures where there is room for them."""
    written = len(names) <= WRITTEN
    cell = CELL if written else SMALL_CELL
    squared = [one for one in cells if not (written and one["below"])]
    related = [one for one in squared if one["expected"] > 0]
    doubtful = [one for one in squared if one["worst"] > one["expected"]]
    layers = [
        _squares(related, "expected", names, cell).mark_square(fill=INK, opacity=1, aria=False),
        _squares(doubtful, "worst", names, cell).mark_square(
            stroke=INK, fill=None, opacity=1, strokeWidth=1.2, aria=False
        ),
    ]
    if written:
        layers.append(_figures([one for one in cells if one["below"]], names))
    side = cell * max(len(names), 1)
    return altair.layer(*layers).properties(width=side, height=side)


def _where(names):
    """Give the places of a cell: its row, and its column written along the top."""
    grid = {"title": None, "grid": True, "tickBand": "extent", "labelLimit": 120, "ticks": False}
    return (
        altair.X("column:N", sort=names, axis=altair.Axis(orient="top", labelAngle=-90, **grid)),
        altair.Y("row:N", sort=names, axis=altair.Axis(**grid)),
    )


def _squares(cells, figure, names, cell):
    """Size squares so that a kinship of one fills its cell."""
    scale = altair.Scale(domain=[0, 1], range=[0, (cell - 3) ** 2], clamp=True)
    size = altair.Size(f"{figure}:Q", scale=scale, legend=altair.Legend(title=tell(KEY), **LOOK))
    return altair.Chart(data(cells)).encode(*_where(names), size)


def _figures(cells, names):
    """Write figures into cells."""
    numbers = altair.Chart(data(cells)).mark_text(fill=INK, fontSize=10, aria=False)
    return numbers.encode(*_where(names), altair.Text("told:N"))


def _summary(names, cells):
    """Say how many animals there are, and the closest two."""
    pairs = [one for one in cells if one["below"]]
    if not pairs:
        return tell("{count} animals.", count=len(names))
    closest = max(pairs, key=lambda one: one["expected"])
    return tell(
        "{count} animals. Closest are {one} and {other} with a kinship of {kinship}.",
        count=len(names),
        one=closest["row"],
        other=closest["column"],
        kinship=closest["told"],
    )
