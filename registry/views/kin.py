"""The nearest kin of an animal, and why two animals are related."""

from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.safestring import mark_safe

from ..charts.drawing import draw
from ..charts.layout import LayoutFailed, TooMuchToDraw
from ..charts.pedigree_sketch import pedigree_sketch
from ..kin import kin_of, part_words, why
from ..mates import relation_words
from ..models import Animal
from ..picturing import path_picture

ROWS = Animal.objects.select_related("taxon", "locality", "source_group")


def kin_show(request, pk):
    """List the nearest relatives of an animal, in words and figures."""
    animal = get_object_or_404(ROWS, pk=pk)
    context = {"animal": animal, "relatives": kin_of(animal, timezone.localdate())}
    return render(request, "registry/kin_show.html", context)


def kin_why(request, pk, other):
    """Show what the kinship of two animals is made of, with the paths drawn."""
    one, two = get_object_or_404(ROWS, pk=pk), get_object_or_404(ROWS, pk=other)
    account = why(one, two)
    context = {
        "one": one,
        "two": two,
        "account": account,
        "words": relation_words(account.expected, account.worst, account.traced),
        "parts": [part_words(part) for part in account.parts],
    }
    try:
        picture = path_picture([one, two], account.keys, timezone.localdate())
        # drawn by us: every text in it is escaped where the picture is written
        context["svg"] = mark_safe(draw(pedigree_sketch(picture)))
    except (TooMuchToDraw, LayoutFailed) as problem:
        context["problem"] = str(problem)
    return render(request, "registry/kin_why.html", context)
