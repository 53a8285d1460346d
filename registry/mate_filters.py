"""Narrow the candidates for a mate: what a query can ask, and what is worked out for each."""

import django_filters as df
from django import forms
from django.utils.translation import gettext_lazy as _

from .models import Animal, Locality, SourceCode, Unit


class MateFilter(df.FilterSet):
    """Candidates by where they come from, where they are, and what is worked out for the pair."""

    locality = df.ModelChoiceFilter(queryset=Locality.objects.none(), empty_label=_("any"))
    source_code = df.ChoiceFilter(choices=SourceCode, empty_label=_("any"), label=_("Origin"))
    unit = df.ModelChoiceFilter(
        queryset=Unit.objects.all(), method="in_unit", empty_label=_("any"), label=_("Unit")
    )
    sex = df.ChoiceFilter(
        choices=[("strong", _("known for certain")), ("any", _("known, however sure"))],
        empty_label=_("any, unsexed too"),
        method="later",
        label=_("Sex"),
    )
    most = df.NumberFilter(
        method="later",
        label=_("F at worst up to"),
        min_value=0,
        widget=forms.NumberInput(attrs={"step": "any", "min": "0", "max": "1"}),
    )
    cleared = df.BooleanFilter(
        method="later", label=_("Cleared only"), widget=forms.CheckboxInput()
    )
    open_only = df.BooleanFilter(
        method="later", label=_("Leave out the stopped"), widget=forms.CheckboxInput()
    )

    class Meta:
        model = Animal
        fields = ("locality", "source_code")

    def __init__(self, *args, animal, on, **kwargs):
        super().__init__(*args, **kwargs)
        self.on = on
        self.filters["locality"].queryset = Locality.objects.filter(taxon=animal.taxon_id)

    def in_unit(self, queryset, name, unit):
        """Keep those that are in a unit on the day."""
        from .models import Stay

        there = Stay.objects.current().running(self.on).filter(enclosure__unit=unit)
        return queryset.filter(pk__in=there.values("animal"))

    def later(self, queryset, name, value):
        """Leave a question about the pair to `narrowed`, once the pairs are worked out."""
        return queryset

    def narrowed(self, mates):
        """Return the worked-out candidates that answer the rest of the form."""
        if not self.form.is_valid():
            return list(mates)
        asked = self.form.cleaned_data
        return [m for m in mates if all(test(m, asked) for test in TESTS)]


TESTS = (
    lambda mate, asked: asked["sex"] != "strong" or mate.sexing.strong,
    lambda mate, asked: not asked["sex"] or mate.sexing.sex is not None,
    lambda mate, asked: asked["most"] is None or mate.worst <= float(asked["most"]),
    lambda mate, asked: not asked["cleared"] or mate.standing.state == "cleared",
    lambda mate, asked: not asked["open_only"] or not mate.stops,
)
