"""Papers: listed, shown, entered, and their files handed out to those who are signed in."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.db import transaction
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from ..exporting import PAPER_HEADS, paper_rows
from ..forms.papers import SinglePaperForm
from ..list_filters import SOON, PaperFilter
from ..models import Paper
from ..telling import tell
from ..uploads import kind_by_name
from .exports import exported


def paper_list(request):
    """List the papers, the latest first; those that run out are marked."""
    on = timezone.localdate()
    asked = _asked(request, on)
    page = Paginator(asked.qs, 50).get_page(request.GET.get("page"))
    context = {"filter": asked, "page": page, "on": on, "soon": on + SOON}
    context |= {"any": Paper.objects.current().exists()}
    return render(request, "registry/paper_list.html", context)


@permission_required("registry.export_register", raise_exception=True)
def paper_export(request):
    """Send the papers asked for, all of them, as a table."""
    on = timezone.localdate()
    asked = _asked(request, on)
    rows = paper_rows(asked.qs)
    return exported(request, asked, "paper-list", f"papers-{on}.csv", PAPER_HEADS, rows)


def _asked(request, on):
    """Return the papers on record, narrowed by what the address asks."""
    rows = Paper.objects.current().select_related("arrival__supplier").prefetch_related("animals")
    return PaperFilter(request.GET, queryset=rows, on=on)


def paper_show(request, pk):
    """Show one paper with the animals it is about."""
    rows = Paper.objects.select_related("arrival__supplier", "entered_by")
    paper = get_object_or_404(rows, pk=pk, void=False)
    animals = paper.animals.select_related("taxon")
    return render(request, "registry/paper_show.html", {"paper": paper, "animals": animals})


@permission_required("registry.add_paper", raise_exception=True)
def paper_add(request):
    """Enter a paper for animals on record."""
    form = SinglePaperForm(request.POST or None, request.FILES or None, initial=request.GET.dict())
    if request.method == "POST" and form.is_valid():
        paper = _entered(form.cleaned_data, request.user)
        messages.success(request, tell("{paper} is saved.", paper=paper))
        return redirect("paper-show", paper.pk)
    if request.method == "POST":
        form.keep_file()
    return render(request, "registry/paper_add.html", {"form": form})


@transaction.atomic
def _entered(data, by):
    names = ("kind", "number", "issuer", "day", "valid_until", "note")
    told = {name: data[name] for name in names}
    paper = Paper.objects.create(**told, file=data["file"] or "", entered_by=by)
    paper.animals.set(data["animals"])
    return paper


def paper_file(request, pk):
    """Hand out the file of a paper, to be saved and never to be run in the page."""
    paper = get_object_or_404(Paper, pk=pk, void=False)
    kind = kind_by_name(paper.file.name) if paper.file else None
    if kind is None or not paper.file.storage.exists(paper.file.name):
        raise Http404(tell("This paper has no file."))
    name = f"paper-{paper.pk}{paper.file.name[paper.file.name.rindex('.') :].lower()}"
    response = FileResponse(
        paper.file.open("rb"), as_attachment=True, filename=name, content_type=kind
    )
    response["X-Content-Type-Options"] = "nosniff"
    response["Content-Security-Policy"] = "sandbox; default-src 'none'"
    response["Cache-Control"] = "private, no-store"
    return response
