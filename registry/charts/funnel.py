"""A clutch as a funnel: how many reached each stage."""

from dataclasses import dataclass

import altair

from registry.charts.chart import Chart
from registry.charts.lettering import clean
from registry.charts.plot import INK, data, distinct, drawn

COLUMNS = ("Stage", "Count", "Of the first counted")
ROW, WIDE = 30, 420
STAGES = altair.Axis(title=None, domain=False, ticks=False, labelLimit=140, labelPadding=6)


@dataclass(frozen=True, kw_only=True)
class StageCount:
    """How many of a clutch reached a stage; None where nobody counted."""

    stage: str
    count: int | None


def clutch_funnel(title, stages):
    """Draw the stages of a clutch, in their order, each as wide as its count.

    A stage nobody counted is drawn as a question mark and closes no gap.

    Parameters
    ----------
    title : str
    stages : iterable of StageCount

    Returns
    -------
    Chart
    """
    stages = tuple(stages)
    first = next((one.count for one in stages if one.count), None)
    rows = [_row(one, first) for one in stages]
    return Chart(
        svg=drawn(
            _bars(rows, first or 1),
            kind="funnel",
            title=title,
            summary=", ".join(f"{stage} {count}" for stage, count, _ in rows) or "No stages yet.",
        ),
        columns=COLUMNS,
        rows=tuple(rows),
    )


def _row(one, first):
    """Write one stage for the table."""
    if one.count is None:
        return clean(one.stage), "not counted", ""
    part = f"{100 * one.count / first:.0f} %" if first else ""
    return clean(one.stage), str(one.count), part


def _bars(rows, first):
    """Draw the bars about the middle, with the figures on them."""
    names = distinct(stage for stage, _, _ in rows)
    points = [_point(name, *row[1:]) for name, row in zip(names, rows, strict=True)]
    counted = [point for point in points if point["half"]]
    widest = max((point["half"] for point in counted), default=0) or first / 2
    scale = altair.Scale(domain=[-widest, widest], nice=False)
    down = altair.Y("stage:N", sort=names, axis=STAGES, scale=altair.Scale(paddingInner=0.15))
    size = {"width": WIDE, "height": ROW * max(len(rows), 1)}
    bars = altair.Chart(data(counted), **size).mark_bar(fill=INK, fillOpacity=0.2, stroke=INK)
    told = altair.Chart(data(points), **size).mark_text(fill=INK)
    return bars.encode(altair.X("left:Q", axis=None, scale=scale), altair.X2("half"), down) + (
        told.encode(altair.X("middle:Q", axis=None, scale=scale), down, altair.Text("told:N"))
    )


def _point(name, count, part):
    """Say one stage to the chart."""
    if not count.isdigit():
        return {"stage": name, "left": None, "half": None, "middle": 0, "told": f"? {count}"}
    half = int(count) / 2
    told = f"{count} ({part})" if part else count
    return {"stage": name, "left": -half, "half": half, "middle": 0, "told": told}
