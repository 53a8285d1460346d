"""Forms for what is given to a batch, and for what was found of the dead."""

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.forms.days import DayField, PastDayField

from ..models import Assay, Verdict
from .choices import AssaysField, veterinarian


class CourseForm(forms.Form):
    """A course of treatment as it was prescribed."""

    what = forms.CharField(max_length=400, label=_("Drug and dose, as prescribed"))
    assay = forms.ModelChoiceField(
        Assay.objects.all(),
        required=False,
        label=_("Against the agent of"),
        empty_label=_("no agent a test looks for"),
        help_text=_("Samples for it count nothing while the course runs and some days after."),
    )
    day = PastDayField(label=_("First dose"))
    planned_last = DayField(required=False, label=_("Last dose, as planned"))
    prescribed_by = veterinarian(label=_("Prescribed by"))


class CourseEndForm(forms.Form):
    """The last dose that was given."""

    day = PastDayField(label=_("Last dose"))


class NecropsyForm(forms.Form):
    """What a necropsy reports."""

    day = PastDayField(label=_("Reported on"))
    cause = forms.CharField(max_length=400, required=False, label=_("Cause of death"))
    accepted = forms.BooleanField(
        required=False, label=_("The cause explains the death and is no danger to the batch")
    )
    none_can_be_found = forms.BooleanField(
        required=False, label=_("A veterinarian states that no cause can be found")
    )
    veterinarian = veterinarian(label=_("Veterinarian"))
    positive = AssaysField(
        required=False,
        label=_("Found positive in the carcass"),
        help_text=_("Counts as a sample dated on the death."),
    )
    verdict = forms.ChoiceField(
        choices=[("", _("as the test has it")), *Verdict.choices],
        required=False,
        label=_("A positive means"),
    )
