"""Days people type: the past for what happened, up to a year ahead for what is planned."""

from datetime import timedelta

from django import forms
from django.utils import timezone

from ..telling import tell

AHEAD = timedelta(days=366)  # how far ahead a move may be planned
AGREED = timedelta(days=30 * 366)
EARLIEST = 1900


class DayField(forms.DateField):
    """A day typed or picked, in the machine's format or written out; at most a year ahead."""

    def __init__(self, **kwargs):
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        kwargs.setdefault(
            "error_messages", {"invalid": tell("Give a day, as in 2026-10-03 or 3 Oct 2026.")}
        )
        kwargs.setdefault("input_formats", ["%Y-%m-%d", "%d %b %Y", "%d %B %Y", "%d.%m.%Y"])
        super().__init__(**kwargs)

    def clean(self, value):
        """Refuse days that no record of a living animal can be about."""
        day = super().clean(value)
        if day and day.year < EARLIEST:
            raise forms.ValidationError(
                tell("A day before {EARLIEST} is not on record here.", EARLIEST=EARLIEST)
            )
        if day:
            self.refuse_late(day)
        return day

    def refuse_late(self, day):
        """Refuse a plan for more than a year ahead."""
        if day > timezone.localdate() + AHEAD:
            raise forms.ValidationError(tell("Plan at most a year ahead."))


class PastDayField(DayField):
    """A day that has come: today or earlier."""

    def refuse_late(self, day):
        """Refuse days still to come."""
        if day > timezone.localdate():
            raise forms.ValidationError(
                tell("That day is still to come; enter it once it happened.")
            )


class AgreedDayField(DayField):
    """A day agreed with somebody for later, such as the end of a loan; decades ahead at most."""

    def refuse_late(self, day):
        """Refuse what nobody agrees on in earnest."""
        if day > timezone.localdate() + AGREED:
            raise forms.ValidationError(tell("Agree on a day at most 30 years ahead."))
