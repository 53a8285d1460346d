"""The forms by which two animals are planned, joined and parted."""

from datetime import timedelta

from django import forms
from django.utils import timezone

from ..models import Animal, Enclosure

AHEAD = timedelta(days=366)  # how far ahead a move may be planned
EARLIEST = 1900


class DayField(forms.DateField):
    """A day typed or picked, in the machine's format or written out."""

    def __init__(self, **kwargs):
        kwargs.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        kwargs.setdefault(
            "error_messages", {"invalid": "Give a day, as in 2026-10-03 or 3 Oct 2026."}
        )
        kwargs.setdefault("input_formats", ["%Y-%m-%d", "%d %b %Y", "%d %B %Y", "%d.%m.%Y"])
        super().__init__(**kwargs)

    def clean(self, value):
        """Refuse days that no record of a living animal can be about."""
        day = super().clean(value)
        if day and day.year < EARLIEST:
            raise forms.ValidationError(f"A day before {EARLIEST} is not on record here.")
        if day and day > timezone.localdate() + AHEAD:
            raise forms.ValidationError("Plan at most a year ahead.")
        return day


class PairForm(forms.Form):
    """Which two animals, where and from when; without an enclosure the pair is only planned."""

    first = forms.ModelChoiceField(Animal.objects.all(), widget=forms.HiddenInput)
    second = forms.ModelChoiceField(Animal.objects.all(), widget=forms.HiddenInput)
    day = DayField(label="From")
    enclosure = forms.ModelChoiceField(
        Enclosure.objects.filter(retired_on__isnull=True).select_related("unit"),
        required=False,
        empty_label="only plan it",
        help_text="Both move there on that day. The one already there stays.",
    )

    def clean(self):
        """Refuse an animal as its own mate."""
        data = super().clean()
        if data.get("first") and data.get("first") == data.get("second"):
            raise forms.ValidationError("A pair is two different animals.")
        return data


class EndPairForm(forms.Form):
    """When and why a pairing ended."""

    day = DayField(label="Ended on")
    why = forms.CharField(max_length=400, label="Why")

    def __init__(self, *args, pairing, **kwargs):
        super().__init__(*args, **kwargs)
        self.pairing = pairing

    def clean_day(self):
        """Refuse an end in the future or before the beginning."""
        day = self.cleaned_data["day"]
        if day > timezone.localdate():
            raise forms.ValidationError("A pairing ends on the day it ends, not in the future.")
        if day < self.pairing.about:
            raise forms.ValidationError("It cannot end before it began.")
        return day
