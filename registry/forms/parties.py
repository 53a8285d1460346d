"""The form for a person or firm."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import Party
from ..telling import tell


class PartyForm(forms.ModelForm):
    """Supplier, receiver, laboratory, veterinarian, authority."""

    class Meta:
        model = Party
        fields = (
            "name",
            "kind",
            "address",
            "country",
            "email",
            "telephone",
            "registration",
            "note",
        )
        help_texts = {
            "name": _("As papers name it."),
            "country": _("Two letters, as in DE or MG."),
        }
        widgets = {
            "address": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }

    def clean_name(self):
        """Refuse a name that differs from one on record only in its case."""
        name = " ".join(self.cleaned_data["name"].split())
        if Party.objects.filter(name__iexact=name).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(tell("{name} is on record already.", name=name))
        return name

    def clean_country(self):
        """Write the two letters as capitals."""
        return self.cleaned_data["country"].upper()
