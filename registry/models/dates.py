"""Dates that may be a day, a month, a year, or "about"."""

from calendar import monthrange
from datetime import date, timedelta

from django.db import models
from django.utils.translation import gettext_lazy as _

ABOUT_DAYS = 30  # "about" a day means this many days either way


class Precision(models.TextChoices):
    """How exactly a date is known."""

    DAY = "day", _("to the day")
    MONTH = "month", _("to the month")
    YEAR = "year", _("to the year")
    ABOUT = "about", _("about")
    UNKNOWN = "unknown", _("unknown")


def earliest(day, precision):
    """Return the first day a date may mean; None where nothing is known."""
    if day is None or precision == Precision.UNKNOWN:
        return None
    if precision == Precision.ABOUT:
        return day - timedelta(days=ABOUT_DAYS)
    if precision == Precision.MONTH:
        return day.replace(day=1)
    if precision == Precision.YEAR:
        return date(day.year, 1, 1)
    return day


def latest(day, precision):
    """Return the last day a date may mean; None where nothing is known."""
    if day is None or precision == Precision.UNKNOWN:
        return None
    if precision == Precision.ABOUT:
        return day + timedelta(days=ABOUT_DAYS)
    if precision == Precision.MONTH:
        return day.replace(day=monthrange(day.year, day.month)[1])
    if precision == Precision.YEAR:
        return date(day.year, 12, 31)
    return day
