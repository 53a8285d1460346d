"""Forms for traces, and for taking those exposed into an isolation."""

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from registry.forms.codes import animal_field
from registry.forms.days import PastDayField
from registry.models import Enclosure
from registry.telling import tell

from ..tracing import Asked, start_of
from .choices import AnimalsField, VersionField


class ExposedForm(forms.Form):
    """Everyone exposed, into one isolation."""

    animals = AnimalsField(label=_("Take into isolation"))
    name = forms.CharField(max_length=120, label=_("What the batch is called"))
    version = VersionField()
    day = PastDayField(
        label=_("Opening day"),
        help_text=_(
            "The day the last of them was exposed, or later. The days run from "
            "the last meeting with a held animal of another batch."
        ),
    )

    def __init__(self, *args, animals=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["version"].offer()
        self.fields["animals"].queryset = AnimalsField(animals).queryset


class TraceForm(forms.Form):
    """Where a trace starts and which way it goes."""

    animal = animal_field(label=_("Animal"), required=False, help_text=_("Its code."))
    enclosure = forms.ModelChoiceField(
        Enclosure.objects.all(), required=False, label=_("Or an enclosure"), empty_label=_("none")
    )
    day = PastDayField(
        required=False,
        label=_("Suspected on"),
        help_text=_(
            "The trace begins the day after the last negative before it, at most 90 days back."
        ),
    )
    start = PastDayField(required=False, label=_("Or begin on"))
    until = PastDayField(required=False, label=_("Until"))
    way = forms.ChoiceField(
        choices=[("onward", _("whom it can have reached")), ("back", _("who can have reached it"))],
        required=False,
        label=_("Show"),
    )

    def clean(self):
        """Refuse a trace from nothing, from two things, or that ends before it begins."""
        data = super().clean()
        if bool(data.get("animal")) == bool(data.get("enclosure")) and not self.errors:
            raise forms.ValidationError(tell("Trace from an animal or from an enclosure."))
        if data.get("way") == "back" and data.get("enclosure"):
            self.add_error("way", tell("Who can have reached it is asked of an animal."))
        if not self.errors and self.asked().until < self.asked().start:
            self.add_error("until", tell("The trace would end before it begins."))
        return data

    def asked(self):
        """Return the trace that is asked for."""
        data = self.cleaned_data
        until = data["until"] or timezone.localdate()
        day = data["day"] or until
        return Asked(
            animal=data["animal"],
            enclosure=data["enclosure"],
            start=data["start"] or start_of(data["animal"], day),
            until=until,
            back=data["way"] == "back",
        )
