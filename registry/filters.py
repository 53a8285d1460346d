"""What the lists can be narrowed by; the filter lives in the address, so it can be kept."""

from datetime import timedelta

import django_filters as df
from django import forms
from django.db.models import CharField, Exists, OuterRef, Q, Subquery, Value
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from .models import Animal, Candidate, Locality, SexFinding, SourceCode, Stay, Taxon, Unit
from .models.animals import STRONG
from .pedigree import lineage_of
from .standing import standings

MONTH = timedelta(days=30.4375)

WHERE = (
    ("here", _("here")),
    ("alive", _("not dead, here or elsewhere")),
    ("all", _("all on record")),
)
SEXES = (
    ("male", _("male, however sure")),
    ("male-sure", _("male for certain")),
    ("male-likely", _("probably male")),
    ("female", _("female, however sure")),
    ("female-sure", _("female for certain")),
    ("female-likely", _("probably female")),
    ("unsexed", _("unsexed")),
    ("contradicted", _("sex contradicted")),
)
STANDING = (("cleared", _("cleared")), ("held", _("held")), ("never", _("never to be released")))


def with_sexes(animals):
    """Add to animals whether a strong finding shows either sex, and what the last weak one says."""
    weak = SexFinding.objects.current().filter(animal=OuterRef("pk")).exclude(basis__in=STRONG)
    last = weak.order_by("-day", "-pk").values("sex")[:1]
    return animals.annotate(
        surely_male=_strong("male", "sire"),
        surely_female=_strong("female", "dam"),
        weak_sex=Coalesce(Subquery(last, output_field=CharField()), Value("")),
    )


def _strong(sex, role):
    """Ask for a strong finding, or a statement that makes it a parent, seen or by DNA."""
    found = SexFinding.objects.current().filter(animal=OuterRef("pk"), sex=sex, basis__in=STRONG)
    parent = Candidate.objects.filter(
        animal=OuterRef("pk"),
        weight=1,
        descent__role=role,
        descent__basis__in=["seen", "dna"],
        descent__void=False,
        descent__superseded_at__isnull=True,
    )
    return Exists(found) | Exists(parent)


UNSURE = Q(surely_male=False, surely_female=False)
SEX_QUESTIONS = {
    "male-sure": Q(surely_male=True, surely_female=False),
    "male-likely": UNSURE & Q(weak_sex="male"),
    "female-sure": Q(surely_female=True, surely_male=False),
    "female-likely": UNSURE & Q(weak_sex="female"),
    "unsexed": UNSURE & Q(weak_sex=""),
    "contradicted": Q(surely_male=True, surely_female=True),
}
SEX_QUESTIONS["male"] = SEX_QUESTIONS["male-sure"] | SEX_QUESTIONS["male-likely"]
SEX_QUESTIONS["female"] = SEX_QUESTIONS["female-sure"] | SEX_QUESTIONS["female-likely"]


class AnimalFilter(df.FilterSet):
    """Animals by what they are called, are, where they come from, and where they are on a day."""

    q = df.CharFilter(method="called", label=_("Called"), max_length=200)
    where = df.ChoiceFilter(choices=WHERE, method="on_record", empty_label=None, label=_("Which"))
    taxon = df.ModelChoiceFilter(queryset=Taxon.objects.all(), empty_label=_("any"))
    locality = df.ModelChoiceFilter(
        queryset=Locality.objects.select_related("taxon"), empty_label=_("any")
    )
    sex = df.ChoiceFilter(choices=SEXES, method="of_sex", empty_label=_("any"), label=_("Sex"))
    standing = df.ChoiceFilter(
        choices=STANDING, method="later", empty_label=_("any"), label=_("Standing")
    )
    source_code = df.ChoiceFilter(choices=SourceCode, empty_label=_("any"), label=_("Origin"))
    unit = df.ModelChoiceFilter(
        queryset=Unit.objects.all(), method="in_unit", empty_label=_("any"), label=_("Unit")
    )
    enclosure = df.CharFilter(method="in_enclosure", label=_("Enclosure"), max_length=40)
    generation = df.NumberFilter(
        method="later", label=_("Generation F"), min_value=0, widget=forms.NumberInput
    )
    older = df.NumberFilter(method="at_least", label=_("Months old, at least"), min_value=0)
    younger = df.NumberFilter(method="at_most", label=_("Months old, at most"), min_value=0)

    class Meta:
        model = Animal
        fields = (
            "q",
            "where",
            "taxon",
            "locality",
            "sex",
            "standing",
            "source_code",
            "unit",
            "enclosure",
            "generation",
            "older",
            "younger",
        )

    def __init__(self, data=None, *args, on, **kwargs):
        data = data.copy() if data is not None else {}
        data.setdefault("where", "here")
        super().__init__(data, *args, **kwargs)
        self.on = on

    def called(self, queryset, name, text):
        """Keep those called so in any way."""
        asked = Q(code__icontains=text) | Q(name__icontains=text) | Q(note__icontains=text)
        marked = Q(marks__value__icontains=text, marks__superseded_at=None, marks__void=False)
        return queryset.filter(asked | marked).distinct()

    def on_record(self, queryset, name, which):
        """Keep those here, or those not dead, on the day."""
        if which == "here":
            return queryset.here(self.on)
        return queryset.alive(self.on) if which == "alive" else queryset

    def of_sex(self, queryset, name, sex):
        """Keep those whose findings come to a sex, by how sure it is."""
        return with_sexes(queryset).filter(SEX_QUESTIONS[sex])

    def in_unit(self, queryset, name, unit):
        """Keep those that are in a unit on the day."""
        return queryset.filter(pk__in=self._staying(enclosure__unit=unit))

    def in_enclosure(self, queryset, name, code):
        """Keep those that are in an enclosure on the day."""
        return queryset.filter(pk__in=self._staying(enclosure__code__iexact=code.strip()))

    def _staying(self, **where):
        return Stay.objects.current().running(self.on).filter(**where).values("animal")

    def at_least(self, queryset, name, months):
        """Keep those born at least so many months before the day."""
        return queryset.filter(born__lte=self._ago(months))

    def at_most(self, queryset, name, months):
        """Keep those born at most so many months before the day."""
        return queryset.filter(born__gt=self._ago(months + 1))

    def _ago(self, months):
        return self.on - min(float(months), 12_000) * MONTH

    def later(self, queryset, name, value):
        """Leave to `found` what has to be worked out for each animal."""
        return queryset

    def found(self):
        """Return the animals asked for, as a query where one can ask, else as a list."""
        asked = self.form.cleaned_data if self.form.is_valid() else {}
        animals = self.qs
        if asked.get("standing"):
            told = standings(animals, self.on)
            animals = [a for a in animals if a.pk in told and told[a.pk].state == asked["standing"]]
        if asked.get("generation") is not None:
            animals = of_generation(animals, asked["generation"])
        return animals


def of_generation(animals, number):
    """Return the animals that may be of a generation, by the keepers' count."""
    animals = list(animals)
    lineage = lineage_of(animals)
    told = ((animal, lineage.generation(animal.pk)) for animal in animals)
    return [a for a, g in told if g.lowest is not None and g.lowest <= number <= g.highest]
