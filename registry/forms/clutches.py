"""The forms for clutches: found, counted, lost, taken out as animals, come to an end."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..codes import check_code, codes_in_use, listed_codes, run_of_codes
from ..inheriting import locality_of
from ..models import Animal, Clutch, Locality, Precision, SourceCode, Stage
from ..separating import MOST_AT_ONCE
from ..telling import tell
from .codes import EnclosureField, choose_among
from .days import PastDayField

MOST = 100_000
MIX = "mix"  # the choice of the place that both parents give together


class ClutchForm(forms.ModelForm):
    """Eggs of one laying, or young found that are taken for one clutch."""

    found_on = PastDayField(label=_("Found on"))
    laid = PastDayField(
        required=False,
        label=_("Laid on"),
        help_text=_("If it is known; else worked out from the taxon."),
    )
    count = forms.IntegerField(
        required=False, min_value=0, max_value=MOST, label=_("How many"), help_text=_("If counted.")
    )
    into = EnclosureField(
        label=_("It stands in"), help_text=_("Its own cup, or where it was found.")
    )
    dam = forms.ModelChoiceField(
        Animal.objects.none(),
        required=False,
        label=_("Seen laying"),
        empty_label=_("nobody was seen"),
    )
    sire = forms.ModelChoiceField(
        Animal.objects.none(),
        required=False,
        label=_("Seen as the sire"),
        empty_label=_("nobody was seen"),
        help_text=_("Seen mating, guarding or carrying."),
    )

    class Meta:
        model = Clutch
        fields = ("code", "taxon", "found_on", "found_as", "began_seen", "laid", "laid_precision")
        labels = {
            "found_as": _("Found as"),
            "laid_precision": _("Laying known"),
            "began_seen": _("It was not so the day before"),
        }
        help_texts = {"began_seen": _("Untick if nobody looked; the window for its parents opens.")}

    field_order = ("code", "taxon", "found_as", "count", "found_on", "began_seen", "into")

    def __init__(self, *args, there, **kwargs):
        super().__init__(*args, **kwargs)
        choose_among(self, "taxon", "into")
        for name in ("dam", "sire"):
            field = self.fields[name]
            field.queryset = Animal.objects.filter(pk__in=[a.pk for a in there])
            field.choices = [("", field.empty_label), *((a.pk, str(a)) for a in there)]

    def clean_code(self):
        """Refuse a code that cannot be written on a label, or is in use."""
        code = self.cleaned_data["code"].strip()
        check_code(code)
        if codes_in_use([code]):
            raise forms.ValidationError(
                tell("“{code}” is in use already; choose another code.", code=code)
            )
        return code

    def clean(self):
        """Refuse one animal as both parents, and a laying after the finding."""
        data = super().clean()
        if data.get("dam") and data.get("dam") == data.get("sire"):
            self.add_error("sire", tell("The sire is another animal than the dam."))
        if data.get("laid") and data.get("found_on") and data["laid"] > data["found_on"]:
            self.add_error("laid", tell("A clutch cannot be found before it was laid."))
        return data


class CountForm(forms.Form):
    """How many had reached a stage by a day; unknown is allowed."""

    stage = forms.ChoiceField(choices=Stage)
    day = PastDayField(label=_("On"))
    count = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=MOST,
        label=_("How many"),
        help_text=_("All that have reached it so far. Leave empty if nobody counted."),
    )


class LossForm(forms.Form):
    """How many were lost, or left alive before they were animals here."""

    count = forms.IntegerField(min_value=1, max_value=MOST, label=_("How many"))
    reason = forms.CharField(max_length=200, help_text=_("Mould, unfertile, eaten, given away."))
    left = forms.BooleanField(required=False, label=_("They left alive, as eggs or larvae"))
    day = PastDayField(label=_("On"))


class EndClutchForm(forms.Form):
    """When nothing was left of a clutch where it stood."""

    day = PastDayField(label=_("On"))


class SeparationForm(forms.Form):
    """Which young become animals, under which codes, where, and where they come from."""

    count = forms.IntegerField(min_value=1, max_value=MOST_AT_ONCE, label=_("How many"))
    codes = forms.CharField(
        max_length=20_000,
        label=_("Codes"),
        help_text=_("A pattern with # for each digit, as in K7-##; or all codes, with commas."),
    )
    enclosure = EnclosureField(label=_("Into"))
    day = PastDayField(label=_("On"))
    born = PastDayField(
        required=False,
        label=_("Born"),
        help_text=_("Metamorphosis where there is one, else hatching."),
    )
    born_precision = forms.ChoiceField(choices=Precision, label=_("Birth known"))
    locality = forms.ChoiceField(required=False, label=_("Locality"))
    source_code = forms.ChoiceField(
        choices=SourceCode,
        label=_("Origin"),
        help_text=_("Proposed from the parents: C where both were bred in captivity, else F."),
    )

    def __init__(self, *args, clutch, places, **kwargs):
        super().__init__(*args, **kwargs)
        self.places = places
        known = Locality.objects.filter(taxon=clutch.taxon)
        own = [(MIX, f"mixed {' x '.join(map(str, places))}")] if len(places) > 1 else []
        self.fields["locality"].choices = [
            ("", tell("unknown")),
            *own,
            *[(str(one.pk), one.name) for one in known if not (own and one.name == own[0][1])],
        ]

    def chosen_locality(self):
        """Return the locality chosen; a mix is made at its first use."""
        chosen = self.cleaned_data["locality"]
        if chosen == MIX:
            return locality_of(self.places)
        return Locality.objects.get(pk=chosen) if chosen else None

    def clean(self):
        """Turn the pattern into codes, as many as there are young."""
        data = super().clean()
        if data.get("codes") and data.get("count"):
            data["codes"] = self._codes(data["codes"].strip(), data["count"])
        return data

    def _codes(self, text, count):
        if "#" in text:
            try:
                return tuple(run_of_codes(text, count))
            except forms.ValidationError as problem:
                self.add_error("codes", problem)
                return ()
        codes = tuple(listed_codes(text))
        if len(codes) != count:
            self.add_error(
                "codes",
                tell(
                    "{count} young, but {count_2} codes; give a code to each.",
                    count=count,
                    count_2=len(codes),
                ),
            )
        return codes
