"""The register of a holding: read line by line, sent as a table, printed page by page."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from ..correcting import WhyMissing
from ..forms.register import ExtractForm, RestateForm
from ..models import RegisterLine
from ..models.register import LINES_PER_PAGE
from ..register_reading import HEADS, TooManyLines, as_pdf, cells, correction, entry
from ..restating import LineRefused, can_be_restated, differences, restate
from ..spreadsheet import csv_response
from ..telling import tell


def register_show(request):
    """Show the lines of a holding about the days asked for."""
    form = ExtractForm(request.GET)
    extract = form.extract()
    context = {"form": form, "extract": extract}
    if extract:
        page = Paginator(extract.lines(), LINES_PER_PAGE).get_page(request.GET.get("page"))
        rows = [(line, entry(line), correction(line)) for line in page]
        context |= {"page": page, "rows": rows, "balances": extract.balances()}
    return render(request, "registry/register_show.html", context)


@permission_required("registry.export_register", raise_exception=True)
def register_table(request):
    """Send the lines asked for as a table."""
    extract = _asked(request)
    lines = (cells(line) for line in extract.lines().iterator(chunk_size=1000))
    return csv_response("register.csv", HEADS, lines)


@permission_required("registry.export_register", raise_exception=True)
def register_print(request):
    """Send the lines asked for as printed pages."""
    try:
        made = as_pdf(_asked(request), timezone.localdate())
    except TooManyLines as problem:
        messages.error(request, str(problem))
        return redirect(f"{reverse('register-show')}?{request.GET.urlencode()}")
    return pdf_response(made, "register.pdf")


def _asked(request):
    extract = ExtractForm(request.GET).extract()
    if extract is None:
        raise Http404(tell("There is no such register."))
    return extract


def pdf_response(made, name):
    """Return a PDF file that is saved, and never run in the page."""
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, no-store"
    return response


def line_show(request, pk):
    """Show one line with what corrects it."""
    rows = RegisterLine.objects.select_related(
        "holding", "corrects", "entered_by", "arrival", "clutch"
    )
    line = get_object_or_404(rows, pk=pk)
    context = {
        "line": line,
        "entry": entry(line),
        "correction": correction(line),
        "corrections": line.corrections.order_by("number"),
        "animals": line.animals.order_by("code"),
        "differs": differences(line),
    }
    return render(request, "registry/register_line.html", context)


@permission_required("registry.add_registerline", raise_exception=True)
def line_restate(request, pk):
    """Write a line anew as it reads today; the old one stands."""
    line = get_object_or_404(RegisterLine.objects.select_related("holding", "arrival"), pk=pk)
    form = RestateForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            new = restate(line, by=request.user, why=form.cleaned_data["why"])
            messages.success(
                request,
                tell(
                    "Line {number} corrects line {number_2}.",
                    number=new.number,
                    number_2=line.number,
                ),
            )
            return redirect("register-line", new.pk)
        except (LineRefused, WhyMissing) as problem:
            form.add_error(None, str(problem))
    context = {"line": line, "form": form, "differs": differences(line)}
    context["possible"] = can_be_restated(line)
    return render(request, "registry/register_restate.html", context)
