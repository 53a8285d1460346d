"""How far a pedigree picture reaches."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..picturing import MOST_GENERATIONS


class ReachForm(forms.Form):
    """Generations of ancestors and of descendants."""

    up = forms.IntegerField(
        label=_("Generations of ancestors"), min_value=0, max_value=MOST_GENERATIONS, initial=3
    )
    down = forms.IntegerField(
        label=_("Generations of descendants"), min_value=0, max_value=MOST_GENERATIONS, initial=0
    )

    @classmethod
    def asked(cls, query):
        """Return the form for a page's query; three generations up where nothing is asked."""
        return cls({"up": query.get("up", 3), "down": query.get("down", 0)})

    def reach(self):
        """Return both depths, the usual ones where the form is wrong."""
        data = self.cleaned_data if self.is_valid() else {}
        return data.get("up", 3), data.get("down", 0)
