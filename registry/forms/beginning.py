"""The forms of the first steps: premises, species from the shipped list, units, many enclosures."""

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from ..codes import run_of_codes
from ..models import Enclosure, Holding, Party, Unit
from ..species import not_on_record
from ..telling import tell
from .enclosures import UnitForm

MOST_ENCLOSURES = 200


class PremisesForm(forms.Form):
    """Premises and the person or firm that keeps them, as papers name it."""

    name = forms.CharField(
        max_length=200,
        label=_("What the premises are called"),
        help_text=_("For example a street and house, or “Frog room”."),
    )
    keeper = forms.CharField(
        max_length=200, label=_("Kept by"), help_text=_("The person or firm, as papers name it.")
    )
    address = forms.CharField(
        max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )
    country = forms.RegexField(
        r"^[A-Za-z]{2}$",
        required=False,
        help_text=_("Two letters, as in NL or DE."),
        error_messages={"invalid": _("A country is its two letters, as in NL or DE.")},
    )
    registration = forms.CharField(
        max_length=100,
        required=False,
        label=_("Registration number"),
        help_text=_("Where an authority has given one."),
    )

    def clean_name(self):
        """Refuse a name that premises have already."""
        name = " ".join(self.cleaned_data["name"].split())
        if Holding.objects.filter(name__iexact=name).exists():
            raise ValidationError(tell("{name} is on record already.", name=name))
        return name

    def clean_keeper(self):
        """Refuse a keeper who has premises already."""
        name = " ".join(self.cleaned_data["keeper"].split())
        party = Party.objects.filter(name__iexact=name, holding__isnull=False).first()
        if party:
            raise ValidationError(
                tell("{party} keeps {holding} already.", party=party, holding=party.holding)
            )
        return name

    def clean_country(self):
        """Write the two letters as capitals."""
        return self.cleaned_data["country"].upper()


class SpeciesForm(forms.Form):
    """Species of the shipped list that are not on record yet."""

    species = forms.MultipleChoiceField(
        widget=forms.CheckboxSelectMultiple,
        label=_("Species you keep"),
        error_messages={"required": _("Choose at least one, or add a taxon of your own.")},
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.offered = {one.name: one for one in not_on_record()}
        self.fields["species"].choices = [
            (one.name, f"{one.name}, {tell(one.common_name)}") for one in self.offered.values()
        ]

    def chosen(self):
        """Return the species that were chosen."""
        return [self.offered[name] for name in self.cleaned_data["species"]]


class FirstUnitForm(UnitForm):
    """A unit; one left without a name is no unit."""

    class Meta(UnitForm.Meta):
        fields = ("holding", "name", "role")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["name"].required = False
        self.fields["holding"].empty_label, self.fields["role"].help_text = None, ""
        self.empty_permitted, self.use_required_attribute = True, False

    def clean_name(self):
        """Join the words of a name."""
        return " ".join(self.cleaned_data["name"].split())

    def has_changed(self):
        """Whether a unit is named."""
        return bool(self.data.get(self.add_prefix("name"), "").strip())


class UnitsFormSet(forms.BaseModelFormSet):
    """A few units at once."""

    def clean(self):
        """Refuse none at all, and one name twice at the same premises."""
        named = [f.cleaned_data for f in self.forms if f.has_changed() and f.is_valid()]
        keys = [(one["holding"], one["name"].casefold()) for one in named]
        if len(set(keys)) < len(keys):
            raise ValidationError(tell("Two units of one place have the same name."))
        if not any(form.has_changed() for form in self.forms):
            raise ValidationError(tell("Name at least one unit."))


UNITS = forms.modelformset_factory(Unit, form=FirstUnitForm, formset=UnitsFormSet, extra=3)


class EnclosuresForm(forms.Form):
    """Several enclosures of one unit, numbered by a pattern."""

    unit = forms.ModelChoiceField(
        Unit.objects.select_related("holding"), empty_label=_("choose one")
    )
    pattern = forms.CharField(
        max_length=40,
        initial="E##",
        label=_("Numbered as"),
        help_text=_("E## gives E01, E02 and so on, from the next free number; each # is a digit."),
    )
    count = forms.IntegerField(min_value=1, max_value=MOST_ENCLOSURES, label=_("How many"))
    kind = forms.CharField(
        max_length=40, initial="terrarium", required=False, label=_("What they are")
    )
    room_for = forms.IntegerField(
        min_value=0, max_value=10_000, initial=10, label=_("Room for how many, each")
    )

    def clean(self):
        """Refuse a pattern that gives no codes, or too few."""
        data = super().clean()
        if data.get("pattern") and data.get("count"):
            try:
                data["codes"] = run_of_codes(data["pattern"].strip(), data["count"], Enclosure)
            except ValidationError as problem:
                self.add_error("pattern", problem)
        return data
