"""What is left of the founders: the share of each in the living collection, as bars."""

from dataclasses import dataclass

import altair

from registry.charts.chart import Chart
from registry.charts.lettering import clean
from registry.charts.plot import INK, data, distinct, drawn

from ..telling import tell, to_tell

COLUMNS = (to_tell("Founder"), to_tell("Share of the living"), to_tell("Alleles kept"))
ROW, WIDE = 20, 420
CODES = altair.Axis(title=None, labelLimit=140, domain=False, ticks=False, labelPadding=6)
SHARES = to_tell("share of the living collection")


@dataclass(frozen=True, kw_only=True)
class FounderShare:
    """A founder's share of the genes of the living (0 to 1), and the part of its alleles kept."""

    code: str
    share: float
    kept: float | None = None


def founder_shares(founders):
    """Draw the founders' shares, largest first, with a dashed line at equal shares.

    Parameters
    ----------
    founders : iterable of FounderShare

    Returns
    -------
    Chart
    """
    founders = sorted(founders, key=lambda one: (-one.share, one.code))
    names = distinct(one.code for one in founders)
    rows = [_point(name, one) for name, one in zip(names, founders, strict=True)]
    return Chart(
        svg=drawn(
            _equal(founders) + _bars(rows),
            kind="founders",
            title=tell("Founder shares"),
            summary=_summary(founders),
        ),
        columns=tuple(map(tell, COLUMNS)),
        rows=tuple((clean(one.code), _percent(one.share), _kept(one)) for one in founders),
    )


def _point(name, one):
    """Say one founder to the chart."""
    said = {"share": _percent(one.share), "kept": _percent(one.kept or 0)}
    told = (
        said["share"] if one.kept is None else tell("{share}, keeps {kept} of its alleles", **said)
    )
    return {"founder": name, "share": one.share, "told": told}


def _bars(rows):
    """Draw the bars with their figures."""
    most = max((row["share"] for row in rows), default=1) or 1
    across = altair.X(
        "share:Q",
        axis=altair.Axis(title=tell(SHARES), format=".0%", tickCount=5, grid=False),
        scale=altair.Scale(domain=[0, most * 1.6], nice=False),
    )
    down = altair.Y("founder:N", sort=None, axis=CODES)
    rows = [{**row, "beside": most * 1.04} for row in rows]
    base = altair.Chart(data(rows), width=WIDE, height=ROW * max(len(rows), 1)).encode(across, down)
    numbers = base.mark_text(align="left", fill=INK).encode(
        altair.X("beside:Q"), altair.Text("told:N")
    )
    return base.mark_bar(fill=INK, fillOpacity=0.25, stroke=INK) + numbers


def _equal(founders):
    """Draw the share each founder had if all had left as much."""
    rows = [{"share": 1 / len(founders)}] if founders else []
    rule = altair.Chart(data(rows)).mark_rule(stroke=INK, strokeDash=[5, 4])
    return rule.encode(altair.X("share:Q"))


def _summary(founders):
    """Say how many founders are left and which has most."""
    if not founders:
        return tell("No founder is on record.")
    first = founders[0]
    return tell(
        "{count} founders; {founder} has the largest share, {share}. The dashed line is an equal "
        "share.",
        count=len(founders),
        founder=clean(first.code),
        share=_percent(first.share),
    )


def _percent(value):
    """Write a share in per cent, with a decimal.

    >>> _percent(0.125)
    '12.5 %'
    """
    return f"{100 * value:.1f} %"


def _kept(one):
    """Write the part of a founder's alleles that is kept."""
    return tell("not computed") if one.kept is None else _percent(one.kept)
