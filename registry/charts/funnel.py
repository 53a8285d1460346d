"""A clutch, or several together, as a funnel: how many reached each stage."""

from dataclasses import dataclass

import altair

from registry.charts.chart import Chart
from registry.charts.lettering import clean
from registry.charts.plot import INK, data, distinct, drawn

from ..telling import tell, tell_many, to_tell

COLUMNS = (to_tell("Stage"), to_tell("Count"), to_tell("Of the first counted"))
SUM_COLUMNS = (*COLUMNS, to_tell("Clutches counted"), to_tell("Clutches not counted"))

ROW, WIDE = 30, 420
STAGES = altair.Axis(title=None, domain=False, ticks=False, labelLimit=140, labelPadding=6)


@dataclass(frozen=True, kw_only=True)
class StageCount:
    """How many of a clutch reached a stage; None where nobody counted."""

    stage: str
    count: int | None


@dataclass(frozen=True, kw_only=True)
class StageSum:
    """How many of several clutches reached a stage, in how many of them that was counted.

    `count` is None where nobody counted in any; `unknown` is how many reached it uncounted, and
    `share` that of the first count, among those in which both were counted.
    """

    stage: str
    count: int | None
    clutches: int
    unknown: int = 0
    share: float | None = None


def joint_funnel(title, stages):
    """Draw the stages of several clutches together, in their order, each as wide as its sum.

    What was not counted is said beside the bar and adds nothing to it.

    Parameters
    ----------
    title : str
    stages : iterable of StageSum

    Returns
    -------
    Chart
    """
    stages = tuple(stages)
    rows = [_sum_row(one) for one in stages]
    told = [
        (stage, count, _beside(one, part))
        for (stage, count, part, *_), one in zip(rows, stages, strict=True)
    ]
    summary = ", ".join(f"{stage} {count}" for stage, count, *_ in rows) or tell("No stages yet.")
    bars = _bars(told, max((one.count or 0 for one in stages), default=0) or 1)
    return Chart(
        svg=drawn(bars, kind="funnel", title=title, summary=summary),
        columns=tuple(map(tell, SUM_COLUMNS)),
        rows=tuple(rows),
    )


def _sum_row(one):
    """Write one stage of several clutches for the table."""
    count = tell("not counted") if one.count is None else str(one.count)
    part = "" if one.share is None else f"{100 * one.share:.0f} %"
    return clean(one.stage), count, part, str(one.clutches), str(one.unknown)


def _beside(one, part):
    """Say the share, and in how many clutches nobody counted."""
    more = tell_many("{count} clutch not counted", "{count} clutches not counted", one.unknown)
    return ", ".join(filter(None, [part, more if one.unknown and one.count is not None else ""]))


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
            summary=", ".join(f"{stage} {count}" for stage, count, _ in rows)
            or tell("No stages yet."),
        ),
        columns=tuple(map(tell, COLUMNS)),
        rows=tuple(rows),
    )


def _row(one, first):
    """Write one stage for the table."""
    if one.count is None:
        return clean(one.stage), tell("not counted"), ""
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
