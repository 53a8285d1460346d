"""The forms by which animals on record come again, or go between premises of this register."""

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.arriving import Return
from registry.forms.codes import animals_field
from registry.forms.days import AgreedDayField, PastDayField
from registry.models import ArrivalKind, Holding, Party
from registry.transferring import Transfer

from .arrivals import DUE_BACK, ApartFields

KINDS = [(v, label) for v, label in ArrivalKind.choices if v != "opening"]
BETWEEN = (
    ("loan", _("loan")),
    ("return", _("return of a loan")),
    ("sale", _("sale")),
    ("gift", _("gift")),
    ("exchange", _("exchange")),
)


class ReturnForm(ApartFields):
    """Animals on record that came back from a loan, or were bought again."""

    animals = animals_field(help_text=_("Their codes, with commas between."))
    day = PastDayField(label=_("Arrived on"))
    kind = forms.ChoiceField(choices=KINDS, initial="return")
    supplier = forms.ModelChoiceField(
        Party.objects.all(), label=_("From"), empty_label=_("choose one")
    )
    holding = forms.ModelChoiceField(Holding.objects.all(), label=_("Premises"), empty_label=None)
    due_back = AgreedDayField(**DUE_BACK)
    route = forms.CharField(
        max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    note = forms.CharField(
        max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.order_fields(["animals", "day", "kind", "due_back", "supplier", "holding", "route"])

    def clean(self):
        """Refuse a batch of their own and one to join at once."""
        data = super().clean()
        self.refuse_both(data)
        return data

    def back(self):
        """Return what is told of the return."""
        data = self.cleaned_data
        names = ("day", "kind", "supplier", "holding", "animals", "due_back", "route", "note")
        return Return(**{name: data[name] for name in names})


class BetweenForm(ApartFields):
    """Animals that go from the premises they are at to others of this register."""

    animals = animals_field(help_text=_("Codes, with commas between; all from the same premises."))
    holding = forms.ModelChoiceField(
        Holding.objects.all(),
        label=_("To"),
        empty_label=_("choose the premises"),
        help_text=_(
            "They leave where they are and arrive there in one act, with a line in both registers."
        ),
    )
    kind = forms.ChoiceField(choices=BETWEEN, label=_("How"))
    day = PastDayField(label=_("On"))
    due_back = AgreedDayField(**DUE_BACK)
    route = forms.CharField(
        max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    note = forms.CharField(
        max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    GROUPS = (
        (_("Going"), "animals holding kind day due_back", False),
        (_("The way they go"), "route note", True),
        (_("Where they wait"), "version name batch enclosures", False),
    )

    def clean(self):
        """Refuse a batch of their own and one to join at once."""
        data = super().clean()
        self.refuse_both(data)
        return data

    def move(self, papers=()):
        """Return the move as it is told."""
        data = self.cleaned_data
        names = ("day", "kind", "animals", "holding", "due_back", "route", "note")
        return Transfer(**{name: data[name] for name in names}, papers=tuple(papers))
