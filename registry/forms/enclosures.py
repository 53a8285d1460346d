"""The forms for premises, units and enclosures, and for what is done to an enclosure."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..codes import check_code
from ..models import Enclosure, Holding, Stay, Unit
from ..telling import tell
from .codes import EnclosureField
from .days import PastDayField


class HoldingForm(forms.ModelForm):
    """A premises with its keepers."""

    class Meta:
        model = Holding
        fields = ("name", "party", "keepers")
        labels = {"party": _("Kept by")}
        help_texts = {"party": _("The person or firm as papers name it.")}
        widgets = {"keepers": forms.CheckboxSelectMultiple}


def refuse_carrying(stays, what):
    """Refuse other premises for a place in which somebody stayed: the record would move along."""
    if stays.exists():
        raise forms.ValidationError(
            tell(
                "Animals or clutches stayed in it: enter a new {what} there, and a "
                "move between premises for those in it.",
                what=what,
            )
        )


class UnitForm(forms.ModelForm):
    """A room or rack that shares air, water, drain or tools."""

    class Meta:
        model = Unit
        fields = ("holding", "name", "role", "note")
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}
        help_texts = {"role": _("Decides the order of work, and who may be moved in.")}

    def clean_holding(self):
        """Refuse to carry a unit to other premises with all that was ever kept in it."""
        holding = self.cleaned_data["holding"]
        if self.instance.pk and holding.pk != self.initial["holding"]:
            refuse_carrying(Stay.objects.filter(enclosure__unit=self.instance), "unit")
        return holding


class EnclosureForm(forms.ModelForm):
    """A tank, a tub, a cup, a travel box."""

    room_for = forms.IntegerField(
        min_value=0, max_value=10_000, initial=10, label=_("Room for how many")
    )
    retired_on = PastDayField(
        required=False, label=_("Out of use since"), help_text=_("Once nothing lives in it.")
    )

    class Meta:
        model = Enclosure
        fields = ("unit", "code", "kind", "room_for", "retired_on", "note")
        widgets = {"note": forms.Textarea(attrs={"rows": 3})}

    def clean_code(self):
        """Refuse a code that cannot be written on a label, or that differs only in its case."""
        code = self.cleaned_data["code"].strip()
        check_code(code)
        if Enclosure.objects.filter(code__iexact=code).exclude(pk=self.instance.pk).exists():
            raise forms.ValidationError(
                tell("“{code}” is in use already; choose another code.", code=code)
            )
        return code

    def clean_unit(self):
        """Refuse to carry an enclosure to other premises with all that was ever kept in it."""
        unit = self.cleaned_data["unit"]
        if self.instance.pk and not Unit.objects.filter(
            pk=self.initial["unit"], holding=unit.holding_id
        ):
            refuse_carrying(Stay.objects.filter(enclosure=self.instance), "enclosure")
        return unit

    def clean_retired_on(self):
        """Refuse to retire an enclosure that somebody is in, or is planned to come to."""
        day = self.cleaned_data["retired_on"]
        if day and self.instance.pk:
            stays = Stay.objects.current().filter(enclosure=self.instance)
            stays = stays.exclude(end__lte=day).select_related("animal", "clutch")
            if stay := stays.first():
                who = stay.animal or stay.clutch
                raise forms.ValidationError(
                    tell("{who} is in it; move everybody out first.", who=who)
                )
        return day


class DisinfectForm(forms.Form):
    """When, and with what."""

    day = PastDayField(label=_("On"))
    agent = forms.CharField(
        max_length=120,
        required=False,
        label=_("With what"),
        help_text=_("Agent, strength and how long, for example “chlorhexidine 0.75 %, 1 min”."),
    )


class CarryForm(forms.Form):
    """What went from one enclosure into another."""

    source = EnclosureField(label=_("From"))
    target = EnclosureField(label=_("Into"))
    what = forms.CharField(max_length=200, help_text=_("Plants, water, tools, leaf litter, food."))
    day = PastDayField(label=_("On"))

    def clean(self):
        """Refuse things that stay where they are."""
        data = super().clean()
        if data.get("source") and data.get("source") == data.get("target"):
            self.add_error("target", tell("Things move between two different enclosures."))
        return data
