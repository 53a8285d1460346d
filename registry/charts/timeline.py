"""Draws quarantine batches on a time line, and writes the table behind the picture."""

from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate

from registry.charts.batches import Batch, Happening
from registry.charts.canvas import MARGIN, canvas, element, finished, group, labelled, line, write
from registry.charts.chart import Chart
from registry.charts.days import Days
from registry.charts.happenings import course_line, mark, outline_bar, solid_bar
from registry.charts.legend import add_legend, legend_height
from registry.charts.lettering import clean, cut, width, written

from ..telling import tell, to_tell

NAMES, WIDE, RIGHT = 170, 760, 20
TOP, BAR, LANE, LINE, AIR = 34, 14, 18, 14, 12
SIZE, SMALL = 13, 10.5
APART = 15
BOLD = {"font_size": SIZE, "font_weight": "bold"}
COLUMNS = (to_tell("Batch"), to_tell("Day"), to_tell("What"), to_tell("Note"))


def batch_timeline(batches, day):
    """Draw batches as bars from opening to release, as they stand on a day.

    Parameters
    ----------
    batches : iterable of Batch
        Drawn in the order given.
    day : date
        The day asked about: bars of open batches end there, forecasts begin there.

    Returns
    -------
    Chart
        The table has one row for each dated fact, batch by batch, in order of days.
    """
    batches = tuple(batches)
    axis = Days.spanning(_all_days(batches, day), left=NAMES, wide=WIDE)
    rows = [_Row(batch, axis, day) for batch in batches]
    tops = list(accumulate((row.high for row in rows), initial=TOP))
    legend, wide = _legend(rows), NAMES + WIDE + RIGHT
    high = tops[-1] + legend_height(legend, wide)
    sheet = canvas("timeline", tell("Quarantine batches"), _summary(batches, day), wide, high)
    body = group(sheet, MARGIN, MARGIN)
    _add_axis(body, axis, day, tops[-1])
    for row, top in zip(rows, tops, strict=False):
        row.add(body, top)
    add_legend(body, legend, tops[-1], wide)
    return Chart(svg=finished(sheet), columns=tuple(map(tell, COLUMNS)), rows=_table(batches))


def _all_days(batches, day):
    """List every day the picture must reach."""
    yield day
    for batch in batches:
        yield from (found for found, _, _ in _facts(batch))


def _facts(batch):
    """List the dated facts of a batch: day, what, note."""
    ends = [(tell("closed"), batch.closed), (tell("best release day"), batch.best)]
    facts = [(batch.opened, tell("opened"), ""), (batch.zero, tell("day zero"), batch.said)]
    facts += [(found, what, "") for what, found in ends if found is not None]
    facts += [(mark.day, tell(mark.kind), mark.text) for mark in batch.marks]
    for course in batch.courses:
        last = tell("last dose planned") if course.running else tell("last dose")
        facts += [(course.first, tell("first dose"), course.text), (course.last, last, course.text)]
    return sorted(facts, key=lambda fact: fact[0])


def _table(batches):
    """Write the table behind the picture."""
    return tuple(
        (clean(batch.code), written(day), what, clean(note))
        for batch in batches
        for day, what, note in _facts(batch)
    )


def _summary(batches, day):
    """Say how each batch stands."""
    said = " ".join(f"{batch.code}: {_state(batch)}." for batch in batches)
    return tell(
        "{count} batches as they stand on {day}. {states}",
        count=len(batches),
        day=written(day),
        states=said,
    )


def _state(batch):
    """Say the end of a batch, or the best one forecast."""
    if batch.closed is not None:
        return tell("closed {day}", day=written(batch.closed))
    return (
        tell("best {day}", day=written(batch.best))
        if batch.best is not None
        else tell("no release forecast")
    )


def _add_axis(body, axis, day, low):
    """Draw the months, and the day asked about as a line through all bars."""
    drawn = group(body, aria_hidden="true", class_="axis")
    for tick, words in axis.labels():
        x = axis.at(tick)
        line(drawn, f"M{x:.1f},{TOP - 10}V{low:.1f}", stroke_width=0.6, stroke_opacity="0.25")
        write(drawn, words, x, TOP - 16, font_size=SMALL, text_anchor="middle")
    x = axis.at(day)
    line(drawn, f"M{x:.1f},{TOP - 30}V{low:.1f}", stroke_dasharray="1.5 3", class_="today")
    side, anchor = (-4, "end") if x > NAMES + WIDE / 2 else (4, "start")
    look = {"font_size": SMALL, "font_weight": "bold", "text_anchor": anchor}
    write(drawn, written(day), x + side, TOP - 28, **look)


def _legend(rows):
    """List the signs that occur."""
    kinds = {mark.kind for row in rows for mark in row.batch.marks}
    entries = [
        ("counted", tell("days since day zero")),
        ("uncounted", tell("days that count no more")),
    ]
    found = [
        ("forecast", tell("forecast, to the best release day"), any(r.batch.best for r in rows)),
        ("course", tell("treatment, open end where planned"), any(r.batch.courses for r in rows)),
    ]
    entries += [(sign, words) for sign, words, on in found if on]
    return (*entries, *((kind.value, tell(kind)) for kind in Happening if kind in kinds))


@dataclass(frozen=True)
class _Row:
    """One batch in the picture: its marks in lanes, its bar, its treatments, its name."""

    batch: Batch
    axis: Days
    day: object

    @cached_property
    def placed(self):
        """Place the marks: like ones of one day as one, those too near in the next lane."""
        counted = Counter((mark.day, mark.kind) for mark in self.batch.marks)
        ends, placed = [], []
        for (day, kind), count in sorted(counted.items()):
            x = self.axis.at(day)
            lane = next((n for n, end in enumerate(ends) if x - end >= APART), len(ends))
            ends[lane : lane + 1] = [x + (width(str(count), SMALL) if count > 1 else 0)]
            placed.append((x, lane, kind, count))
        return placed

    @property
    def over(self):
        """Say how high the marks stand over the bar."""
        return LANE * (1 + max((lane for _, lane, _, _ in self.placed), default=-1))

    @property
    def high(self):
        """Say how high the row is."""
        return max(self.over + BAR + (LINE if self.batch.courses else 6), 3 * LINE) + AIR

    def add(self, body, top):
        """Draw the row."""
        told = tell(
            "{batch}, opened {opened}, {state}",
            batch=self.batch.code,
            opened=written(self.batch.opened),
            state=_state(self.batch),
        )
        said = f"{told}. {self.batch.said}" if self.batch.said else told
        drawn = group(labelled(body, said, self.batch.href, class_="batch"), 0, top)
        self._name(drawn)
        self._bar(drawn, self.over)
        self._marks(drawn)
        for course in self.batch.courses:
            first, last = self.axis.at(course.first), self.axis.at(course.last)
            course_line(drawn, first, last, self.over + BAR + 8, open_end=course.running)

    def _name(self, at):
        """Write what the batch is called and how it stands."""
        room = NAMES - 12
        write(at, cut(clean(self.batch.code), room, SIZE, bold=True), 0, 11, **BOLD)
        small = [tell("day zero {day}", day=written(self.batch.zero)), _state(self.batch)]
        for number, words in enumerate(small, start=1):
            write(at, words, 0, 11 + LINE * number, font_size=SMALL)

    def _bar(self, at, top):
        """Draw the bar: hollow before day zero, solid since, dashed where it is forecast."""
        opened, zero = self.axis.at(self.batch.opened), self.axis.at(self.batch.zero)
        end = self.axis.at(self.batch.closed or max(self.day, self.batch.opened))
        outline_bar(at, opened, end, top, BAR)
        solid_bar(at, min(zero, end), end, top, BAR)
        if self.batch.best is not None:
            best = self.axis.at(self.batch.best)
            outline_bar(at, end, best, top, BAR, dashed=True)
            element(at, "path", d=f"M{best:.1f},{top}V{top + BAR}l7,{-BAR / 2:g}Z", class_="best")

    def _marks(self, at):
        """Draw the marks over the bar, with a number where one stands for several."""
        for x, lane, kind, count in self.placed:
            y = self.over - LANE * (lane + 0.5)
            mark(at, kind, x, y)
            if count > 1:
                write(at, str(count), x + 7.5, y + 4, font_size=SMALL)
