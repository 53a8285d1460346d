"""The forms by which an entry is corrected or withdrawn; both say why."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..correcting import KINDS
from ..models import DUE, Departure, DepartureKind, Party
from ..telling import tell
from .codes import EnclosureField
from .days import AgreedDayField, DayField, PastDayField

WHY = {
    "max_length": 2000,
    "label": _("Why it is corrected"),
    "help_text": _("Kept with the correction; the first entry stays readable."),
    "widget": forms.Textarea(attrs={"rows": 2}),
}


def correction_form(fact, *args):
    """Return the form for a fact with its fields and a reason."""
    fields, _ = KINDS[fact._meta.label_lower]
    days = {name: PastDayField(label=tell("On")) for name in ("day", "start") if name in fields}
    own = {"why": forms.CharField(**WHY), "__module__": __name__}
    meta = type("Meta", (), {"model": type(fact), "fields": fields})
    form_class = type("CorrectionForm", (forms.ModelForm,), days | own | {"Meta": meta})
    return form_class(*args, instance=fact)


class MoveCorrectionForm(forms.Form):
    """To which enclosure and on which day it really was."""

    enclosure = EnclosureField(label=_("Into"))
    day = DayField(label=_("On"))
    why = forms.CharField(**WHY)


class DepartureCorrectionForm(forms.ModelForm):
    """How, when and to whom it really left."""

    day = PastDayField(label=_("On"))
    kind = forms.ChoiceField(choices=DepartureKind, label=_("How"))
    receiver = forms.ModelChoiceField(
        Party.objects.all(), required=False, empty_label=_("nobody (death, escape)")
    )
    due_back = AgreedDayField(required=False, label=_("Due back on"), help_text=DUE)
    why = forms.CharField(**WHY)

    class Meta:
        model = Departure
        fields = ("kind", "day", "receiver", "due_back", "cause", "note")

    def _get_validation_exclusions(self):
        """Leave to the door what its rules say of kind and receiver."""
        return {*super()._get_validation_exclusions(), "receiver", "kind", "due_back"}

    def validate_constraints(self):
        """Leave to the door that a receiver is named, so that it is said once."""


class WhyForm(forms.Form):
    """Why an entry is withdrawn."""

    why = forms.CharField(**WHY | {"label": _("Why it never was")})
