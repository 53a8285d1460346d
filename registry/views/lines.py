"""The lines: the list with those dying out first, and one page for each."""

from django.contrib.auth.decorators import permission_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext_lazy as _

from ..census import Census
from ..charts.heatmap import MOST
from ..charts.layout import LayoutFailed
from ..forms.as_of import day_asked
from ..forms.lines import LineFilter
from ..founding import by_source, founders_of
from ..line_plots import MOST_FOUNDERS, PLOTS, TITLES, NotYetDrawn
from ..lines import Line, lines_on
from ..models import Locality, Taxon
from ..reckoning import ask
from ..spreadsheet import csv_response
from ..telling import tell
from ..unsettled import open_departures

HEADS = ("code", "name", "sex", "born", _("mean kinship"), _("traced share"), "bred", "founder")


def line_list(request):
    """List the lines, those dying out first."""
    on, form = day_asked(request), LineFilter(request.GET)
    taxon, only_dying = form.asked()
    found = [t for t in lines_on(on, taxon) if t.is_dying or not only_dying]
    context = {
        "form": form,
        "dying": [t for t in found if t.is_dying],
        "others": [t for t in found if t.count and not t.is_dying],
        "gone": [t for t in found if not t.count],
        "only_dying": only_dying,
        "on": on,
        "today": timezone.localdate(),
    }
    return render(request, "registry/line_list.html", context)


def line_asked(taxon, locality):
    """Return the line at an address, or answer that there is none."""
    if locality is not None:
        places = Locality.objects.select_related("taxon")
        place = get_object_or_404(places, pk=locality, taxon=taxon)
        return Line(taxon=place.taxon, locality=place)
    line = Line(taxon=get_object_or_404(Taxon, pk=taxon))
    if not line.animals().exists():
        raise Http404(tell("No animal of this taxon is of unknown locality."))
    return line


def line_show(request, taxon, locality):
    """Show what a line keeps of its founders, who is living, and who matters most."""
    line, on = line_asked(taxon, locality), day_asked(request)
    census = Census(line)
    kept = census.kept(on)
    founders = founders_of(census, on, kept)
    context = {
        "line": line,
        "kept": kept,
        "founders": founders,
        "sources": by_source(founders),
        "members": census.members(on) if kept.living else [],
        "tally": census.tally(on),
        "gone": open_departures(day__lte=on, animals__in=line.animals()),
        "on": on,
        "today": timezone.localdate(),
    }
    return render(request, "registry/line_show.html", context)


def line_plot(request, taxon, locality, plot):
    """Draw one plot of a line, with the table behind it; alone for a page that waits for it."""
    line, on = line_asked(taxon, locality), day_asked(request)
    context = {"line": line, "plot": plot, "on": on, "today": timezone.localdate()}
    context |= {"title": TITLES[plot], "most_founders": MOST_FOUNDERS, "most_mapped": MOST}
    try:
        chart = PLOTS[plot](Census(line), on)
        # drawn by us: every text in it is escaped where the picture is written
        context |= {"chart": chart, "svg": mark_safe(chart.svg)}
    except NotYetDrawn as problem:
        if request.method == "POST":
            ask(problem.question, request.user)
            return redirect(request.get_full_path())
        context |= {"wanted": True, "reckoning": problem.reckoning}
    except LayoutFailed as problem:
        context["problem"] = str(problem)
    page = "registry/_line_plot.html" if request.htmx else "registry/line_plot.html"
    return render(request, page, context)


@permission_required("registry.export_register", raise_exception=True)
def line_export(request, taxon, locality):
    """Send the mean kinship list as a table."""
    line, on = line_asked(taxon, locality), day_asked(request)
    rows = (member.cells() for member in Census(line).members(on))
    return csv_response(f"mean-kinship-{on:%Y-%m-%d}.csv", HEADS, rows)
