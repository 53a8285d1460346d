"""Exposed animals, traces, and the audit."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe

from registry.charts.drawing import draw
from registry.charts.files import svg_file
from registry.charts.layout import TooMuchToDraw
from registry.charts.trace import said, trace_sketch
from registry.forms.as_of import day_asked
from registry.spreadsheet import csv_response
from registry.telling import tell_many

from ..auditing import COLUMNS, audit, table
from ..exposures import exposed, last_exposure, unopened
from ..forms.contacts import ExposedForm, TraceForm
from ..isolating import take_exposed
from ..tracing import picture_of, trace
from .acting import act_page


def exposed_list(request):
    """List those held because they met a held one; one act takes all into an isolation."""
    on = timezone.localdate()
    rows = exposed(on)
    animals = [row.animal for row in rows]
    first = {
        "animals": [a.pk for a in animals],
        "day": last_exposure(rows) if rows else on,
        "name": f"Exposed, {on:%Y-%m-%d}",
    }
    form = ExposedForm(request.POST or None, animals=animals, initial=first)
    context = {"rows": rows, "on": on, "others": [r for r in unopened(on) if not r[1].met]}

    def act(data, answers):
        told = {name: data[name] for name in ("name", "version", "day")}
        return take_exposed(data["animals"], by=request.user, **told)

    def done(isolation):
        messages.success(request, _taken(isolation))
        return redirect("quarantine:batch-show", isolation.pk)

    if request.method == "POST":
        return _take(request, form, context, act, done)
    return render(request, "quarantine/exposed_list.html", context | {"form": form})


def _taken(isolation):
    return tell_many(
        "{count} animal is in {isolation}.",
        "{count} animals are in {isolation}.",
        isolation.members.count(),
        isolation=isolation,
    )


@permission_required("quarantine.open_isolation", raise_exception=True)
def _take(request, form, context, act, done):
    template = "quarantine/exposed_list.html"
    return act_page(request, form, context, act=act, done=done, template=template)


def trace_show(request):
    """Show whom an animal or an enclosure can have reached, or who can have reached it."""
    form = TraceForm(request.GET or None)
    context = {"form": form}
    if form.is_valid():
        context |= _traced(form.asked())
    return render(request, "quarantine/trace_show.html", context)


def _traced(asked):
    traced = trace(asked)
    drawn = picture_of(traced)
    context = {"traced": traced, "asked": asked}
    if drawn:
        context["said"] = said(drawn)
        try:
            context["svg"] = mark_safe(draw(trace_sketch(drawn)))
        except TooMuchToDraw as problem:
            context["too_much"] = str(problem)
    return context


def trace_picture(request):
    """Send the picture of a trace alone, at its full size; without one, lead to the page."""
    form = TraceForm(request.GET)
    svg = _traced(form.asked()).get("svg") if form.is_valid() else None
    if svg is None:
        return redirect(f"{reverse('quarantine:trace')}?{request.GET.urlencode()}")
    return HttpResponse(svg_file(svg), content_type="image/svg+xml")


def audit_show(request):
    """Show every isolation on a date, true that day and known that day, and the differences."""
    on = day_asked(request)
    lines = audit(on)
    context = {"on": on, "lines": lines, "differing": [line for line in lines if line.differs]}
    return render(request, "quarantine/audit_show.html", context)


def audit_file(request):
    """Hand the audit out as a table for a spreadsheet program."""
    on = day_asked(request)
    return csv_response(f"quarantine-{on:%Y-%m-%d}.csv", COLUMNS, table(audit(on)))
