"""What is lent and what is borrowed."""

from django.shortcuts import render

from ..forms.as_of import day_asked
from ..lending import lendings


def loan_list(request):
    """List what each premises has lent and borrowed on a day, those due first first."""
    on = day_asked(request)
    return render(request, "registry/loan_list.html", {"lendings": lendings(on), "on": on})
