"""The pedigree of one animal or of two, in the page and as files."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.safestring import mark_safe

from ..charts.dot import dot
from ..charts.drawing import draw
from ..charts.files import pdf_file, png_file, svg_file
from ..charts.layout import LayoutFailed, TooMuchToDraw
from ..charts.outline import outline
from ..charts.pedigree import with_leaf_siblings_grouped
from ..charts.pedigree_sketch import pedigree_sketch
from ..forms.pedigrees import ReachForm
from ..models import Animal
from ..picturing import picture_of

FILES = {
    "svg": ("image/svg+xml", lambda sketch: svg_file(draw(sketch))),
    "png": ("image/png", lambda sketch: png_file(draw(sketch))),
    "pdf": ("application/pdf", lambda sketch: pdf_file(draw(sketch))),
    "dot": ("text/vnd.graphviz", lambda sketch: dot(sketch).encode()),
}
GROUPED_FROM = 150  # a picture with more animals than this draws childless siblings as one line


def pedigree_show(request, pk, other=None):
    """Show whom an animal, or a pair, descends from and who descends from it."""
    animals = _asked(pk, other)
    form = ReachForm.asked(request.GET)
    picture = _picture(animals, form)
    context = {
        "animals": animals,
        "form": form,
        "picture": picture,
        "outline": outline(picture),
        "common": [a for a in picture.animals if a.key in picture.common],
        "files": list(FILES),
        "query": request.GET.urlencode(),
    }
    try:
        # drawn by us: every text in it is escaped where the picture is written
        context["svg"] = mark_safe(draw(pedigree_sketch(picture)))
    except (TooMuchToDraw, LayoutFailed) as problem:
        context["problem"] = str(problem)
    return render(request, "registry/pedigree_show.html", context)


def pedigree_file(request, pk, ending, other=None):
    """Send the same picture as a file."""
    animals = _asked(pk, other)
    kind, made = FILES[ending]
    sketch = pedigree_sketch(_picture(animals, ReachForm.asked(request.GET)))
    try:
        body = made(sketch)
    except (TooMuchToDraw, LayoutFailed) as problem:
        return HttpResponse(str(problem), status=422, content_type="text/plain; charset=utf-8")
    name = "-".join("".join(c if c.isalnum() else "_" for c in a.code) for a in animals)
    answer = HttpResponse(body, content_type=kind)
    how = "inline" if "alone" in request.GET else "attachment"
    answer["Content-Disposition"] = f'{how}; filename="pedigree-{ascii_only(name)}.{ending}"'
    return answer


def ascii_only(text):
    """Return a file name's text without letters a header cannot carry."""
    return text.encode("ascii", "replace").decode().replace("?", "_")


def _asked(pk, other):
    rows = Animal.objects.select_related("taxon", "locality", "source_group")
    return [get_object_or_404(rows, pk=key) for key in dict.fromkeys([pk, other]) if key]


def _picture(animals, form):
    picture = picture_of(animals, *form.reach(), timezone.localdate())
    if len(picture.animals) > GROUPED_FROM:
        return with_leaf_siblings_grouped(picture)
    return picture
