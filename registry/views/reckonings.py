"""Long work of a line: asked for, come back to, given up."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_POST
from django_htmx.http import HttpResponseClientRefresh

from ..census import Census
from ..charts.founders import FounderShare, founder_shares
from ..forms.plans import AllelesForm, query_of
from ..keeping import drawn_once
from ..line_plots import MOST_FOUNDERS
from ..lines import Line
from ..models import Reckoning
from ..reckoning import Question, ask, reckoning_now, stop
from ..telling import tell
from .lines import line_asked

TITLES = {
    "alleles": _("Alleles kept by"),
    "plan": _("Plan for"),
    "kinship": _("Kinship among the living of"),
}


def line_alleles(request, taxon, locality):
    """Ask which of the founders' alleles the living still have, and list what was found before."""
    line, on = line_asked(taxon, locality), timezone.localdate()
    form = AllelesForm(request.POST or None)
    census = Census(line)
    if form.is_valid() and census.here(on):
        question = Question(kind="alleles", census=census, on=on, asked=form.cleaned_data)
        return redirect("reckoning-show", ask(question, request.user).pk)
    before = Reckoning.objects.filter(kind="alleles", taxon=line.taxon, locality=line.locality)
    context = {
        "line": line,
        "form": form,
        "before": before.select_related("asked_by")[:10],
        "count": len(census.here(on)),
    }
    return render(request, "registry/line_alleles.html", context)


def reckoning_show(request, pk):
    """Show how far a long work has come, and what came of it."""
    reckoning = _found(pk)
    if request.htmx:
        if not reckoning.is_open:
            return HttpResponseClientRefresh()
        return render(request, "registry/_reckoning.html", {"reckoning": reckoning})
    line = Line(taxon=reckoning.taxon, locality=reckoning.locality)
    context = {
        "reckoning": reckoning,
        "line": line,
        "title": TITLES.get(reckoning.kind, "Work on"),
        "page": _page_of(reckoning, line),
        "may_stop": _may_stop(request.user, reckoning),
    }
    if reckoning.kind == "alleles" and reckoning.result:
        context["svg"] = _founders_drawn(reckoning.result["founders"])
    return render(request, "registry/reckoning_show.html", context)


def _founders_drawn(founders):
    """Draw the founders with what each keeps; of very many nothing is drawn."""
    if len(founders) > MOST_FOUNDERS:
        return ""
    shares = (FounderShare(code=code, share=share, kept=kept) for code, share, kept in founders)
    # drawn by us: every text in it is escaped where the picture is written
    return mark_safe(drawn_once(founder_shares, tuple(shares)).svg)


def _may_stop(user, reckoning):
    return user == reckoning.asked_by or user.is_staff


def _found(pk):
    try:
        return reckoning_now(pk)
    except Reckoning.DoesNotExist:
        raise Http404(tell("There is no such reckoning; they are kept for 90 days.")) from None


def _page_of(reckoning, line):
    """Return where the result of a reckoning is shown, if not on its own page."""
    if reckoning.kind == "plan":
        return f"{reverse('line-plan', args=line.address)}?{query_of(reckoning.asked['steering'])}"
    if reckoning.kind == "kinship":
        return reverse("line-plot", args=[*line.address, "kinship"])
    return ""


@require_POST
def reckoning_stop(request, pk):
    """Give up a long work; only who asked for it, or who looks after the site, may."""
    reckoning = _found(pk)
    if not _may_stop(request.user, reckoning):
        raise PermissionDenied
    if stop(reckoning):
        messages.success(request, tell("It is stopped."))
    else:
        messages.info(request, tell("It had ended already."))
    return redirect("reckoning-show", pk)
