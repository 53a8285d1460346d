"""Forms for the wording of a protocol; saving one makes a new version."""

from django import forms
from django.core.validators import MaxValueValidator
from django.utils.translation import gettext_lazy as _

from registry.telling import tell

from ..models import Assay, Protocol, ProtocolTest, ProtocolVersion

MOST = 9999  # days, or animals; no protocol means more
RULES = (
    "min_days",
    "scope",
    "never_releases",
    "weight_loss_percent",
    "eaten_within_days",
    "no_open_sign",
    "laboratory_days",
    "washout_days",
    "persistence_days",
    "note",
)


class BoundedForm(forms.ModelForm):
    """A form whose numbers stay within what a protocol can mean."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        numbers = (f for f in self.fields.values() if isinstance(f, forms.IntegerField))
        for field in numbers:
            field.validators.append(MaxValueValidator(MOST))
            field.widget.attrs["max"] = MOST


class VersionForm(BoundedForm):
    """The rules of a protocol apart from its tests."""

    class Meta:
        model = ProtocolVersion
        fields = RULES
        labels = {
            "min_days": _("Days, at least"),
            "scope": _("Additions that start the days again: to"),
            "never_releases": _("Releases nobody"),
            "weight_loss_percent": _("Weight may be under the first by at most (per cent)"),
            "eaten_within_days": _("Seen to eat in the last (days)"),
            "no_open_sign": _("No open sign of illness"),
            "laboratory_days": _("A result takes (days)"),
            "washout_days": _("Samples count nothing after a course for (days)"),
            "persistence_days": _("An enclosure passes things on for (days)"),
        }
        widgets = {"note": forms.Textarea(attrs={"rows": 2})}


class NewProtocolForm(VersionForm):
    """A protocol under a name that is not in use."""

    protocol_name = forms.CharField(max_length=120, label=_("What it is called"))

    field_order = ["protocol_name", *RULES]

    def clean_protocol_name(self):
        """Refuse a name that is in use."""
        name = self.cleaned_data["protocol_name"].strip()
        if Protocol.objects.filter(name__iexact=name).exists():
            raise forms.ValidationError(
                tell("A protocol of this name is on record; edit that one.")
            )
        return name


class TestForm(BoundedForm):
    """One line: so many negatives, so many days apart, in their own time."""

    __test__ = False

    assay = forms.ModelChoiceField(
        Assay.objects.all(), required=False, empty_label=_("no test"), label=_("Test")
    )

    class Meta:
        model = ProtocolTest
        fields = ("assay", "n", "gap", "first", "last", "per", "k", "tailed_only")
        labels = {
            "first": _("first from day"),
            "last": _("last from day"),
            "k": _("only so many of them"),
        }

    def clean(self):
        """A line without a test is no line; which lines contradict is said of the whole."""
        data = super().clean()
        if not data.get("assay"):
            self._errors.clear()
        return data

    def _get_validation_exclusions(self):
        """Leave the rules to the protocol, which says how a line contradicts itself."""
        return {f.name for f in self._meta.model._meta.get_fields()}

    def line(self):
        """Return the line as an unsaved row, None for an empty one."""
        if not self.cleaned_data.get("assay"):
            return None
        names = ("assay", "n", "gap", "first", "last", "per", "k", "tailed_only")
        return ProtocolTest(**{name: self.cleaned_data[name] for name in names})


TestsFormSet = forms.formset_factory(TestForm, extra=2, max_num=12)
