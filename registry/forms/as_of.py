"""The day a page is asked about: ?on=YYYY-MM-DD, else today."""

from django import forms
from django.utils import timezone

from .days import DayField


def day_asked(request):
    """Return the day in the address, today where there is none or it cannot be read."""
    try:
        return DayField(required=False).clean(request.GET.get("on")) or timezone.localdate()
    except forms.ValidationError:
        return timezone.localdate()
