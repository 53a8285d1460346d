"""The page a keeper opens in the morning."""

from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import render
from django.utils import timezone

from ..models import Animal
from ..today import section, sections
from .beginning import begin

AT_ONCE = 200


def today_show(request):
    """Show what the day asks for."""
    on = timezone.localdate()
    found = sections(on, request.user)
    tasks = [task for section in found for task in section.tasks]
    if not tasks and not Animal.objects.exists():
        return begin(request)
    context = {
        "on": on,
        "sections": found,
        "waiting": len(tasks),
        "late": sum(task.late for task in tasks),
    }
    return render(request, "registry/today_show.html", context)


def section_show(request, name):
    """Show all that one section of the day asks for."""
    on = timezone.localdate()
    found = section(name, on, request.user)
    if found is None:
        raise Http404
    page = Paginator(found.tasks, AT_ONCE).get_page(request.GET.get("page"))
    context = {"on": on, "section": found, "page": page}
    return render(request, "registry/section_show.html", context)
