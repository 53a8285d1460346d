"""Sentences people read, in one place: names in a row, days, and how close kin are."""

import re
from datetime import date

from django.utils.formats import date_format, get_format

from .telling import counted, later, told

DAYS_COUNTED = 200  # longer than the days of any quarantine
MONTH, YEAR = 30.4375, 365.25
MONTHS_COUNTED = 2 * YEAR
ISO = re.compile(r"\b(\d{4})-(\d\d)-(\d\d)\b")

# Kinship of the young's parents, least first, and what it is as close as.
KIN = (
    (1 / 4, later("as related as full siblings, or parent and young"), ""),
    (1 / 8, later("as related as half-siblings"), later("closer than half-siblings")),
    (1 / 16, later("as related as first cousins"), later("closer than first cousins")),
    (1 / 64, later("as related as second cousins"), later("closer than second cousins")),
)


def in_a_row(things):
    """Return names joined as in a sentence.

    >>> in_a_row(["A", "B", "C"])
    'A, B and C'
    """
    names = [str(t) for t in things]
    if len(names) < 2:
        return "".join(names)
    return told(
        "{all_but_the_last} and {last}", all_but_the_last=", ".join(names[:-1]), last=names[-1]
    )


def one_of(things):
    """Return names joined by "or".

    >>> one_of(["A", "B"])
    'A or B'
    """
    names = [str(t) for t in things]
    if len(names) < 2:
        return "".join(names)
    return told(
        "{all_but_the_last} or {last}", all_but_the_last=", ".join(names[:-1]), last=names[-1]
    )


def written(day):
    """Return a day written out.

    >>> from datetime import date
    >>> written(date(2026, 10, 3))
    '3 Oct 2026'
    """
    return date_format(day, "DATE_FORMAT")


def dated(day, precision):
    """Return a day as exactly as it is known.

    >>> from datetime import date
    >>> dated(date(2026, 10, 3), "month"), dated(date(2026, 10, 3), "about")
    ('Oct 2026', 'about 3 Oct 2026')
    """
    if day is None or precision == "unknown":
        return told("on an unknown day")
    if precision == "about":
        return told("about {day}", day=written(day))
    shown = {"month": date_format(day, "YEAR_MONTH_FORMAT"), "year": f"{day.year}"}
    return shown.get(precision, written(day))


def said(text):
    """Return a text with every machine date in it written out.

    >>> said("male (DNA) on 2026-10-03")
    'male (DNA) on 3 Oct 2026'
    """
    return ISO.sub(lambda found: written(date(*map(int, found.groups()))), str(text))


def distance(day, today):
    """Return how far a day is from today, in words: exactly, or in months or years where it is far.

    >>> from datetime import date
    >>> distance(date(2026, 10, 15), date(2026, 10, 3))
    'in 12 days'
    >>> distance(date(2024, 6, 29), date(2026, 11, 26))
    '2 years ago'
    """
    days = (day - today).days
    if abs(days) < 2:
        return {-1: told("yesterday"), 0: told("today"), 1: told("tomorrow")}[days]
    return _ahead(days) if days > 0 else _ago(-days)


def _ahead(days):
    if days < DAYS_COUNTED:
        return counted("in {count} day", "in {count} days", days)
    if days < MONTHS_COUNTED:
        return counted("in {count} month", "in {count} months", round(days / MONTH))
    return counted("in {count} year", "in {count} years", int(days / YEAR))


def _ago(days):
    if days < DAYS_COUNTED:
        return counted("{count} day ago", "{count} days ago", days)
    if days < MONTHS_COUNTED:
        return counted("{count} month ago", "{count} months ago", round(days / MONTH))
    return counted("{count} year ago", "{count} years ago", int(days / YEAR))


def kin_words(f):
    """Say how close a kinship is, by the relatives everyone knows.

    >>> kin_words(0.125)
    'as related as half-siblings'
    >>> kin_words(0)
    'no relation on record'
    """
    if f <= 0:
        return told("no relation on record")
    for figure, alike, _ in KIN:
        if abs(f - figure) < 1e-9:
            return told(alike)
    if f > KIN[0][0]:
        return told("closer than full siblings")
    for figure, _, closer in KIN:
        if f > figure:
            return told(closer)
    return told("more distant than second cousins")


def share(part):
    """Return a share as whole per cent, never rounding up to all nor down to none.

    >>> share(0.999)
    '99 %'
    """
    percent = round(part * 100)
    if part < 1:
        percent = min(percent, 99)
    if part > 0:
        percent = max(percent, 1)
    return f"{percent} %"


def figure(f):
    """Return a kinship as printed: three decimals, or fewer where that is exact.

    >>> figure(0.125), figure(0.25), figure(0)
    ('0.125', '0.25', '0')
    """
    text = f"{f:.3f}".rstrip("0").rstrip(".")
    if text == "0" and f != 0:
        return told("under {figure}", figure=decimal("0.001"))
    return decimal(text)


def decimal(text):
    """Return a figure with the sign that parts its decimals in the reader's language.

    >>> decimal("0.125")
    '0.125'
    """
    return str(text).replace(".", get_format("DECIMAL_SEPARATOR"))
