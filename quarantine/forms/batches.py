"""Forms by which isolations are opened, joined, split and moved."""

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.forms.days import DayField, PastDayField

from ..models import IsolationKind
from .choices import AnimalsField, VersionField, enclosures_field


class OpenForm(forms.Form):
    """An isolation for animals that are chosen."""

    name = forms.CharField(max_length=120, label=_("What the batch is called"))
    kind = forms.ChoiceField(choices=IsolationKind.choices, label=_("Why it is held apart"))
    version = VersionField()
    day = PastDayField(
        label=_("Opening day"),
        help_text=_("The days count from here at the earliest, not before the last one came."),
    )
    animals = AnimalsField(label=_("Animals"))
    note = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 2}), required=False, max_length=4000
    )

    def __init__(self, *args, animals=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["version"].offer()
        self.fields["animals"].queryset = AnimalsField(animals).queryset


class JoinForm(forms.Form):
    """Animals that are added to a batch."""

    animals = AnimalsField(label=_("Who joins"))
    day = PastDayField(
        label=_("On"), help_text=_("The days of the whole batch start again from here.")
    )

    def __init__(self, *args, animals=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["animals"].queryset = AnimalsField(animals).queryset


class SplitForm(forms.Form):
    """Animals parted off as a batch of their own."""

    animals = AnimalsField(label=_("Who is parted off"))
    day = PastDayField(
        label=_("On"),
        help_text=_(
            "Facts up to this day count for both parts; a positive or an "
            "unexplained death up to 14 days later counts for both too."
        ),
    )
    name = forms.CharField(max_length=120, label=_("What the new batch is called"))
    version = VersionField(
        required=False,
        empty_label=_("the same"),
        help_text=_("Another protocol opens on that day."),
    )

    def __init__(self, *args, animals=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["version"].offer()
        self.fields["animals"].queryset = AnimalsField(animals).queryset


class MoveForm(forms.Form):
    """Where a whole batch moves."""

    day = DayField(label=_("From"))
    enclosures = enclosures_field()
