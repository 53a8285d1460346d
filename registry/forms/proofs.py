"""For whom a proof of origin is issued, and for which animals."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import Party
from .codes import animals_field


class ProofForm(forms.Form):
    """The animals, the receiver, and whether each has a paper of its own."""

    animals = animals_field()
    receiver = forms.ModelChoiceField(
        Party.objects.all(),
        required=False,
        empty_label=_("nobody named"),
        label=_("Issued for"),
        help_text=_("Who receives the animals, if that is settled."),
    )
    papers = forms.ChoiceField(
        choices=[
            ("each", _("one proof for each animal")),
            ("one", _("one proof that lists them all")),
        ],
        widget=forms.RadioSelect,
        initial="each",
        label=_("How many"),
    )
