"""The page a keeper opens in the morning."""

from django.shortcuts import render
from django.utils import timezone

from ..today import sections


def today_show(request):
    """Show what the day asks for."""
    on = timezone.localdate()
    return render(request, "registry/today_show.html", {"sections": sections(on, request.user)})
