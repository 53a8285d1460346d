"""What the doors of clutches reared together ask in the administration pages."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..forms.codes import EnclosureField, animal_field, clutches_field
from ..forms.days import PastDayField
from ..mixing import Mixing, rear_together, state_clutch
from ..models import Clutch, ClutchPart, DescentBasis, OfClutch
from .doors import BreachForm, DoorForm


class ClutchPartForm(BreachForm):
    """Clutches are reared together, each in the parts it has living."""

    right = "registry.mix_clutches"
    clutches = clutches_field()
    enclosure = EnclosureField()
    day = PastDayField(label=_("together since"))

    class Meta:
        model = ClutchPart
        fields = ()

    def act(self):
        """Rear them together."""
        mixing = Mixing(**self.data_of("clutches", "enclosure", "day"))
        how = {"reasons": self.answers(), "breach": self.breach()}
        return rear_together(mixing, by=self.by, **how).parts.first()


class OfClutchForm(DoorForm):
    """Of which of the clutches reared together an animal is."""

    right = "registry.add_ofclutch"
    animal = animal_field()
    clutch = forms.ModelChoiceField(Clutch.objects.all())
    basis = forms.ChoiceField(choices=DescentBasis)
    day = PastDayField()

    class Meta:
        model = OfClutch
        fields = ()

    def act(self):
        """Enter it."""
        return state_clutch(by=self.by, **self.data_of("animal", "clutch", "basis", "day"))
