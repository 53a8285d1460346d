"""What each door asks when a fact is entered in the administration pages."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..departing import Leaving, depart_together
from ..finding import find_sex
from ..forms.clutches import MOST
from ..forms.codes import EnclosureField, animal_field, animals_field, clutches_field
from ..forms.days import AgreedDayField, DayField, PastDayField
from ..forms.parents import HUNDRED
from ..laying import count_stage, lose
from ..missing import go_out, miss
from ..models import (
    DUE,
    Basis,
    Clutch,
    Departure,
    DepartureKind,
    Descent,
    DescentBasis,
    Disinfection,
    Loss,
    Missing,
    Observation,
    ObservationKind,
    OneOfThese,
    Outing,
    Pairing,
    Party,
    Role,
    Sex,
    SexFinding,
    Stage,
    StageCount,
    Stay,
    ThingsMoved,
    What,
)
from ..observing import observe
from ..one_of_these import Among, enter_one_of_these
from ..pairing import Match, join_match, plan_pair
from ..parentage import state_parents
from ..placement import Placement, place
from ..telling import tell
from ..tending import Carrying, carry, disinfect
from .doors import LINES, AskingForm, BreachForm, DoorForm


class StayForm(BreachForm):
    """A move: through every placement rule."""

    right = "registry.place_animal"
    animals = animals_field(required=False)
    clutches = clutches_field(required=False)
    enclosure = EnclosureField(label=_("Into"))
    day = DayField(label=_("On"))
    until = DayField(label=_("Back on"), required=False)
    field_order = ("animals", "clutches", "enclosure", "day", "until")

    class Meta:
        model = Stay
        fields = ()

    def clean_until(self):
        """Refuse an end before the beginning."""
        day, until = self.cleaned_data.get("day"), self.cleaned_data["until"]
        if day and until and until < day:
            raise forms.ValidationError(tell("They cannot go back before they came."))
        return until

    def clean(self):
        """Refuse a move of nobody."""
        if not self.errors and not (self.cleaned_data["animals"] or self.cleaned_data["clutches"]):
            self.add_error("animals", tell("Name at least one animal or clutch."))
        return super().clean()

    def act(self):
        """Move them."""
        told = self.data_of("animals", "clutches", "enclosure", "day", "until")
        how = {"reasons": self.answers(), "breach": self.breach()}
        return place(Placement(**told), by=self.by, **how)[0]


class DepartureForm(AskingForm):
    """An animal leaves."""

    right = "registry.register_departure"
    animal = animal_field()
    kind = forms.ChoiceField(choices=DepartureKind)
    day = PastDayField()
    receiver = forms.ModelChoiceField(Party.objects.all(), required=False)
    due_back = AgreedDayField(required=False, help_text=DUE)
    cause = forms.CharField(max_length=400, required=False)
    note = forms.CharField(max_length=4000, required=False, widget=LINES)

    class Meta:
        model = Departure
        fields = ()

    def act(self):
        """Let it leave."""
        told = self.data_of("kind", "day", "receiver", "due_back")
        leaving = Leaving(animals=(self.cleaned_data["animal"],), **told)
        how = self.data_of("cause", "note") | {"reasons": self.answers()}
        return depart_together(leaving, by=self.by, **how)[0]


class PairingForm(BreachForm):
    """A pair is planned, or joined where an enclosure is named."""

    right = "registry.join_pair"
    first = animal_field()
    second = animal_field()
    day = DayField()
    enclosure = EnclosureField(required=False, empty_label=_("only plan it"))

    class Meta:
        model = Pairing
        fields = ()

    def clean_second(self):
        """Refuse an animal as its own mate."""
        if self.cleaned_data["second"] == self.cleaned_data.get("first"):
            raise forms.ValidationError(tell("A pair is two different animals."))
        return self.cleaned_data["second"]

    def act(self):
        """Plan or join them."""
        match = Match(**self.data_of("first", "second", "day"))
        if self.cleaned_data["enclosure"] is None:
            return plan_pair(match, by=self.by, reasons=self.answers())
        how = {"reasons": self.answers(), "breach": self.breach()}
        return join_match(match, self.cleaned_data["enclosure"], by=self.by, **how)


class DescentForm(DoorForm):
    """Who a parent is held to be; a correction names the statement it replaces."""

    right = "registry.add_descent"
    animal = animal_field(required=False, label=_("Of the animal"))
    clutch = forms.ModelChoiceField(
        Clutch.objects.all(), required=False, label=_("or of the clutch")
    )
    role = forms.ChoiceField(choices=Role)
    named = forms.CharField(
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        label=_("Who it may be"),
        help_text=_("One to a line, with its share: “D-01 50 %”. A pair is “D-01 x D-02 50 %”."),
    )
    basis = forms.ChoiceField(choices=DescentBasis)
    day = PastDayField()
    replaces = forms.ModelChoiceField(
        Descent.objects.current(), required=False, label=_("Corrects")
    )
    why = forms.CharField(required=False, max_length=2000, widget=LINES, label=_("Why corrected"))
    note = forms.CharField(required=False, max_length=2000, widget=LINES)

    class Meta:
        model = Descent
        fields = ()

    def clean_named(self):
        """Read who it may be, line by line."""
        return [_named(line) for line in self.cleaned_data["named"].splitlines() if line.strip()]

    def clean(self):
        """Refuse a statement about nobody, or about both."""
        if bool(self.cleaned_data.get("animal")) == bool(self.cleaned_data.get("clutch")):
            self.add_error(None, tell("Name an animal or a clutch: one of them."))
        return super().clean()

    def act(self):
        """State it."""
        child = self.cleaned_data["animal"] or self.cleaned_data["clutch"]
        told = self.data_of("role", "basis", "day", "replaces", "why", "note")
        return state_parents(child, candidates=self.cleaned_data["named"], by=self.by, **told)


def _named(line):
    """Read one line: a code, or two with x between, and a share in per cent."""
    who, _, share = line.strip().removesuffix("%").strip().rpartition(" ")
    try:
        weight = float(share.replace(",", ".")) / float(HUNDRED)
    except ValueError:
        who, weight = line.strip(), 1.0
    animals = [animal_field().clean(code.strip()) for code in (who or share).split(" x ")]
    return (*animals, weight)


class FindingForm(DoorForm):
    """A finding of sex."""

    right = "registry.add_sexfinding"
    animal = animal_field()
    sex = forms.ChoiceField(choices=Sex)
    basis = forms.ChoiceField(choices=Basis)
    day = PastDayField()
    note = forms.CharField(max_length=400, required=False)

    class Meta:
        model = SexFinding
        fields = ()

    def act(self):
        """Enter it."""
        return find_sex(by=self.by, **self.data_of("animal", "sex", "basis", "day", "note"))


class ObservationForm(DoorForm):
    """What was seen of an animal."""

    right = "registry.add_observation"
    animal = animal_field()
    kind = forms.ChoiceField(choices=ObservationKind)
    day = PastDayField()
    grams = forms.DecimalField(max_digits=9, decimal_places=3, required=False)
    text = forms.CharField(max_length=400, required=False)

    class Meta:
        model = Observation
        fields = ()

    def clean(self):
        """Refuse a weight without grams."""
        weight = self.cleaned_data.get("kind") == ObservationKind.WEIGHT
        if weight and not (self.cleaned_data.get("grams") or 0) > 0:
            self.add_error("grams", tell("A weight is given in grams, above 0."))
        return super().clean()

    def act(self):
        """Enter it."""
        return observe(by=self.by, **self.data_of("animal", "kind", "day", "grams", "text"))


class MissingForm(DoorForm):
    """An animal is not found."""

    right = "registry.add_missing"
    animal = animal_field()
    day = PastDayField()

    class Meta:
        model = Missing
        fields = ()

    def act(self):
        """Enter it."""
        return miss(by=self.by, **self.data_of("animal", "day"))


class OutingForm(DoorForm):
    """An animal was out and back on one day."""

    right = "registry.add_outing"
    animal = animal_field()
    day = PastDayField()
    purpose = forms.CharField(max_length=200)
    reason = forms.CharField(max_length=2000, widget=LINES)

    class Meta:
        model = Outing
        fields = ()

    def act(self):
        """Enter it."""
        return go_out(by=self.by, **self.data_of("animal", "day", "purpose", "reason"))


class DisinfectionForm(DoorForm):
    """An enclosure was disinfected."""

    right = "registry.add_disinfection"
    enclosure = EnclosureField()
    day = PastDayField()
    agent = forms.CharField(max_length=120, required=False)

    class Meta:
        model = Disinfection
        fields = ()

    def act(self):
        """Enter it."""
        return disinfect(by=self.by, **self.data_of("enclosure", "day", "agent"))


class ThingsForm(DoorForm):
    """Things went from one enclosure into another."""

    right = "registry.add_thingsmoved"
    source = EnclosureField()
    target = EnclosureField()
    what = forms.CharField(max_length=200)
    day = PastDayField()

    class Meta:
        model = ThingsMoved
        fields = ()

    def clean_target(self):
        """Refuse things that stay where they are."""
        if self.cleaned_data["target"] == self.cleaned_data.get("source"):
            raise forms.ValidationError(tell("Things move between two different enclosures."))
        return self.cleaned_data["target"]

    def act(self):
        """Enter it."""
        return carry(Carrying(**self.data_of("source", "target", "what", "day")), self.by)


class CountForm(DoorForm):
    """How many of a clutch had reached a stage."""

    right = "registry.add_stagecount"
    clutch = forms.ModelChoiceField(Clutch.objects.all())
    stage = forms.ChoiceField(choices=Stage)
    day = PastDayField()
    count = forms.IntegerField(min_value=0, max_value=MOST, required=False)

    class Meta:
        model = StageCount
        fields = ()

    def act(self):
        """Enter it."""
        return count_stage(by=self.by, **self.data_of("clutch", "stage", "day", "count"))


class LossForm(DoorForm):
    """Some of a clutch were lost, or left."""

    right = "registry.add_loss"
    clutch = forms.ModelChoiceField(Clutch.objects.all())
    count = forms.IntegerField(min_value=1, max_value=MOST)
    reason = forms.CharField(max_length=200)
    left = forms.BooleanField(required=False)
    day = PastDayField()

    class Meta:
        model = Loss
        fields = ()

    def act(self):
        """Enter it."""
        return lose(by=self.by, **self.data_of("clutch", "count", "reason", "left", "day"))


class OneOfTheseForm(AskingForm):
    """Something happened to one of several, nobody knows which."""

    right = "registry.register_departure"
    enclosure = EnclosureField()
    what = forms.ChoiceField(choices=What)
    animals = animals_field()
    day = PastDayField()
    receiver = forms.ModelChoiceField(Party.objects.all(), required=False)
    cause = forms.CharField(max_length=400, required=False)
    note = forms.CharField(max_length=4000, required=False, widget=LINES)

    class Meta:
        model = OneOfThese
        fields = ()

    def act(self):
        """Enter it."""
        told = self.data_of("enclosure", "what", "animals", "day", "receiver", "cause", "note")
        return enter_one_of_these(Among(**told), by=self.by, reasons=self.answers())
