"""The form by which animals and clutches are moved, now, earlier, or in a plan."""

from django import forms

from .codes import EnclosureField, animals_field, clutches_field
from .days import DayField


class MoveForm(forms.Form):
    """Who goes where, from when, and until when where it is for a time only."""

    animals = animals_field(required=False)
    clutches = clutches_field(
        required=False, label="Clutches", help_text="Codes, with commas between."
    )
    enclosure = EnclosureField(label="Into")
    day = DayField(label="On", help_text="The day of the move, earlier if it is entered late.")
    until = DayField(
        label="Back on",
        required=False,
        help_text="If they go back where they were. Leave empty for good.",
    )

    def clean(self):
        """Refuse a move of nobody, and an end before the beginning."""
        data = super().clean()
        if not self.errors and not (data.get("animals") or data.get("clutches")):
            self.add_error("animals", "Name at least one animal or clutch.")
        if data.get("day") and data.get("until") and data["until"] < data["day"]:
            self.add_error("until", "They cannot go back before they came.")
        return data
