"""Rows for a spreadsheet program, in which nothing a person typed can act as a formula."""

import csv
from itertools import chain

from django.http import StreamingHttpResponse

ACTING = ("=", "+", "-", "@", "\t", "\r", "\n")


def safe(cell):
    """Return a cell as text that no spreadsheet program takes for a formula.

    >>> safe("=1+1"), safe(-3), safe(None)
    ("'=1+1", '-3', '')
    """
    text = "" if cell is None else str(cell)
    if isinstance(cell, str) and text.startswith(ACTING):
        return f"'{text}"
    return text


class _Line:
    """A file of one line: what is written is what comes back."""

    def write(self, text):
        """Return the line."""
        return text


def csv_response(name, heads, rows):
    """Return rows as a CSV file that is sent as it is made."""
    writer = csv.writer(_Line())
    lines = (writer.writerow([safe(c) for c in row]) for row in chain([heads], rows))
    response = StreamingHttpResponse(_begun(lines), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _begun(lines):
    """Begin with the mark by which spreadsheet programs know the encoding."""
    yield "\ufeff"
    yield from lines
