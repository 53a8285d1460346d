"""The forms for animals that are not found, found again, or out for a day."""

from django import forms

from .codes import EnclosureField
from .days import PastDayField


class MissForm(forms.Form):
    """Since when it is not found."""

    day = PastDayField(
        label="Not found on", help_text="After seven days it counts as dead until it is found."
    )


class FoundForm(forms.Form):
    """When and where it was found again."""

    day = PastDayField(label="Found on")
    enclosure = EnclosureField(
        label="Found in", help_text="If it is another than on record, this is a move as well."
    )


class OutingForm(forms.Form):
    """Out and back on one day."""

    day = PastDayField(label="On")
    purpose = forms.CharField(max_length=200, help_text="A visit to the veterinarian, photographs.")
    reason = forms.CharField(
        max_length=2000,
        label="Why this is no new arrival",
        help_text="It came back the same day and met nobody: say how you know.",
        widget=forms.Textarea(attrs={"rows": 2}),
    )
