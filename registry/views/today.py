"""The page a keeper opens in the morning."""

from django.shortcuts import render
from django.utils import timezone

from ..models import Animal
from ..today import sections
from .beginning import begin


def today_show(request):
    """Show what the day asks for."""
    on = timezone.localdate()
    if not Animal.objects.exists():
        return begin(request)
    found = sections(on, request.user)
    tasks = [task for section in found for task in section.tasks]
    context = {
        "on": on,
        "sections": found,
        "waiting": len(tasks),
        "late": sum(task.late for task in tasks),
    }
    return render(request, "registry/today_show.html", context)
