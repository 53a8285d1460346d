"""The form by which a breach is settled."""

from django import forms
from django.utils.translation import gettext_lazy as _

from .days import PastDayField


class CloseBreachForm(forms.Form):
    """When and how it was settled."""

    day = PastDayField(label=_("Settled on"))
    why = forms.CharField(
        max_length=2000,
        label=_("How it was settled"),
        help_text=_("What was done, and what follows for the animals."),
        widget=forms.Textarea(attrs={"rows": 3}),
    )
