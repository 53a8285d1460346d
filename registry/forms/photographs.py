"""Whose photographs are shown side by side."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..side_by_side import MOST_ANIMALS
from ..telling import tell
from .codes import animals_field


class SideBySideForm(forms.Form):
    """Animals to compare, by their codes."""

    animals = animals_field(help_text=_("Codes, with commas between, as in DT-005, DT-006."))

    def clean_animals(self):
        """Refuse more than can be looked at together."""
        animals = self.cleaned_data["animals"]
        if len(animals) > MOST_ANIMALS:
            raise forms.ValidationError(
                tell(
                    "{count} animals; at most {MOST_ANIMALS} are shown side by side.",
                    count=len(animals),
                    MOST_ANIMALS=MOST_ANIMALS,
                )
            )
        return animals
