"""The forms by which an entry of quarantine is corrected or withdrawn; both say why."""

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.forms.days import AgreedDayField, PastDayField

from ..amending import KINDS
from ..wording import in_force

DAYS = {
    "day": _("On"),
    "start": _("From"),
    "opened": _("Opening day"),
    "end": _("Last dose"),
    "due_back": _("Due back on"),
}
WHY = {
    "max_length": 2000,
    "label": _("Why it is corrected"),
    "help_text": _("Kept with the correction; the first entry stays readable."),
    "widget": forms.Textarea(attrs={"rows": 2}),
}


class WithdrawForm(forms.Form):
    """Why an entry is withdrawn."""

    why = forms.CharField(**WHY | {"label": _("Why it never was")})


def amendment_form(fact, *args):
    """Return the form for a fact with the fields that may be corrected, and a reason."""
    fields, _ = KINDS[fact._meta.label_lower]
    optional = {f.name for f in fact._meta.concrete_fields if f.blank}
    days = {
        name: _day_field(name)(label=label, required=name not in optional)
        for name, label in DAYS.items()
        if name in fields
    }
    own = {"why": forms.CharField(**WHY), "__module__": __name__, "_post_clean": _left_to_the_act}
    meta = type("Meta", (), {"model": type(fact), "fields": fields})
    made = type("AmendmentForm", (forms.ModelForm,), days | own | {"Meta": meta})
    form = made(*args, instance=type(fact).objects.get(pk=fact.pk))
    if "version" in fields:
        keys = {v.pk for v in in_force()} | {fact.version_id}
        form.fields["version"].queryset = form.fields["version"].queryset.filter(pk__in=keys)
    return form


def _day_field(name):
    """Return the field of a day: only what is agreed for later may be ahead."""
    return AgreedDayField if name == "due_back" else PastDayField


def _left_to_the_act(form):
    """Leave the row as it is: the act makes a new one."""
