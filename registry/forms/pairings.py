"""The forms by which two animals are planned, joined and parted."""

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from ..models import Animal, Enclosure
from ..telling import tell
from .days import DayField

ANIMALS = Animal.objects.select_related("taxon", "locality")


class PairForm(forms.Form):
    """Which two animals, where and from when; without an enclosure the pair is only planned."""

    first = forms.ModelChoiceField(ANIMALS, widget=forms.HiddenInput)
    second = forms.ModelChoiceField(ANIMALS, widget=forms.HiddenInput)
    day = DayField(label=_("From"))
    enclosure = forms.ModelChoiceField(
        Enclosure.objects.filter(retired_on__isnull=True).select_related("unit"),
        required=False,
        empty_label=_("only plan it"),
        help_text=_("Both move there on that day. The one already there stays."),
    )

    def clean(self):
        """Refuse an animal as its own mate."""
        data = super().clean()
        if data.get("first") and data.get("first") == data.get("second"):
            raise forms.ValidationError(tell("A pair is two different animals."))
        return data


class EndPairForm(forms.Form):
    """When and why a pairing ended."""

    day = DayField(label=_("Ended on"))
    why = forms.CharField(max_length=400, label=_("Why"))

    def __init__(self, *args, pairing, **kwargs):
        super().__init__(*args, **kwargs)
        self.pairing = pairing

    def clean_day(self):
        """Refuse an end in the future or before the beginning."""
        day = self.cleaned_data["day"]
        if day > timezone.localdate():
            raise forms.ValidationError(
                tell("A pairing ends on the day it ends, not in the future.")
            )
        if day < self.pairing.about:
            raise forms.ValidationError(tell("It cannot end before it began."))
        return day
