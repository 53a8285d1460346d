"""Which labels are printed, and on which sheet."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..labels import MOST, SHEETS
from ..models import Enclosure, Unit
from ..telling import tell
from .codes import CodesField


class LabelForm(forms.Form):
    """Enclosures by code, or all of some units; the sheet, and the first free label on it."""

    enclosures = CodesField(
        Enclosure.objects.select_related("unit__holding"),
        required=False,
        label=_("Enclosures, cups, travel boxes"),
        help_text=_("Codes, with commas between."),
    )
    units = forms.ModelMultipleChoiceField(
        Unit.objects.all(),
        required=False,
        label=_("and all in"),
        widget=forms.CheckboxSelectMultiple,
    )
    sheet = forms.ChoiceField(choices=lambda: [(key, sheet.name) for key, sheet in SHEETS.items()])
    start = forms.IntegerField(
        min_value=1,
        initial=1,
        label=_("First free label"),
        help_text=_("On a sheet already used: counted row by row from the top left."),
    )
    copies = forms.IntegerField(min_value=1, max_value=10, initial=1, label=_("Of each"))

    def clean(self):
        """Refuse no labels, too many, and a start beyond the sheet."""
        data = super().clean()
        sheet = SHEETS.get(data.get("sheet"))
        if sheet and data.get("start", 1) > sheet.count:
            self.add_error(
                "start", tell("There are {count} labels on that sheet.", count=sheet.count)
            )
        count = len(self.chosen()) * (data.get("copies") or 1)
        if not count and not self.errors:
            self.add_error("enclosures", tell("Name an enclosure, or choose a unit."))
        if count > MOST:
            self.add_error(
                "enclosures",
                tell("{count} labels; print at most {MOST} at once.", count=count, MOST=MOST),
            )
        return data

    def chosen(self):
        """Return the enclosures: those named, then all in use of the units, none twice."""
        named = list(self.cleaned_data.get("enclosures") or ())
        rows = Enclosure.objects.filter(unit__in=self.cleaned_data.get("units") or ())
        rows = rows.filter(retired_on__isnull=True).select_related("unit__holding")
        return list({e.pk: e for e in [*named, *rows.order_by("unit__name", "code")]}.values())

    def wanted(self):
        """Return the enclosures as often as they are wanted."""
        return [e for e in self.chosen() for _ in range(self.cleaned_data["copies"])]
