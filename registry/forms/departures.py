"""The form by which animals leave."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import DUE, DepartureKind, Party
from .codes import animals_field
from .days import AgreedDayField, PastDayField


class DepartureForm(forms.Form):
    """Who left, when, how, to whom, and of what where it died."""

    animals = animals_field()
    kind = forms.ChoiceField(choices=DepartureKind, label=_("How"))
    day = PastDayField(label=_("On"))
    receiver = forms.ModelChoiceField(
        Party.objects.all(),
        required=False,
        empty_label=_("nobody (death, escape)"),
        help_text=_("Who has it now; somebody new is entered as a party first."),
    )
    due_back = AgreedDayField(required=False, label=_("Due back on"), help_text=DUE)
    cause = forms.CharField(
        max_length=400, required=False, help_text=_("Of a death, as far as it is known.")
    )
    note = forms.CharField(
        max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
