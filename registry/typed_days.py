"""Days as people write them in lists; one that could be two days is refused, not guessed."""

import re
from datetime import date, datetime

from .models import Precision
from .phrases import one_of, written
from .telling import tell

ISO = re.compile(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[ T]00:00(?::00)?)?")
SHORT = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4})")
TWO_DIGITS = re.compile(r"\d{1,2}[-/.]\d{1,2}[-/.]\d{2}")
MONTH = re.compile(r"(\d{4})-(\d{1,2})|(\d{1,2})/(\d{4})")
SERIAL = re.compile(r"\d{5}(\.\d+)?")
WORDS = ("%d %b %Y", "%d %B %Y", "%d. %b %Y", "%d. %B %Y", "%b %d %Y", "%B %d %Y")
MONTH_WORDS = ("%b %Y", "%B %Y")
ABOUT = ("about ", "ca. ", "ca ", "c. ", "um den ", "~")
UNKNOWN = {"", "unknown", "unbekannt", "?", "-"}
EARLIEST = 1900


class DayRefused(Exception):
    """A text is no day, or could be two; the sentence says how to write it."""


def read_day(text):
    """Return the one day a text means.

    >>> read_day("3 Oct 2026"), read_day("03.10.2026"), read_day("25/12/2024")
    (datetime.date(2026, 10, 3), datetime.date(2026, 10, 3), datetime.date(2024, 12, 25))
    """
    day, precision = read_about(text)
    if precision != Precision.DAY:
        raise DayRefused(tell("“{text}” is not one day; write it as in 2026-10-03.", text=text))
    return day


def read_about(text):
    """Return a day and how exactly it is known; none where nothing is.

    >>> read_about("Oct 2024"), read_about("about 3 Oct 2024")
    ((datetime.date(2024, 10, 1), 'month'), (datetime.date(2024, 10, 3), 'about'))
    """
    plain = " ".join(text.replace(",", " ").split())
    if plain.casefold() in UNKNOWN:
        return None, Precision.UNKNOWN
    for word in ABOUT:
        if plain.casefold().startswith(word):
            return _about(text, plain[len(word) :])
    day, precision = _exact(plain), Precision.DAY
    if day is None:
        day, precision = _month_or_year(plain)
    if day is None:
        raise DayRefused(
            tell("“{text}” is no day known here; write it as in 2026-10-03.", text=text[:40])
        )
    if not EARLIEST <= day.year <= 2100:
        raise DayRefused(tell("A day in {year} is not on record here.", year=day.year))
    return day, precision.value


def _about(text, rest):
    """Return a day that is known only roughly."""
    day, precision = read_about(rest)
    if precision != Precision.DAY:
        raise DayRefused(
            tell(
                "“{text}”: write “about” with a day, as in about 3 Oct 2026, or the year alone.",
                text=text,
            )
        )
    return day, Precision.ABOUT.value


def _exact(text):
    """Return the day a text means, None where it means a longer time or none at all."""
    if found := ISO.fullmatch(text):
        return _day(text, *found.groups())
    if found := SHORT.fullmatch(text):
        return _short(text, *found.groups())
    if TWO_DIGITS.fullmatch(text):
        raise DayRefused(
            tell("“{text}”: write the year with four digits, as in 2026-10-03.", text=text)
        )
    if SERIAL.fullmatch(text):
        raise DayRefused(
            tell(
                "“{text}” is a spreadsheet’s own number for a day; format the column as text and "
                "write the day as in 2026-10-03.",
                text=text,
            )
        )
    return _worded(text, WORDS)


def _short(text, first, mark, second, year):
    """Read numbers only: day first where points part them, else only where one can be no month."""
    one, two = int(first), int(second)
    if mark != "." and one != two and one <= 12 and two <= 12:
        days = (_day(text, year, two, one), _day(text, year, one, two))
        ways = one_of(written(day) for day in days)
        raise DayRefused(
            tell(
                "“{text}” may be {ways}; write it as in {day}.",
                text=text,
                ways=ways,
                day=f"{year}-{two:02}-{one:02}",
            )
        )
    if mark != "." and two > 12:
        one, two = two, one
    return _day(text, year, two, one)


def _day(text, year, month, day):
    try:
        return date(int(year), int(month), int(day))
    except ValueError as problem:
        raise DayRefused(tell("“{text}” is not in the calendar.", text=text)) from problem


def _worded(text, shapes):
    for shape in shapes:
        try:
            return datetime.strptime(text, shape).date()
        except ValueError:
            continue
    return None


def _month_or_year(text):
    if re.fullmatch(r"\d{4}", text):
        return _day(text, text, 1, 1), Precision.YEAR
    if found := MONTH.fullmatch(text):
        year, month, other, later = found.groups()
        return _day(text, year or later, month or other, 1), Precision.MONTH
    return _worded(text, MONTH_WORDS), Precision.MONTH
