"""What the list of lines is narrowed by."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import Taxon


class LineFilter(forms.Form):
    """Lines of one taxon, or only those that are dying."""

    taxon = forms.ModelChoiceField(Taxon.objects.all(), required=False, empty_label=_("any"))
    dying = forms.BooleanField(required=False, label=_("Only those dying out"))

    def asked(self):
        """Return what was asked for; what cannot be read asks for nothing."""
        self.is_valid()
        return self.cleaned_data.get("taxon"), bool(self.cleaned_data.get("dying"))
