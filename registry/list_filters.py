"""What the lists of pairings, enclosures and papers can be narrowed by, and their rows exported."""

from datetime import timedelta

import django_filters as df
from django.db.models import Exists, OuterRef, Q
from django.utils.translation import gettext_lazy as _

from .models import Enclosure, Locality, Pairing, Paper, PaperKind, Stay, Taxon, Unit, UnitRole

SOON = timedelta(days=60)  # a paper that runs out by then is marked

PAIR_STATES = (
    ("in force", _("in force")),
    ("planned", _("planned")),
    ("active", _("active")),
    ("ended", _("ended")),
    ("all", _("all")),
)
USES = (
    ("in use", _("in use")),
    ("lived in", _("lived in")),
    ("empty", _("in use and empty")),
    ("out of use", _("out of use")),
    ("all", _("all on record")),
)
RUNNING = (
    ("valid", _("valid, or without an end")),
    ("soon", _("running out soon")),
    ("over", _("run out")),
)


class ListFilter(df.FilterSet):
    """A list as on a day, with what is chosen where the address says nothing."""

    first = {}

    def __init__(self, data=None, *args, on, **kwargs):
        data = data.copy() if data is not None else {}
        for name, value in self.first.items():
            data.setdefault(name, value)
        super().__init__(data, *args, **kwargs)
        self.on = on

    def narrows(self, asked):
        """Return whether an address asks for less than the list shows by itself."""
        return any(asked.get(name) for name in self.filters)


class PairingFilter(ListFilter):
    """Pairings by how they stand on a day, and by who is paired."""

    first = {"state": "in force"}
    q = df.CharFilter(method="named", label=_("Animal"), max_length=80)
    state = df.ChoiceFilter(
        choices=PAIR_STATES, method="in_state", empty_label=None, label=_("Which")
    )
    taxon = df.ModelChoiceFilter(
        queryset=Taxon.objects.all(),
        field_name="first__taxon",
        empty_label=_("any"),
        label=_("Taxon"),
    )
    locality = df.ModelChoiceFilter(
        queryset=Locality.objects.select_related("taxon"),
        method="from_place",
        empty_label=_("any"),
        label=_("Locality"),
    )

    class Meta:
        model = Pairing
        fields = ("q", "state", "taxon", "locality")

    def named(self, rows, name, text):
        """Keep those of an animal."""
        ways = (
            f"{side}__{by}__icontains" for side in ("first", "second") for by in ("code", "name")
        )
        asked = Q()
        for way in ways:
            asked |= Q(**{way: text})
        return rows.filter(asked)

    def in_state(self, rows, name, state):
        """Keep those in a state on the day, as `Pairing.state` tells it."""
        ended, begun = Q(ended_on__lte=self.on), Q(began_on__lte=self.on)
        going = Q(ended_on__isnull=True) | Q(ended_on__gt=self.on)
        not_begun = Q(began_on__isnull=True) | Q(began_on__gt=self.on)
        asked = {
            "in force": going,
            "planned": going & not_begun,
            "active": going & begun,
            "ended": ended,
            "all": Q(),
        }
        return rows.filter(asked[state])

    def from_place(self, rows, name, place):
        """Keep those in which either animal is of a place."""
        return rows.filter(Q(first__locality=place) | Q(second__locality=place))


class EnclosureFilter(ListFilter):
    """Enclosures by where they stand, what for, and who lives in them on a day."""

    first = {"use": "in use"}
    q = df.CharFilter(field_name="code", lookup_expr="icontains", label=_("Code"), max_length=40)
    use = df.ChoiceFilter(choices=USES, method="in_use", empty_label=None, label=_("Which"))
    unit = df.ModelChoiceFilter(queryset=Unit.objects.all(), empty_label=_("any"), label=_("Unit"))
    role = df.ChoiceFilter(
        choices=UnitRole, field_name="unit__role", empty_label=_("any"), label=_("Kind of unit")
    )
    taxon = df.ModelChoiceFilter(
        queryset=Taxon.objects.all(),
        method="with_taxon",
        empty_label=_("any"),
        label=_("Who lives there"),
    )

    class Meta:
        model = Enclosure
        fields = ("q", "use", "unit", "role", "taxon")

    def in_use(self, rows, name, which):
        """Keep those in use, out of use, lived in or empty on the day."""
        if which == "all":
            return rows
        if which == "out of use":
            return rows.filter(retired_on__isnull=False)
        rows = rows.filter(retired_on__isnull=True)
        lived = Exists(self._stays())
        return {"in use": rows, "lived in": rows.filter(lived), "empty": rows.filter(~lived)}[which]

    def with_taxon(self, rows, name, taxon):
        """Keep those in which a taxon lives, as animals or as a clutch."""
        mine = Q(animal__taxon=taxon) | Q(clutch__taxon=taxon)
        return rows.filter(Exists(self._stays().filter(mine)))

    def _stays(self):
        return Stay.objects.current().running(self.on).filter(enclosure=OuterRef("pk"))


class PaperFilter(ListFilter):
    """Papers by kind, number, issuer, whose they are, and whether they still hold."""

    q = df.CharFilter(method="named", label=_("Number, issuer or animal"), max_length=200)
    kind = df.ChoiceFilter(choices=PaperKind, empty_label=_("any"), label=_("Kind"))
    ours = df.ChoiceFilter(
        choices=(("yes", _("issued here")), ("no", _("received"))),
        method="issued",
        empty_label=_("any"),
        label=_("Whose"),
    )
    valid = df.ChoiceFilter(choices=RUNNING, method="holds", empty_label=_("any"), label=_("Holds"))
    file = df.ChoiceFilter(
        choices=(("yes", _("with a file")), ("no", _("without a file"))),
        method="with_file",
        empty_label=_("any"),
        label=_("File"),
    )

    class Meta:
        model = Paper
        fields = ("q", "kind", "ours", "valid", "file")

    def named(self, rows, name, text):
        """Keep those with a number, an issuer or an animal called so."""
        of = rows.filter(animals__code__icontains=text).values("pk")
        return rows.filter(Q(number__icontains=text) | Q(issuer__icontains=text) | Q(pk__in=of))

    def issued(self, rows, name, answer):
        """Keep those issued here, or those received."""
        return rows.filter(ours=answer == "yes")

    def holds(self, rows, name, answer):
        """Keep those that hold on the day, run out soon after it, or have run out."""
        if answer == "over":
            return rows.filter(valid_until__lt=self.on)
        if answer == "soon":
            return rows.filter(valid_until__range=(self.on, self.on + SOON))
        return rows.filter(Q(valid_until__isnull=True) | Q(valid_until__gte=self.on))

    def with_file(self, rows, name, answer):
        """Keep those with a file, or those without."""
        return rows.exclude(file="") if answer == "yes" else rows.filter(file="")
