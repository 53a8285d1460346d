"""Labels to be printed; what is scanned opens the enclosure's page, after signing in."""

from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone

from ..forms.labels import LabelForm
from ..labels import SHEETS, as_pdf, labels_of
from ..models import Enclosure
from .register import pdf_response

ONLY_HERE = {"localhost", "127.0.0.1", "[::1]"}


def label_print(request):
    """Ask which labels are wanted, and send them as sheets to be printed."""
    form = LabelForm(request.POST or None, initial=request.GET.dict())
    if request.method == "POST" and form.is_valid():

        def address_of(enclosure):
            path = reverse("enclosure-label", args=[enclosure.token])
            return request.build_absolute_uri(path)

        sheet, start = SHEETS[form.cleaned_data["sheet"]], form.cleaned_data["start"]
        labels = labels_of(form.wanted(), address_of)
        return pdf_response(as_pdf(labels, sheet, start, timezone.localdate()), "labels.pdf")
    host = request.get_host().rsplit(":", 1)[0]
    context = {"form": form, "address": request.build_absolute_uri("/"), "here": host in ONLY_HERE}
    context |= {"any": Enclosure.objects.exists()}
    return render(request, "registry/label_print.html", context)
