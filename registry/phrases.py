"""Sentences people read, in one place: names in a row, days, and how close kin are."""

import re
from datetime import date
from functools import lru_cache, wraps

from django.conf import settings
from django.utils.formats import date_format
from django.utils.translation import get_language, override

from .telling import decimal, tell, tell_many, to_tell

DAYS_COUNTED = 200  # longer than the days of any quarantine
MONTH, YEAR = 30.4375, 365.25
MONTHS_COUNTED = 2 * YEAR
ISO = re.compile(r"\b(\d{4})-(\d\d)-(\d\d)\b")

# Kinship of the young's parents, least first, and what it is as close as.
KIN = (
    (1 / 4, to_tell("as related as full siblings, or parent and young"), ""),
    (1 / 8, to_tell("as related as half-siblings"), to_tell("closer than half-siblings")),
    (1 / 16, to_tell("as related as first cousins"), to_tell("closer than first cousins")),
    (1 / 64, to_tell("as related as second cousins"), to_tell("closer than second cousins")),
)


# Names of fields that forms make of the fields of a model; they are told where they are drawn.
FIELDS = (
    *(to_tell("Role"), to_tell("Reason"), to_tell("Keepers"), to_tell("Sheet"), to_tell("Runs")),
    *(to_tell("Seed"), to_tell("Precision"), to_tell("Assay"), to_tell("Per"), to_tell("Verdict")),
    *(to_tell("Outcome"), to_tell("Common name"), to_tell("Taxon"), to_tell("Locality")),
    *(to_tell("Receiver"), to_tell("Cause"), to_tell("Purpose"), to_tell("Supplier")),
)
# How sure a pair is, and what came of a clutch.
OUTCOMES = (
    *(to_tell("probable"), to_tell("sexed"), to_tell("proven"), to_tell("good")),
    *(to_tell("failed"), to_tell("not known"), to_tell("active")),
)


def for_good(act):
    """Let an act say what is kept for good in the language of the installation, whoever acts."""

    @wraps(act)
    def spoken(*args, **kwargs):
        with override(settings.LANGUAGE_CODE):
            return act(*args, **kwargs)

    return spoken


def in_a_row(things):
    """Return names joined as in a sentence.

    >>> in_a_row(["A", "B", "C"])
    'A, B and C'
    """
    names = [str(t) for t in things]
    if len(names) < 2:
        return "".join(names)
    return tell(
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
    return tell(
        "{all_but_the_last} or {last}", all_but_the_last=", ".join(names[:-1]), last=names[-1]
    )


def written(day):
    """Return a day written out.

    >>> from datetime import date
    >>> written(date(2026, 10, 3))
    '3 Oct 2026'
    """
    return _written(day, get_language())


@lru_cache(maxsize=10_000)
def _written(day, language):
    return date_format(day, "DATE_FORMAT")


def dated(day, precision):
    """Return a day as exactly as it is known.

    >>> from datetime import date
    >>> dated(date(2026, 10, 3), "month"), dated(date(2026, 10, 3), "about")
    ('Oct 2026', 'about 3 Oct 2026')
    """
    if day is None or precision == "unknown":
        return tell("on an unknown day")
    if precision == "about":
        return tell("about {day}", day=written(day))
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
        return {-1: tell("yesterday"), 0: tell("today"), 1: tell("tomorrow")}[days]
    return _ahead(days) if days > 0 else _ago(-days)


def _ahead(days):
    if days < DAYS_COUNTED:
        return tell_many("in {count} day", "in {count} days", days)
    if days < MONTHS_COUNTED:
        return tell_many("in {count} month", "in {count} months", round(days / MONTH))
    return tell_many("in {count} year", "in {count} years", int(days / YEAR))


def _ago(days):
    if days < DAYS_COUNTED:
        return tell_many("{count} day ago", "{count} days ago", days)
    if days < MONTHS_COUNTED:
        return tell_many("{count} month ago", "{count} months ago", round(days / MONTH))
    return tell_many("{count} year ago", "{count} years ago", int(days / YEAR))


def kin_words(f):
    """Say how close a kinship is, by the relatives everyone knows.

    >>> kin_words(0.125)
    'as related as half-siblings'
    >>> kin_words(0)
    'no relation on record'
    """
    if f <= 0:
        return tell("no relation on record")
    for figure, alike, _ in KIN:
        if abs(f - figure) < 1e-9:
            return tell(alike)
    if f > KIN[0][0]:
        return tell("closer than full siblings")
    for figure, _, closer in KIN:
        if f > figure:
            return tell(closer)
    return tell("more distant than second cousins")


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
        return tell("under {figure}", figure=decimal("0.001"))
    return decimal(text)
