"""What a list shows, all of it and nothing else, as a table for a spreadsheet program."""

from django.shortcuts import redirect
from django.urls import reverse

from ..spreadsheet import csv_response


def exported(request, asked, page, name, heads, rows):
    """Send rows as a table; where the filter cannot be read, go back to the list that says so."""
    if not asked.form.is_valid():
        return redirect(f"{reverse(page)}?{request.GET.urlencode()}")
    return csv_response(name, heads, rows)
