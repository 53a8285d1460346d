"""The form by which an animal on loan passes to another owner."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import OwnerChange, Party
from .days import PastDayField


class OwnerForm(forms.Form):
    """Whose it is since when, and how it came to be theirs."""

    kind = forms.ChoiceField(
        choices=[(k.value, k.label) for k in OwnerChange.KINDS], label=_("How")
    )
    day = PastDayField(label=_("On"))
    owner = forms.ModelChoiceField(
        Party.objects.all(),
        label=_("Belongs since to"),
        help_text=_(
            "It stays where it is. Of whoever has it on loan, the loan ends; somebody new is "
            "entered as a party first."
        ),
    )
    note = forms.CharField(
        max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
