"""What the door of a change of owner asks in the administration pages."""

from django import forms

from ..forms.codes import animal_field
from ..forms.days import PastDayField
from ..models import OwnerChange, Party
from ..owning import pass_on
from .doors import LINES, DoorForm


class OwnerChangeForm(DoorForm):
    """An animal on loan passes to another owner."""

    right = "registry.register_departure"
    animal = animal_field()
    kind = forms.ChoiceField(choices=[(k.value, k.label) for k in OwnerChange.KINDS])
    day = PastDayField()
    owner = forms.ModelChoiceField(Party.objects.all())
    note = forms.CharField(max_length=4000, required=False, widget=LINES)

    class Meta:
        model = OwnerChange
        fields = ()

    def act(self):
        """Let it pass."""
        return pass_on(by=self.by, **self.data_of("animal", "day", "kind", "owner", "note"))
