"""Breaches: what happened against a stop, and how each was settled."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from ..breaches import close_breach
from ..forms.breaches import CloseBreachForm
from ..models import Breach
from ..telling import tell
from .acting import nothing, quick_page, too_late

BREACHES = Breach.objects.select_related("stay__enclosure", "stay__animal", "entered_by")


def breach_list(request):
    """List the breaches, those still open first."""
    every = "all" in request.GET
    rows = BREACHES.prefetch_related("animals").order_by("-entered_at")
    rows = rows if every else rows.filter(closed_on__isnull=True)
    page = Paginator(rows, 50).get_page(request.GET.get("page"))
    return render(request, "registry/breach_list.html", {"page": page, "every": every})


@permission_required("registry.enter_breach", raise_exception=True)
def breach_close(request, pk):
    """Enter how a breach was settled."""
    breach = get_object_or_404(BREACHES, pk=pk)
    if breach.closed_on:
        return too_late(request, tell("This breach is settled already."), "breach-list")
    form = CloseBreachForm(request.POST or None, initial={"day": timezone.localdate()})

    def done(data, answers):
        close_breach(breach, data["day"], data["why"])
        messages.success(request, tell("The breach is settled; it stays readable."))
        return redirect("breach-list")

    return quick_page(
        request, form, "registry/breach_close.html", {"breach": breach}, raised=nothing, done=done
    )
