"""Days laid along a line: where each lies, and which of them are written beneath."""

from dataclasses import dataclass
from datetime import date, timedelta

from registry.charts.lettering import MONTHS

from ..telling import tell

MOST_TICKS = 12
STEPS = (1, 2, 3, 6, 12, 24, 60, 120, 240, 600)


@dataclass(frozen=True, kw_only=True)
class Days:
    """A stretch of days, `first` to `last`, drawn from `left` over `wide` pixels."""

    first: date
    last: date
    left: float
    wide: float

    @classmethod
    def spanning(cls, days, *, left, wide):
        """Span all the days given, with a little air on both sides."""
        days = list(days)
        air = timedelta(days=max(3, (max(days) - min(days)).days // 40))
        first = min(days) - min(air, min(days) - date.min)
        last = max(days) + min(air, date.max - max(days))
        return cls(first=first, last=last, left=left, wide=wide)

    def at(self, day):
        """Find where a day lies, in pixels."""
        return self.left + self.wide * (day - self.first) / (self.last - self.first)

    def ticks(self):
        """List the first days of months to be written, a dozen at most."""
        months = range(_month(self.first) + 1, _month(self.last) + 1)
        fewest = -(-len(months) // MOST_TICKS)
        step = next((step for step in STEPS if step >= fewest), 12 * -(-fewest // 12))
        return [date(m // 12, m % 12 + 1, 1) for m in months if m % step == 0]

    def labels(self):
        """Pair the ticks with their words: the month, with the year at the first and in January."""
        ticks = self.ticks()
        return [(tick, _words(tick, tick in ticks[:1] or tick.month == 1)) for tick in ticks]


def _words(tick, opens):
    """Write a month, with its year where it opens one or the axis."""
    month = tell(MONTHS[tick.month - 1])
    return f"{month} {tick.year}" if opens else month


def _month(day):
    """Count the months up to a day."""
    return day.year * 12 + day.month - 1
