"""The forms for what happened to one animal of an enclosure, or to one of several of them."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import Animal, OneOfThese, Party
from ..models.one_of_these import UNRECEIVED
from .days import PastDayField


class HappenedForm(forms.Form):
    """When one of the animals of an enclosure died, went or was heard, and what belongs to it."""

    animals = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        label=_("It was one of these"),
        help_text=_("Untick those that it surely was not."),
    )
    receiver = forms.ModelChoiceField(
        Party.objects.all(), label=_("To"), empty_label=_("choose one"), required=False
    )
    cause = forms.CharField(max_length=400, required=False, help_text=_("As far as it is known."))
    day = PastDayField(label=_("On"))
    note = forms.CharField(max_length=400, required=False)

    def __init__(self, data, *, what, animals, **kwargs):
        if data and data.get("to"):
            data = data.copy()
            data["receiver"] = data["to"]
        super().__init__(data, **kwargs)
        self.chosen = animals
        self.fields["animals"].choices = [(str(a.pk), a.code) for a in animals]
        self.initial["animals"] = [str(a.pk) for a in animals]
        if len(animals) == 1:
            del self.fields["animals"]
        if what in UNRECEIVED:
            del self.fields["receiver"]
        if what != "death":
            del self.fields["cause"]

    def clean(self):
        """Give what the act has no field for."""
        data = {"receiver": None, "cause": ""} | super().clean()
        keys = data.get("animals", [str(a.pk) for a in self.chosen])
        return data | {"animals": tuple(a for a in self.chosen if str(a.pk) in keys)}


class SettleForm(forms.Form):
    """Which one it was, and why where it was settled on another."""

    animal = forms.ModelChoiceField(
        Animal.objects.none(), widget=forms.RadioSelect, empty_label=None, label=_("It was")
    )
    why = forms.CharField(
        max_length=2000,
        label=_("Why it was another"),
        help_text=_("Kept with the correction; the first entry stays readable."),
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args, event: OneOfThese, settled=None, **kwargs):
        super().__init__(*args, **kwargs)
        rows = Animal.objects.filter(one_of_these=event).order_by("code")
        if settled:
            rows = rows.exclude(pk=settled.animal_id)
        else:
            del self.fields["why"]
        self.fields["animal"].queryset = rows


class OpenAgainForm(forms.Form):
    """Why it is open again which one it was."""

    why = forms.CharField(
        max_length=2000,
        label=_("Why nobody knows any more"),
        help_text=_("Kept with the correction; the first entry stays readable."),
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class LetBeForm(forms.Form):
    """Why it makes no difference which one it was."""

    why = forms.CharField(max_length=400, label=_("Why it makes no difference"))
    day = PastDayField(label=_("Left open on"))
