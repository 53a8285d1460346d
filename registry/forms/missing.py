"""The forms for animals that are not found, found again, or out for a day."""

from django import forms
from django.utils.translation import gettext_lazy as _

from .codes import EnclosureField
from .days import PastDayField


class MissForm(forms.Form):
    """Since when it is not found."""

    day = PastDayField(
        label=_("Not found on"),
        help_text=_("After seven days it counts as dead until it is found."),
    )


class FoundForm(forms.Form):
    """When and where it was found again."""

    day = PastDayField(label=_("Found on"))
    enclosure = EnclosureField(
        label=_("Found in"), help_text=_("If it is another than on record, this is a move as well.")
    )


class OutingForm(forms.Form):
    """Out and back on one day."""

    day = PastDayField(label=_("On"))
    purpose = forms.CharField(
        max_length=200, help_text=_("A visit to the veterinarian, photographs.")
    )
    reason = forms.CharField(
        max_length=2000,
        label=_("Why this is no new arrival"),
        help_text=_("It came back the same day and met nobody: say how you know."),
        widget=forms.Textarea(attrs={"rows": 2}),
    )
