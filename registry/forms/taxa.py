"""The forms for taxa and for the places animals come from."""

from django import forms
from django.core.validators import MaxValueValidator
from django.utils.translation import gettext_lazy as _

from ..models import Locality, Taxon
from ..telling import tell

MOST_DAYS = 30_000  # longer than anything kept here lives


class TaxonForm(forms.ModelForm):
    """A species or subspecies with the figures its keeping goes by."""

    class Meta:
        model = Taxon
        fields = (
            "name",
            "common_name",
            "animal_class",
            "grouping",
            "hatch_min",
            "hatch_max",
            "metamorphosis_min",
            "metamorphosis_max",
            "mature_days",
            "leave_days",
            "one_sire_per_clutch",
            "stored_sperm_days",
            "crosses_with_genus",
            "crosses_with",
            "may_mix_taxa",
            "may_mix_localities",
            "note",
        )
        labels = {
            "grouping": _("Adults live as"),
            "one_sire_per_clutch": _("One clutch has one sire"),
            "stored_sperm_days": _("Days before laying in which mating may have happened"),
        }
        help_texts = {
            "hatch_min": _("Counted from laying."),
            "metamorphosis_min": _("Counted from laying; empty where there is none."),
            "mature_days": _("Counted from metamorphosis where there is one, else from hatching."),
            "leave_days": _("Empty if young may stay."),
            "stored_sperm_days": _("0 where sperm is not stored."),
            "may_mix_taxa": _("No question is asked where both taxa allow it."),
        }
        widgets = {
            "note": forms.Textarea(attrs={"rows": 3}),
            "crosses_with": forms.CheckboxSelectMultiple,
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            if isinstance(field, forms.IntegerField):
                field.validators.append(MaxValueValidator(MOST_DAYS))
                field.widget.attrs["max"] = MOST_DAYS

    def clean(self):
        """Refuse one end of the days to metamorphosis without the other."""
        data = super().clean()
        ends = ("metamorphosis_min", "metamorphosis_max")
        given = [name for name in ends if data.get(name) is not None]
        if len(given) == 1 and not set(ends) & set(self.errors):
            (missing,) = set(ends) - set(given)
            self.add_error(missing, tell("Give both the least and the most days, or neither."))
        return data

    def clean_name(self):
        """Refuse a name that differs from one on record only in its case."""
        name = " ".join(self.cleaned_data["name"].split())
        if Taxon.objects.filter(name__iexact=name).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(tell("{name} is on record already.", name=name))
        return name


class LocalityForm(forms.ModelForm):
    """A collecting place of founders."""

    class Meta:
        model = Locality
        fields = ("taxon", "name", "country", "precision", "note")
        help_texts = {
            "name": _("As the trade or the collector gave it; two records are two localities."),
            "country": _("Two letters, as in EC or MG."),
            "precision": _("How closely the place itself is known."),
        }
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def clean_name(self):
        """Keep the word for young of several places for those."""
        name = " ".join(self.cleaned_data["name"].split())
        if name.casefold().startswith("mixed "):
            raise forms.ValidationError(
                tell("“mixed” names the young of several places; such a record is made by itself.")
            )
        return name

    def clean_country(self):
        """Write the two letters as capitals."""
        return self.cleaned_data["country"].upper()

    def clean(self):
        """Refuse to give a place with animals to another taxon."""
        data = super().clean()
        if self.instance.pk and "taxon" in self.changed_data and self.instance.animals.exists():
            self.add_error(
                "taxon", tell("Animals are recorded from here; it stays with its taxon.")
            )
        return data
