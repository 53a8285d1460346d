"""Taxa and localities: what is kept, and where its founders come from."""

from django.contrib.auth.decorators import permission_required
from django.db.models import Count
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from ..forms.taxa import LocalityForm, TaxonForm
from ..models import Animal, Locality, Taxon
from ..telling import tell
from .recording import record_page


def _listed(thing):
    return reverse("taxon-list")


def taxon_list(request):
    """List the taxa with their localities and how many animals of each are here."""
    here = Animal.objects.here(timezone.localdate())
    counts = here.order_by().values_list("taxon", "locality").annotate(n=Count("pk", distinct=True))
    by_place = {(taxon, place): n for taxon, place, n in counts}
    taxa = [
        (taxon, [(p, by_place.get((taxon.pk, p.pk), 0)) for p in taxon.localities.all()],
         by_place.get((taxon.pk, None), 0))
        for taxon in Taxon.objects.prefetch_related("localities")
    ]  # fmt: skip
    return render(request, "registry/taxon_list.html", {"taxa": taxa})


@permission_required("registry.add_taxon", raise_exception=True)
def taxon_add(request):
    """Enter a taxon."""
    form = TaxonForm(request.POST or None)
    intro = tell(
        "A species or subspecies with the figures its keeping goes by; each can be changed."
    )
    return record_page(request, form, tell("Add a taxon"), _listed, intro)


@permission_required("registry.change_taxon", raise_exception=True)
def taxon_edit(request, pk):
    """Change the figures of a taxon."""
    taxon = get_object_or_404(Taxon, pk=pk)
    form = TaxonForm(request.POST or None, instance=taxon)
    intro = tell("Rules use the figures from now on, for what is on record too.")
    return record_page(
        request, form, tell("Change {name}", name=Taxon.objects.get(pk=pk)), _listed, intro
    )


@permission_required("registry.add_locality", raise_exception=True)
def locality_add(request):
    """Enter a locality."""
    form = LocalityForm(request.POST or None, initial={"taxon": request.GET.get("taxon")})
    intro = tell("A collecting place of founders. Locality means the place, not the looks.")
    return record_page(request, form, tell("Add a locality"), _listed, intro)


@permission_required("registry.change_locality", raise_exception=True)
def locality_edit(request, pk):
    """Change a locality."""
    locality = get_object_or_404(Locality, pk=pk)
    form = LocalityForm(request.POST or None, instance=locality)
    return record_page(
        request, form, tell("Change {name}", name=Locality.objects.get(pk=pk)), _listed
    )
