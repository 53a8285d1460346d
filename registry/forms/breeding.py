"""What the page of a year's clutches is narrowed by."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import Taxon


class YearFilter(forms.Form):
    """Clutches of one taxon, or of all."""

    taxon = forms.ModelChoiceField(Taxon.objects.all(), required=False, empty_label=_("all"))

    def asked(self):
        """Return what was asked for; what cannot be read asks for nothing."""
        self.is_valid()
        return self.cleaned_data.get("taxon")
