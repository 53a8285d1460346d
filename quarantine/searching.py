"""What the search box finds of quarantine: batches by name, samples by label or number."""

from django.urls import reverse

from registry.phrases import in_a_row, written
from registry.searching import Hit, kind_of
from registry.telling import tell

from .models import Isolation, Sample


def batches(text):
    """Return the batches called so."""
    rows = Isolation.objects.current().filter(name__icontains=text)
    return kind_of(tell("Batches"), rows.select_related("version__protocol"), _batch)


def samples(text):
    """Return the samples with such a label or laboratory number."""
    rows = Sample.objects.current().filter(label__icontains=text).order_by("-day", "-pk")
    rows = rows.select_related("assay", "enclosure").prefetch_related("animals", "results")
    return kind_of(tell("Samples"), rows, _sample)


def _batch(one):
    told = tell("{kind}, opened {opened}", kind=one.get_kind_display(), opened=written(one.opened))
    return Hit(text=one.name, told=told, href=reverse("quarantine:batch-show", args=[one.pk]))


def _sample(one):
    """Lead to the result where there is one, else to those that are waited for."""
    known = [r for r in one.results.all() if not r.void and not r.superseded_at]
    waits = reverse("quarantine:results-list")
    href = reverse("quarantine:result-show", args=[known[0].pk]) if known else waits
    animals = in_a_row(list(one.animals.all())[:6])
    told = tell(
        "{assay} of {enclosure}, {day}",
        assay=one.assay,
        enclosure=one.enclosure or animals,
        day=written(one.day),
    )
    return Hit(text=one.label, told=told, href=href)
