"""Every batch there ever was: narrowed, kept as a filter, and exported."""

from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.shortcuts import render

from registry.forms.as_of import day_asked
from registry.views.exports import exported

from ..list_filters import HEADS, BatchFilter, rows
from ..models import Isolation

AT_ONCE = 50


def batch_list(request):
    """List the batches asked for, the latest opened first."""
    on = day_asked(request)
    asked = _asked(request, on)
    page = Paginator(asked.found(), AT_ONCE).get_page(request.GET.get("page"))
    context = {"filter": asked, "page": page, "on": on}
    context |= {"any": Isolation.objects.current().exists()}
    return render(request, "quarantine/batch_list.html", context)


@permission_required("registry.export_register", raise_exception=True)
def batch_export(request):
    """Send the batches asked for, all of them, as a table."""
    on = day_asked(request)
    asked = _asked(request, on)
    name = f"batches-{on}.csv"
    return exported(request, asked, "quarantine:batch-list", name, HEADS, rows(asked.found()))


def _asked(request, on):
    """Return the isolations opened by a day, narrowed by what the address asks."""
    known = Isolation.objects.current().filter(opened__lte=on).select_related("version__protocol")
    return BatchFilter(request.GET, queryset=known, on=on)
