"""Whose photographs are shown side by side."""

from django import forms

from ..side_by_side import MOST_ANIMALS
from .codes import animals_field


class SideBySideForm(forms.Form):
    """Animals to compare, by their codes."""

    animals = animals_field(help_text="Codes, with commas between, as in DT-005, DT-006.")

    def clean_animals(self):
        """Refuse more than can be looked at together."""
        animals = self.cleaned_data["animals"]
        if len(animals) > MOST_ANIMALS:
            raise forms.ValidationError(
                f"{len(animals)} animals; at most {MOST_ANIMALS} are shown side by side."
            )
        return animals
