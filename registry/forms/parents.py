"""The form by which a sire, a dam, or a pair that could be either is stated."""

from decimal import Decimal

from django import forms
from django.utils.translation import gettext_lazy as _

from ..models import DescentBasis, Role
from ..telling import tell
from .codes import animal_field
from .days import PastDayField

ROWS, MOST_ROWS = 3, 40
HUNDRED = Decimal(100)


class ParentsForm(forms.Form):
    """Who may be the parent, each with a share; what is left empty is shared equally."""

    basis = forms.ChoiceField(choices=DescentBasis, label=_("It rests on"))
    day = PastDayField(label=_("As of"))
    note = forms.CharField(
        max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )
    why = forms.CharField(max_length=2000, label=_("Why the earlier statement is corrected"))

    def __init__(self, *args, role, rows=ROWS, replaces=None, **kwargs):
        super().__init__(*args, **kwargs)
        self.role, self.rows = role, min(max(rows, 1), MOST_ROWS)
        if replaces is None:
            del self.fields["why"]
        for n in range(1, self.rows + 1):
            self._add_row(n)
        rows = [name for name in self.fields if name[-1].isdecimal()]
        self.order_fields(rows)

    def _add_row(self, n):
        alone = self.role != Role.PAIR
        label = f"{self.role.label.capitalize()} {n}" if alone else tell("Sire of pair {n}", n=n)
        self.fields[f"animal_{n}"] = animal_field(required=False, label=label, help_text="")
        if not alone:
            self.fields[f"mate_{n}"] = animal_field(
                required=False, label=tell("Dam of pair {n}", n=n), help_text=""
            )
        self.fields[f"share_{n}"] = forms.DecimalField(
            required=False, label=tell("Share of {n} in %", n=n), max_digits=7, decimal_places=4
        )
        for name in (f"animal_{n}", f"mate_{n}"):
            if name in self.fields:
                self.fields[name].widget.attrs |= {"list": "animals", "autocomplete": "off"}

    def clean(self):
        """Refuse a share of nobody, half a pair, and shares above the whole."""
        data = super().clean()
        for n in range(1, self.rows + 1):
            self._check_row(n, data)
        if not self.errors and sum(s for *_, s in self._named() if s is not None) > HUNDRED:
            raise forms.ValidationError(tell("The shares come to more than 100 %."))
        return data

    def _check_row(self, n, data):
        animal, mate, share = (data.get(f"{part}_{n}") for part in ("animal", "mate", "share"))
        if share is not None and not animal:
            self.add_error(f"animal_{n}", tell("Name whose share this is."))
        if share is not None and not 0 < share <= HUNDRED:
            self.add_error(f"share_{n}", tell("A share is above 0 and at most 100 %."))
        if self.role == Role.PAIR and bool(animal) != bool(mate):
            missing = f"mate_{n}" if animal else f"animal_{n}"
            self.add_error(missing, tell("Name both animals of the pair."))

    def _named(self):
        """Return the rows that name somebody: animal, mate, share in per cent or None."""
        data = self.cleaned_data
        for n in range(1, self.rows + 1):
            if data.get(f"animal_{n}"):
                yield data[f"animal_{n}"], data.get(f"mate_{n}"), data.get(f"share_{n}")

    def candidates(self):
        """Return the candidates with their weights; empty shares take the rest in equal parts."""
        named = list(self._named())
        empty = sum(share is None for *_, share in named)
        rest = HUNDRED - sum(share for *_, share in named if share is not None)
        return [
            (*[a for a in (animal, mate) if a], float((rest / empty if s is None else s) / HUNDRED))
            for animal, mate, s in named
        ]


def initial_of(descent):
    """Return the form's first values for a statement that is to be corrected."""
    if descent is None:
        return {}
    first = {"basis": descent.basis, "note": descent.note}
    for n, candidate in enumerate(descent.candidates.all(), 1):
        first |= {f"animal_{n}": candidate.animal, f"mate_{n}": candidate.mate}
        first[f"share_{n}"] = f"{candidate.weight * 100:.4f}".rstrip("0").rstrip(".")
    return first
