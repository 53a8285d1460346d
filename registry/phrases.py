"""Sentences people read, in one place: names in a row, days, and how close kin are."""

import re
from datetime import date

ISO = re.compile(r"\b(\d{4})-(\d\d)-(\d\d)\b")

# Kinship of the young's parents, least first, and what it is as close as.
KIN = (
    (1 / 4, "full siblings, or parent and young"),
    (1 / 8, "half-siblings"),
    (1 / 16, "first cousins"),
    (1 / 64, "second cousins"),
)


def in_a_row(things):
    """Return names joined as in a sentence.

    >>> in_a_row(["A", "B", "C"])
    'A, B and C'
    """
    names = [str(t) for t in things]
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def one_of(things):
    """Return names joined by "or".

    >>> one_of(["A", "B"])
    'A or B'
    """
    names = [str(t) for t in things]
    return " or ".join(filter(None, [", ".join(names[:-1]), *names[-1:]]))


def written(day):
    """Return a day written out.

    >>> from datetime import date
    >>> written(date(2026, 10, 3))
    '3 Oct 2026'
    """
    return f"{day.day} {day:%b %Y}"


def dated(day, precision):
    """Return a day as exactly as it is known.

    >>> from datetime import date
    >>> dated(date(2026, 10, 3), "month"), dated(date(2026, 10, 3), "about")
    ('Oct 2026', 'about 3 Oct 2026')
    """
    if day is None or precision == "unknown":
        return "on an unknown day"
    shown = {"month": f"{day:%b %Y}", "year": f"{day.year}", "about": f"about {written(day)}"}
    return shown.get(precision, written(day))


def said(text):
    """Return a text with every machine date in it written out.

    >>> said("male (DNA) on 2026-10-03")
    'male (DNA) on 3 Oct 2026'
    """
    return ISO.sub(lambda found: written(date(*map(int, found.groups()))), str(text))


def distance(day, today):
    """Return how far a day is from today, in words.

    >>> from datetime import date
    >>> distance(date(2026, 10, 15), date(2026, 10, 3))
    'in 12 days'
    """
    days = (day - today).days
    if abs(days) < 2:
        return {-1: "yesterday", 0: "today", 1: "tomorrow"}[days]
    return f"in {days} days" if days > 0 else f"{-days} days ago"


def kin_words(f):
    """Say how close a kinship is, by the relatives everyone knows.

    >>> kin_words(0.125)
    'as related as half-siblings'
    >>> kin_words(0)
    'no relation on record'
    """
    if f <= 0:
        return "no relation on record"
    for figure, relatives in KIN:
        if abs(f - figure) < 1e-9:
            return f"as related as {relatives}"
    if f > KIN[0][0]:
        return "closer than full siblings"
    for figure, relatives in KIN:
        if f > figure:
            return f"closer than {relatives}"
    return "more distant than second cousins"


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
    return text if text != "0" or f == 0 else "under 0.001"
