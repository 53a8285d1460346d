"""The form by which animals on record come again."""

from django import forms

from registry.forms.codes import animals_field
from registry.forms.days import PastDayField
from registry.models import ArrivalKind, Holding, Party

from ..receiving import Return
from .arrivals import ApartFields

KINDS = [(v, label) for v, label in ArrivalKind.choices if v != "opening"]


class ReturnForm(ApartFields):
    """Animals on record that came back from a loan, or were bought again."""

    animals = animals_field(help_text="Their codes, with commas between.")
    day = PastDayField(label="Arrived on")
    kind = forms.ChoiceField(choices=KINDS, initial="return")
    supplier = forms.ModelChoiceField(Party.objects.all(), label="From", empty_label="choose one")
    holding = forms.ModelChoiceField(Holding.objects.all(), label="Premises", empty_label=None)
    route = forms.CharField(
        max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    note = forms.CharField(
        max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.order_fields(["animals", "day", "kind", "supplier", "holding", "route"])

    def clean(self):
        """Refuse a batch of their own and one to join at once."""
        data = super().clean()
        self.refuse_both(data)
        return data

    def back(self):
        """Return what is told of the return."""
        data = self.cleaned_data
        names = ("day", "kind", "supplier", "holding", "animals", "route", "note")
        return Return(**{name: data[name] for name in names})
