"""Age and sex as a pyramid: males to the left, females to the right, unsexed apart."""

from dataclasses import dataclass

import altair

from registry.charts.chart import Chart
from registry.charts.lettering import clean
from registry.charts.plot import INK, data, distinct, drawn

from ..telling import tell, to_tell

COLUMNS = (to_tell("Age"), to_tell("Males"), to_tell("Females"), to_tell("Unsexed"))
ROW, SIDE = 22, 170
MIDDLE = altair.Axis(title=None, domain=False, ticks=False, labelPadding=6, labelLimit=120)
LIGHT = {to_tell("males"): 0.15, to_tell("females"): 0.45, to_tell("unsexed"): 0.0}


@dataclass(frozen=True, kw_only=True)
class AgeClass:
    """The living animals of one age, such as "2 years" or "age unknown", by sex."""

    age: str
    males: int
    females: int
    unsexed: int


def age_and_sex(classes):
    """Draw how many animals of each sex there are at each age.

    Parameters
    ----------
    classes : iterable of AgeClass
        From the top of the picture down, so oldest first.

    Returns
    -------
    Chart
    """
    classes = tuple(classes)
    most = max((max(one.males, one.females, one.unsexed) for one in classes), default=1) or 1
    ages = altair.Y("age:N", sort=None, title=None)
    males = _bars(classes, "males", _scale(most, "descending"), ages.axis(None), align="right")
    females = _bars(classes, "females", _scale(most, "ascending"), ages.axis(MIDDLE), align="left")
    unsexed = _bars(classes, "unsexed", _scale(most, "ascending"), ages.axis(None), align="left")
    return Chart(
        svg=drawn(
            altair.hconcat(males, females, unsexed, spacing=14),
            kind="ages",
            title=tell("Age and sex"),
            summary=_summary(classes),
        ),
        columns=tuple(map(tell, COLUMNS)),
        rows=tuple((clean(one.age), *map(str, _counts(one))) for one in classes),
    )


def _scale(most, sort):
    """Count from the middle outwards, with the same scale on all sides."""
    scale = altair.Scale(domain=[0, most * 1.15], nice=False)
    whole = list(range(0, most + 1, -(-most // 4)))
    axis = altair.Axis(title=None, values=whole, format="d", grid=False)
    return altair.X("count:Q", sort=sort, scale=scale, axis=axis)


def _bars(classes, sex, across, down, *, align):
    """Draw the bars of one sex, each with its number at its end."""
    names = distinct(one.age for one in classes)
    counts = [getattr(one, sex) for one in classes]
    rows = [{"age": age, "count": count} for age, count in zip(names, counts, strict=True)]
    told = [{**row, "told": str(row["count"])} for row in rows if row["count"]]
    total = sum(row["count"] for row in rows)
    base = altair.Chart(data(rows), width=SIDE, height=ROW * max(len(rows), 1)).encode(across, down)
    bars = base.mark_bar(fill=INK, fillOpacity=LIGHT[sex], stroke=INK)
    away = 4 if align == "left" else -4
    numbers = base.mark_text(align=align, dx=away, fill=INK).encode(altair.Text("told:N"))
    whole = bars + numbers.properties(data=data(told))
    return whole.properties(title=f"{tell(sex)} ({total})")


def _counts(one):
    """List the counts of one age."""
    return one.males, one.females, one.unsexed


def _summary(classes):
    """Say how many there are, as keepers count."""
    if not classes:
        return tell("No living animals.")
    males, females, unsexed = (sum(column) for column in zip(*map(_counts, classes), strict=True))
    return tell(
        "{males}.{females}.{unsexed} living animals in {count} ages.",
        males=males,
        females=females,
        unsexed=unsexed,
        count=len(classes),
    )
