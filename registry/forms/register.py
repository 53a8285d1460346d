"""What is asked of the register: whose lines, and of which days."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import Holding
from ..register_reading import Extract
from ..telling import tell
from .days import DayField


class ExtractForm(forms.Form):
    """A holding and a period; an end left open is open."""

    holding = forms.ModelChoiceField(
        Holding.objects.select_related("party"), required=False, empty_label=None
    )
    first = DayField(required=False, label=_("About days from"))
    last = DayField(required=False, label=_("to"))

    def clean(self):
        """Refuse a period that ends before it begins."""
        data = super().clean()
        if data.get("first") and data.get("last") and data["last"] < data["first"]:
            self.add_error("last", tell("The period ends before it begins."))
        return data

    def extract(self):
        """Return what is asked for, None where there is no holding or no sense in it."""
        if not self.is_valid():
            return None
        data = self.cleaned_data
        holding = data["holding"] or Holding.objects.select_related("party").first()
        if holding is None:
            return None
        return Extract(holding=holding, first=data["first"], last=data["last"])


class RestateForm(forms.Form):
    """Why a line is written anew."""

    why = forms.CharField(
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 2}),
        label=_("Why"),
        help_text=_("It is kept with the new line; the old one stays as it is."),
    )
