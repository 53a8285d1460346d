"""The form by which animals and clutches are moved, now, earlier, or in a plan."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..telling import tell
from .codes import EnclosureField, animals_field, clutches_field
from .days import DayField


class MoveForm(forms.Form):
    """Who goes where, from when, and until when where it is for a time only."""

    animals = animals_field(required=False)
    clutches = clutches_field(
        required=False, label=_("Clutches"), help_text=_("Codes, with commas between.")
    )
    enclosure = EnclosureField(label=_("Into"))
    day = DayField(
        label=_("On"), help_text=_("The day of the move, earlier if it is entered late.")
    )
    until = DayField(
        label=_("Back on"),
        required=False,
        help_text=_("If they go back where they were. Leave empty for good."),
    )

    def clean(self):
        """Refuse a move of nobody, and an end before the beginning."""
        data = super().clean()
        if not self.errors and not (data.get("animals") or data.get("clutches")):
            self.add_error("animals", tell("Name at least one animal or clutch."))
        if data.get("day") and data.get("until") and data["until"] < data["day"]:
            self.add_error("until", tell("They cannot go back before they came."))
        return data
