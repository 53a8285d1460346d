"""The form by which clutches are put together in one cup or tub."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..codes import check_code, codes_in_use
from ..models import Clutch, DescentBasis
from ..telling import tell
from .codes import EnclosureField, clutches_field
from .days import PastDayField


class OfClutchForm(forms.Form):
    """Of which clutch of the mix an animal is, and how that is known."""

    clutch = forms.ModelChoiceField(Clutch.objects.none(), label=_("Of clutch"))
    basis = forms.ChoiceField(
        choices=[(one.value, one.label) for one in (DescentBasis.DNA, DescentBasis.SEEN)],
        label=_("It rests on"),
    )
    day = PastDayField(label=_("As of"))
    note = forms.CharField(
        max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )

    def __init__(self, *args, mix, **kwargs):
        super().__init__(*args, **kwargs)
        keys = [one.pk for one in mix.laid_as()]
        self.fields["clutch"].queryset = Clutch.objects.filter(pk__in=keys).order_by("code")


class MixForm(forms.Form):
    """Which clutches go on together, where and since when, and how likely a young is of each."""

    clutches = clutches_field(label=_("Clutches"), help_text=_("Codes, with commas between."))
    weights = forms.CharField(
        required=False,
        max_length=400,
        label=_("How many of each"),
        help_text=(
            _(
                "In the same order, as in 6, 4: a young taken out later is of one of "
                "them in these parts. Left empty, the numbers living by the counts "
                "are taken; equal parts where one was never counted."
            )
        ),
    )
    enclosure = EnclosureField(label=_("Into"))
    day = PastDayField(label=_("Together since"))
    code = forms.CharField(
        required=False,
        max_length=40,
        label=_("Code of the mix"),
        help_text=_("It goes on as a clutch of its own. Left empty, the next number is given."),
    )

    def clean_code(self):
        """Refuse a code that cannot be written on a label, or is in use."""
        code = self.cleaned_data["code"].strip()
        if code:
            check_code(code)
            if codes_in_use([code]):
                raise forms.ValidationError(
                    tell("“{code}” is in use already; choose another code.", code=code)
                )
        return code

    def clean(self):
        """Give each clutch its weight."""
        data = super().clean()
        if data.get("clutches") and data.get("weights"):
            data["weights"] = self._weights(data["clutches"], data["weights"])
        elif "weights" in data:
            data["weights"] = {}
        return data

    def _weights(self, clutches, text):
        told = [part.strip() for part in text.split(",")]
        if len(told) != len(clutches):
            self.add_error(
                "weights",
                tell(
                    "{count} clutches, but {count_2} numbers.",
                    count=len(clutches),
                    count_2=len(told),
                ),
            )
            return {}
        if not all(part.isascii() and part.isdigit() and len(part) < 7 for part in told):
            self.add_error("weights", tell("Whole numbers, with commas between."))
            return {}
        return {one.pk: int(part) for one, part in zip(clutches, told, strict=True)}
