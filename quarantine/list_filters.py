"""What the list of batches can be narrowed by, and its rows as they are exported."""

import django_filters as df
from django.utils.translation import gettext_lazy as _

from registry.forms.days import DayField
from registry.list_filters import ListFilter
from registry.models import Taxon

from .batches import CHANGED, OPEN, OVER, RELEASED, batches_on
from .models import Isolation, IsolationKind, Protocol

STATES = [(state, _(state)) for state in (OPEN, CHANGED, RELEASED, OVER)]
HEADS = (
    "batch", "kind", "protocol", "opened", "state", "living", "day zero", "best release day",
    "release possible", "released on", "signed by", "how it stands", "next",
)  # fmt: skip


class DayFilter(df.DateFilter):
    """A day, read as everywhere else."""

    field_class = DayField


class BatchFilter(ListFilter):
    """Batches by name, kind, protocol, who is in them, when they opened, and how they stand."""

    q = df.CharFilter(field_name="name", lookup_expr="icontains", label=_("Called"), max_length=120)
    kind = df.ChoiceFilter(choices=IsolationKind, empty_label=_("any"), label=_("Kind"))
    state = df.ChoiceFilter(choices=STATES, method="later", empty_label=_("any"), label=_("State"))
    protocol = df.ModelChoiceFilter(
        queryset=Protocol.objects.all(),
        field_name="version__protocol",
        empty_label=_("any"),
        label=_("Protocol"),
    )
    taxon = df.ModelChoiceFilter(
        queryset=Taxon.objects.all(), method="with_taxon", empty_label=_("any"), label=_("Taxon")
    )
    since = DayFilter(field_name="opened", lookup_expr="gte", label=_("Opened from"))
    until = DayFilter(field_name="opened", lookup_expr="lte", label=_("Opened up to"))

    class Meta:
        model = Isolation
        fields = ("q", "kind", "state", "protocol", "taxon", "since", "until")

    def with_taxon(self, rows, name, taxon):
        """Keep those with a member of a taxon."""
        mine = Isolation.objects.filter(members__animal__taxon=taxon)
        return rows.filter(pk__in=mine.values("pk"))

    def later(self, rows, name, value):
        """Leave to `found` what has to be worked out for each batch."""
        return rows

    def found(self):
        """Return the batches asked for, as they stand on the day."""
        asked = self.form.cleaned_data if self.form.is_valid() else {}
        found = batches_on(self.qs, self.on)
        return [b for b in found if asked.get("state") in (None, "", b.state)]


def rows(batches):
    """Yield a row for each batch."""
    for one in batches:
        isolation, signed, step = one.isolation, one.clearance, one.next
        yield (
            isolation.name, isolation.get_kind_display(), isolation.version, isolation.opened,
            one.state, len(one.reading.living) if one.reading else "",
            one.reading.zero.day if one.reading else "", one.best,
            "yes" if one.state == OPEN and one.possible else "", signed.day if signed else "",
            signed.signed_by if signed else "", one.sentence, step.text if step else "",
        )  # fmt: skip
