"""Clutches taken together: what came of those of a year, as a funnel with its table."""

from django.http import Http404
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import mark_safe

from ..forms.breeding import YearFilter
from ..funnel import funnel
from ..funnels import clutches_of_year, funnel_of, years_with_clutches
from ..telling import tell


def pictured(title, clutches):
    """Return what a page needs to show clutches as a funnel, with the table beside it."""
    chart = funnel_of(title, clutches)
    # drawn by us: every text in it is escaped where the picture is written
    return {"chart": chart, "svg": mark_safe(chart.svg) if chart else "", "plot_title": title}


def clutch_year(request, year):
    """Show what came of the clutches of one year, of all taxa or of one."""
    years = years_with_clutches()
    if year not in years and year != timezone.localdate().year:
        raise Http404(tell("No clutch of that year is on record."))
    form = YearFilter(request.GET)
    taxon = form.asked()
    clutches = list(clutches_of_year(year, taxon).select_related("taxon"))
    context = {
        "year": year,
        "years": years,
        "taxon": taxon,
        "form": form,
        "clutches": [(clutch, funnel(clutch)) for clutch in clutches],
    } | pictured(tell("Clutches of {year}", year=year), clutches)
    return render(request, "registry/clutch_year.html", context)
