"""The sample round: what was taken from whom, for a whole batch in one form."""

from django import forms
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from registry.forms.days import PastDayField
from registry.telling import tell

from ..rounds import POOLED, Round, in_pools
from .choices import AnimalsField, AssaysField, EnclosuresField, laboratory

SINGLY, POOLS = "singly", "pools"


class RoundForm(forms.Form):
    """Samples of animals, of enclosures, or of both, taken on one day."""

    day = PastDayField(label=_("Taken on"))
    assays = AssaysField(label=_("Of animals, for"), required=False)
    animals = AnimalsField(label=_("Animals sampled"), required=False)
    pooled = forms.ChoiceField(
        label=_("Swabs"),
        choices=[
            (SINGLY, _("each animal on its own")),
            (POOLS, format_lazy(_("pools of up to {POOLED}"), POOLED=POOLED)),
        ],
        initial=SINGLY,
        help_text=_("A pool is negative for each it holds, and positive for all."),
    )
    enclosure_assays = AssaysField(label=_("Of enclosures, for"), required=False)
    enclosures = EnclosuresField(
        enclosures=(),
        label=_("Enclosures sampled"),
        required=False,
        help_text=_("Such a sample stands for whoever stayed there that day."),
    )
    laboratory = laboratory(label=_("Laboratory"))
    label = forms.CharField(max_length=70, required=False, label=_("Label or laboratory number"))
    note = forms.CharField(max_length=400, required=False)

    def __init__(self, *args, animals=(), enclosures=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["animals"].queryset = AnimalsField(animals).queryset
        self.fields["enclosures"].queryset = EnclosuresField(enclosures).queryset

    def clean(self):
        """Refuse a round of nothing, and a test without anything it is taken from."""
        data = super().clean()
        for assays, subjects, which, what in PARTS:
            if data.get(assays) and not data.get(subjects):
                self.add_error(subjects, which)
            if data.get(subjects) and not data.get(assays) and self.is_asked(subjects):
                self.add_error(assays, what)
        if not data.get("assays") and not data.get("enclosure_assays"):
            raise forms.ValidationError(tell("Choose what is tested for."))
        return data

    def is_asked(self, subjects):
        """Whether somebody chose subjects; all animals are ticked to begin with."""
        return not (subjects == "animals" and self.cleaned_data.get("enclosure_assays"))

    def rounds(self):
        """Return the rounds this form describes: of animals, of enclosures."""
        data = self.cleaned_data
        known = {key: data[key] for key in ("day", "laboratory", "label", "note")}
        found = []
        if data["assays"]:
            assays = tuple(data["assays"])
            found.append(Round(assays=assays, **_taken(data), **known))
        if data["enclosure_assays"]:
            places = tuple(data["enclosures"])
            assays = tuple(data["enclosure_assays"])
            found.append(Round(assays=assays, enclosures=places, **known))
        return found


PARTS = (
    (
        "assays",
        "animals",
        _("Choose which animals, or no test of them."),
        _("Choose what the animals are tested for, or none of them."),
    ),
    (
        "enclosure_assays",
        "enclosures",
        _("Choose which enclosures, or no test of them."),
        _("Choose what the enclosures are tested for, or none of them."),
    ),
)


def _taken(data):
    animals = tuple(data["animals"])
    return {"pools": in_pools(animals)} if data["pooled"] == POOLS else {"singly": animals}
