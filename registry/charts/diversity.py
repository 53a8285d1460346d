"""Diversity over the years: gene diversity, founder genome equivalents and the traced share."""

from dataclasses import dataclass
from math import floor

import altair

from registry.charts.chart import Chart
from registry.charts.figures import digits
from registry.charts.plot import INK, data, drawn

from ..telling import tell, to_tell

ALL, BRED = to_tell("all living"), to_tell("without those that never bred")
PANELS = (
    ("gene_diversity", to_tell("gene diversity")),
    ("genome_equivalents", to_tell("founder genome equivalents")),
    ("traced", to_tell("traced share")),
)
COLUMNS = (
    to_tell("Year"),
    to_tell("Animals"),
    to_tell("Gene diversity"),
    to_tell("Founder genome equivalents"),
    to_tell("Traced share"),
)
WIDE, HIGH = 520, 130
LAST = PANELS[-1][0]
FROM_NOTHING = altair.Scale(zero=True)
KEY = altair.Legend(title=None, orient="bottom", labelLimit=0)
DASHES = [[1, 0], [5, 4]]
SHAPES = ["circle", "square"]


@dataclass(frozen=True, kw_only=True)
class Standing:
    """The diversity of a collection at the end of a year.

    `gene_diversity` and `traced` are between 0 and 1; None where nothing can be said.
    """

    year: int
    animals: int
    gene_diversity: float | None
    genome_equivalents: float | None
    traced: float | None


def diversity_over_years(living, bred=()):
    """Draw a collection's diversity year by year.

    Parameters
    ----------
    living : iterable of Standing
        All living animals of the collection.
    bred : iterable of Standing
        The same without animals that never bred; a dashed line with squares.

    Returns
    -------
    Chart
        The table has a row for each year and each of the two ways to count.
    """
    series = [(tell(ALL), tuple(living)), (tell(BRED), tuple(bred))]
    points = [point for name, standings in series for point in _points(name, standings)]
    panels = [_panel(points, measure, tell(title)) for measure, title in PANELS]
    return Chart(
        svg=drawn(
            _apart(altair.vconcat(*panels, spacing=14)),
            kind="diversity",
            title=tell("Diversity over the years"),
            summary=_summary(series[0][1]),
        ),
        columns=(tell("Counted"), *map(tell, COLUMNS)),
        rows=tuple(_row(name, one) for name, standings in series for one in standings),
    )


def _apart(panels):
    """Let each panel have its own key, so that only the lowest shows it."""
    return panels.resolve_scale(strokeDash="independent", shape="independent")


def _points(name, standings):
    """List what can be drawn of a series."""
    for one in standings:
        for measure, _ in PANELS:
            value = getattr(one, measure)
            if value is not None:
                yield {"year": one.year, "counted": name, "measure": measure, "value": value}


def _panel(points, measure, title):
    """Draw one measure, each series with a dash and a shape of its own, the last figure written."""
    chosen = [point for point in points if point["measure"] == measure]
    scale = _to_one(chosen) if measure == "gene_diversity" else FROM_NOTHING
    base = altair.Chart(data(chosen), width=WIDE, height=HIGH, title=title).encode(
        x=altair.X("year:O", title=None, axis=altair.Axis(labelAngle=0, labelOverlap=True)),
        y=altair.Y("value:Q", title=None, axis=altair.Axis(tickCount=4), scale=scale),
    )
    key = KEY if measure == LAST else None
    names = [tell(ALL), tell(BRED)]
    dash = altair.StrokeDash("counted:N").scale(altair.Scale(domain=names, range=DASHES))
    shape = altair.Shape("counted:N").scale(altair.Scale(domain=names, range=SHAPES))
    lines = base.mark_line(stroke=INK).encode(dash.legend(key))
    marks = base.mark_point(stroke=INK, fill=INK, size=30, opacity=1)
    ends = [_last(chosen, base, tell(ALL), "bottom")]
    if not _alike(chosen):
        ends.append(_last(chosen, base, tell(BRED), "top"))
    return altair.layer(lines, marks.encode(shape.legend(key)), *ends)


def _alike(chosen):
    """Return whether both series end in the same figure, which is then written once."""
    latest = max((point["year"] for point in chosen), default=None)
    return len({f"{p['value']:.2f}" for p in chosen if p["year"] == latest}) < 2


def _to_one(chosen):
    """Show gene diversity from a little under its lowest to 1, where small losses can be seen."""
    lowest = min((point["value"] for point in chosen), default=0)
    return altair.Scale(domain=[max(0, floor(lowest * 20 - 0.5) / 20), 1])


def _last(chosen, base, name, baseline):
    """Write the latest figure of a series by its end, one series over and one under the line."""
    mine = sorted((p for p in chosen if p["counted"] == name), key=lambda p: p["year"])
    told = [{**point, "told": f"{point['value']:.2f}"} for point in mine[-1:]]
    ends = base.mark_text(align="left", dx=8, baseline=baseline, fill=INK)
    return ends.encode(altair.Text("told:N")).properties(data=data(told))


def _summary(standings):
    """Say the first and the last year."""
    if not standings:
        return tell("No year has figures yet.")
    return tell("From {first} to {last}.", first=_said(standings[0]), last=_said(standings[-1]))


def _said(one):
    """Say one year."""
    return tell(
        "{figure} gene diversity in {year} ({animals} animals)",
        figure=_figure(one.gene_diversity),
        year=one.year,
        animals=one.animals,
    )


def _row(name, one):
    """Write one year for the table."""
    figures = map(_figure, (one.gene_diversity, one.genome_equivalents, one.traced))
    return (name, str(one.year), str(one.animals), *figures)


def _figure(value):
    """Write a figure, or that there is none."""
    return "unknown" if value is None else digits(value)
