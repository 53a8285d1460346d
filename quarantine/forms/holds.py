"""Forms by which somebody holds by hand, and by which somebody signs."""

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.forms.days import PastDayField
from registry.models import Animal, Enclosure, Unit
from registry.telling import tell


class HoldForm(forms.Form):
    """What is held, from when and why; one of the three."""

    animal = forms.ModelChoiceField(
        Animal.objects.all(),
        to_field_name="code",
        required=False,
        widget=forms.TextInput,
        error_messages={"invalid_choice": _("No animal on record has this code.")},
        help_text=_("Its code."),
    )
    enclosure = forms.ModelChoiceField(
        Enclosure.objects.all(), required=False, empty_label=_("no enclosure")
    )
    unit = forms.ModelChoiceField(Unit.objects.all(), required=False, empty_label=_("no unit"))
    day = PastDayField(label=_("From"))
    reason = forms.CharField(
        max_length=400, label=_("Why"), widget=forms.Textarea(attrs={"rows": 2})
    )

    def clean(self):
        """Refuse a hold on nothing, and on several things."""
        data = super().clean()
        chosen = [data.get(kind) for kind in ("animal", "enclosure", "unit") if data.get(kind)]
        if len(chosen) != 1 and not self.errors:
            raise forms.ValidationError(
                tell("Hold an animal, an enclosure or a unit: one of them.")
            )
        data["thing"] = chosen[0] if chosen else None
        return data


class HoldEndForm(forms.Form):
    """When a hold was lifted."""

    day = PastDayField(label=_("Lifted on"))


class SignForm(forms.Form):
    """A signature under a release: the day, and what there is to say."""

    note = forms.CharField(
        max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 2}), label=_("Remark")
    )


class OverrideForm(forms.Form):
    """A veterinarian's override, with a written reason."""

    veterinarian = forms.CharField(max_length=200, label=_("Veterinarian who decides"))
    grounds = forms.CharField(
        max_length=4000,
        label=_("The veterinarian's reason"),
        widget=forms.Textarea(attrs={"rows": 3}),
    )


class StockForm(forms.Form):
    """Opening stock that is cleared by one signed act."""

    animals = forms.ModelMultipleChoiceField(
        Animal.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        label=_("Animals"),
        error_messages={"required": _("Choose at least one animal.")},
    )
    day = PastDayField(label=_("Cleared on"))
    grounds = forms.CharField(
        max_length=4000, label=_("On what grounds"), widget=forms.Textarea(attrs={"rows": 3})
    )
