"""Days laid along a line: where each lies, and which of them are written beneath."""

from dataclasses import dataclass
from datetime import date, timedelta

from registry.charts.lettering import MONTHS

MOST_TICKS = 12
STEPS = (1, 2, 3, 6, 12, 24, 60, 120)


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
        return cls(first=min(days) - air, last=max(days) + air, left=left, wide=wide)

    def at(self, day):
        """Find where a day lies, in pixels."""
        return self.left + self.wide * (day - self.first) / (self.last - self.first)

    def ticks(self):
        """List the first days of months to be written, not more than a dozen."""
        months = range(_month(self.first) + 1, _month(self.last) + 1)
        step = next(step for step in STEPS if len(months) <= step * MOST_TICKS)
        chosen = [month for month in months if month % step == 0]
        return [date(month // 12, month % 12 + 1, 1) for month in chosen]


def _month(day):
    """Count the months up to a day."""
    return day.year * 12 + day.month - 1


def tick_words(day):
    """Write a month, with its year where the year begins.

    >>> tick_words(date(2026, 1, 1)), tick_words(date(2026, 3, 1))
    ('Jan 2026', 'Mar')
    """
    name = MONTHS[day.month - 1]
    return f"{name} {day.year}" if day.month == 1 else name
