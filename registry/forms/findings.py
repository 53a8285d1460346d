"""The forms for what is found and seen of one animal: its sex, its weight, signs, marks."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import Basis, Mark, MarkKind, ObservationKind, Sex
from ..photos import PhotoRefused, without_traces
from ..telling import tell
from .days import PastDayField


class FindingForm(forms.Form):
    """Which sex, on what basis, and when."""

    sex = forms.ChoiceField(choices=Sex, widget=forms.RadioSelect)
    basis = forms.ChoiceField(
        choices=Basis,
        help_text=_("Calling, laying, DNA, endoscopy and parenthood that was seen are strong."),
    )
    day = PastDayField(label=_("On"))
    note = forms.CharField(max_length=400, required=False)

    def clean(self):
        """Refuse a female that calls and a male that lays."""
        data = super().clean()
        if (data.get("basis"), data.get("sex")) in {("calling", "female"), ("laid", "male")}:
            self.add_error("sex", tell("Calling shows a male, laying shows a female."))
        return data


class ObservationForm(forms.Form):
    """What was seen, when, and how much it weighed."""

    kind = forms.ChoiceField(choices=ObservationKind, label=_("What"))
    day = PastDayField(label=_("On"))
    grams = forms.DecimalField(
        max_digits=9, decimal_places=3, required=False, label=_("Weight in grams"), min_value=0
    )
    text = forms.CharField(max_length=400, required=False, label=_("In words"))

    def clean(self):
        """Refuse a weight without grams, grams without a weight, and a sign nobody describes."""
        data = super().clean()
        kind, grams = data.get("kind"), data.get("grams")
        if kind == ObservationKind.WEIGHT and not grams and "grams" not in self.errors:
            self.add_error("grams", tell("Give the weight in grams, above 0."))
        if kind != ObservationKind.WEIGHT and grams:
            self.add_error(
                "grams", tell("Only a weight has grams; choose “weight”, or leave it empty.")
            )
        if kind in {ObservationKind.SIGN, ObservationKind.NOTE} and not data.get("text"):
            self.add_error("text", tell("Say what was seen."))
        return data


class GoneForm(forms.Form):
    """When a sign of illness was gone."""

    day = PastDayField(label=_("Gone on"))


class MarkForm(forms.ModelForm):
    """A ring, chip or number, or a photograph; what the camera wrote into it is taken out."""

    day = PastDayField(label=_("Since"))
    photo = forms.FileField(
        required=False,
        label=_("Photograph"),
        help_text=_("JPEG, PNG or WebP, at most 10 MB. The place it was taken at is not kept."),
        widget=forms.ClearableFileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
    )

    class Meta:
        model = Mark
        fields = ("kind", "value", "photo", "day")
        labels = {"value": _("Number or description")}

    def clean_photo(self):
        """Return the picture alone, drawn anew."""
        photo = self.cleaned_data["photo"]
        if not photo:
            return photo
        try:
            return without_traces(photo)
        except PhotoRefused as problem:
            raise forms.ValidationError(str(problem)) from problem

    def clean(self):
        """Refuse a mark that shows nothing."""
        data = super().clean()
        if data.get("kind") == MarkKind.PHOTOGRAPH:
            if not data.get("photo") and "photo" not in self.errors:
                self.add_error("photo", tell("Choose the photograph."))
        elif not data.get("value"):
            self.add_error("value", tell("Give the number or describe the mark."))
        return data
