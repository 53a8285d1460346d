"""Animals, clutches and enclosures by the codes on their labels."""

from django import forms
from django.utils.translation import gettext_lazy as _

from ..codes import listed_codes
from ..models import Animal, Clutch, Enclosure
from ..phrases import in_a_row
from ..telling import tell, tell_many
from ..together import fetch

MOST = 500


def choose_among(form, *names):
    """Fetch what several fields of a form offer in one statement."""
    fields = [form.fields[name] for name in names]
    for field, rows in zip(fields, fetch(*(f.queryset.all() for f in fields)), strict=True):
        said = [(row.pk, field.label_from_instance(row)) for row in rows]
        field.choices = [("", field.empty_label), *said] if field.empty_label is not None else said


class CodesField(forms.CharField):
    """One or more codes with commas between, each of something on record, none twice."""

    def __init__(self, queryset, **kwargs):
        self.queryset = queryset
        kwargs.setdefault("max_length", 20_000)
        super().__init__(**kwargs)

    def prepare_value(self, value):
        """Show things by their codes."""
        return value if isinstance(value, str | None) else ", ".join(str(one) for one in value)

    def clean(self, value):
        """Return what the codes name, in the order typed."""
        codes = listed_codes(super().clean(value))
        if len(codes) > MOST:
            raise forms.ValidationError(tell("Name at most {MOST} at once.", MOST=MOST))
        self._refuse_twice(codes)
        found = self._found(codes)
        unknown = [code for code in codes if code.casefold() not in found]
        if unknown:
            names = in_a_row(unknown[:10])
            raise forms.ValidationError(
                tell_many(
                    "{names} is not on record.",
                    "{names} are not on record.",
                    len(unknown),
                    names=names,
                )
            )
        return tuple(found[code.casefold()] for code in codes)

    def _refuse_twice(self, codes):
        plain = [code.casefold() for code in codes]
        twice = sorted({code for code in codes if plain.count(code.casefold()) > 1})
        if twice:
            raise forms.ValidationError(tell("Named twice: {twice}.", twice=in_a_row(twice)))

    def _found(self, codes):
        """Return what is on record by code; one that differs only in its case is found too."""
        found = {one.code.casefold(): one for one in self.queryset.filter(code__in=codes)}
        for code in codes:
            if code.casefold() not in found and (one := self._alike(code)):
                found[code.casefold()] = one
        return found

    def _alike(self, code):
        return self.queryset.filter(code__iexact=code).first()


class CodeField(CodesField):
    """One code of something on record."""

    def clean(self, value):
        """Return what the code names, None for none."""
        found = super().clean(value)
        if len(found) > 1:
            raise forms.ValidationError(tell("Name one only."))
        return found[0] if found else None

    def prepare_value(self, value):
        """Show the thing by its code."""
        return value if isinstance(value, str | None) else str(value)


def animals_field(**kwargs):
    """Return a field for one or more animals."""
    rows = Animal.objects.select_related("taxon", "locality", "clutch")
    kwargs.setdefault("label", _("Animals"))
    kwargs.setdefault("help_text", _("Codes, with commas between."))
    return CodesField(rows, **kwargs)


def animal_field(**kwargs):
    """Return a field for one animal."""
    return CodeField(Animal.objects.select_related("taxon", "locality", "clutch"), **kwargs)


def clutches_field(**kwargs):
    """Return a field for one or more clutches."""
    return CodesField(Clutch.objects.select_related("taxon"), **kwargs)


class EnclosureField(forms.ModelChoiceField):
    """An enclosure in use, told with its unit."""

    def __init__(self, **kwargs):
        rows = Enclosure.objects.filter(retired_on__isnull=True).select_related("unit")
        kwargs.setdefault("empty_label", _("choose one"))
        super().__init__(rows, **kwargs)

    def label_from_instance(self, enclosure):
        """Return code and unit."""
        return f"{enclosure.code} ({enclosure.unit})"
