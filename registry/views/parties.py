"""The people and firms a keeper deals with."""

from django.contrib.auth.decorators import permission_required
from django.db.models import Q
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from ..forms.parties import PartyForm
from ..models import Departure, Party
from ..telling import tell
from .recording import record_page


def _shown(party):
    return reverse("party-show", args=[party.pk])


def party_list(request):
    """List the parties."""
    text = request.GET.get("q", "").strip()[:200]
    named = Q(name__icontains=text) | Q(registration__icontains=text)
    return render(
        request, "registry/party_list.html", {"parties": Party.objects.filter(named), "q": text}
    )


def party_show(request, pk):
    """Show one party, with what came from it and what went to it."""
    party = get_object_or_404(Party, pk=pk)
    gone = Departure.objects.current().filter(receiver=party).select_related("animal__taxon")
    context = {
        "party": party,
        "arrivals": party.arrivals.current().prefetch_related("animals"),
        "departures": gone,
        "owned": party.owned_animals.select_related("taxon"),
    }
    return render(request, "registry/party_show.html", context)


@permission_required("registry.add_party", raise_exception=True)
def party_add(request):
    """Enter a party."""
    form = PartyForm(request.POST or None)
    intro = tell("A person or firm: supplier, receiver, laboratory, veterinarian, authority.")
    return record_page(request, form, tell("Add a party"), _shown, intro)


@permission_required("registry.change_party", raise_exception=True)
def party_edit(request, pk):
    """Change a party."""
    party = get_object_or_404(Party, pk=pk)
    form = PartyForm(request.POST or None, instance=party)
    return record_page(request, form, tell("Change {name}", name=Party.objects.get(pk=pk)), _shown)
