"""Forms for what is given to a batch, and for what was found of the dead."""

from django import forms

from registry.forms.days import DayField, PastDayField

from ..models import Assay, Verdict
from .choices import AssaysField, veterinarian


class CourseForm(forms.Form):
    """A course of treatment as it was prescribed."""

    what = forms.CharField(max_length=400, label="Drug and dose, as prescribed")
    assay = forms.ModelChoiceField(
        Assay.objects.all(),
        required=False,
        label="Against the agent of",
        empty_label="no agent a test looks for",
        help_text="Samples for it count nothing while the course runs and some days after.",
    )
    day = PastDayField(label="First dose")
    planned_last = DayField(required=False, label="Last dose, as planned")
    prescribed_by = veterinarian(label="Prescribed by")


class CourseEndForm(forms.Form):
    """The last dose that was given."""

    day = PastDayField(label="Last dose")


class NecropsyForm(forms.Form):
    """What a necropsy reports."""

    day = PastDayField(label="Reported on")
    cause = forms.CharField(max_length=400, required=False, label="Cause of death")
    accepted = forms.BooleanField(
        required=False, label="The cause explains the death and is no danger to the batch"
    )
    none_can_be_found = forms.BooleanField(
        required=False, label="A veterinarian states that no cause can be found"
    )
    veterinarian = veterinarian(label="Veterinarian")
    positive = AssaysField(
        required=False,
        label="Found positive in the carcass",
        help_text="Counts as a sample dated on the death.",
    )
    verdict = forms.ChoiceField(
        choices=[("", "as the test has it"), *Verdict.choices],
        required=False,
        label="A positive means",
    )
