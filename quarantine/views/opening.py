"""Opening stock handed in as a list: shown back with what is wrong, entered whole or not at all."""

import csv
import io

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from registry.forms.answers import answers_of
from registry.models import Holding
from registry.objections import Refused
from registry.sheets import workbook
from registry.stock import read_rows
from registry.stock_columns import COLUMNS, examples
from registry.telling import tell
from registry.trying import undone

from ..clearing import SIGN
from ..forms.opening import (
    BeginsForm,
    SignStockForm,
    StockListForm,
    first_line,
    posted_rows,
    shown_rows,
)
from ..opening import Stock, StockRefused, open_stock
from ..refusals import ActRefused

RIGHTS = tuple(
    f"registry.{name}"
    for name in (
        "register_arrival", "add_sexfinding", "add_mark", "add_descent", "place_animal",
    )
)  # fmt: skip
SHEETS = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
NOT_YET = _("not said yet")  # stands for the grounds while a list is only looked at


@permission_required(RIGHTS, raise_exception=True)
def stock_open(request):
    """Take a list of the animals that are here, and show it back."""
    if "rows" in request.POST:
        return _review(request, BeginsForm(request.POST), posted_rows(request.POST))
    first = {"day": timezone.localdate(), "holding": Holding.objects.first()}
    first |= {"text": first_line()}
    form = StockListForm(request.POST or None, request.FILES or None, initial=first)
    if request.method == "POST" and form.is_valid():
        return _review(request, form, form.cleaned_data["rows"])
    context = {"form": form, "columns": COLUMNS, "examples": examples()}
    context |= {"premises": Holding.objects.exists()}
    return render(request, "quarantine/stock_open.html", context)


def _review(request, form, rows):
    """Show a list back; enter it where it is asked for and nothing stands against it."""
    doing, may_sign = "do" in request.POST, request.user.has_perm(SIGN)
    sign = SignStockForm(request.POST if "rows" in request.POST and may_sign else None)
    reading = read_rows(rows, form.cleaned_data["day"]) if form.is_valid() else None
    context = {"begins": form, "sign": sign if may_sign else None, "may_sign": may_sign}
    problems = reading.problems if reading else {}
    signed = not doing or not may_sign or sign.is_valid()
    if reading and not problems and rows:
        try:
            stock = _stock(form, sign, reading, may_sign)
            reason = answers_of(request).reasons.get("all", "")
            if doing and signed:
                return _done(request, open_stock(stock, by=request.user, reason=reason))
            undone(lambda: open_stock(stock, by=request.user, reason=reason))
        except StockRefused as refused:
            problems = refused.problems
        except (Refused, ActRefused) as refused:
            context |= _told(request, refused)
    context |= {"rows": shown_rows(rows, problems), "count": len(rows), "reading": reading}
    context |= {"wrong": len(problems), "doing": doing, "refused": doing and not signed}
    return render(request, "quarantine/stock_review.html", context)


def _stock(form, sign, reading, may_sign):
    """Return what would be entered; grounds not written yet are taken to come."""
    told = sign.cleaned_data if sign.is_bound and sign.is_valid() else {}
    grounds = told.get("grounds", NOT_YET) if may_sign else ""
    where = {name: form.cleaned_data[name] for name in ("day", "holding")}
    return Stock(**where, animals=reading.animals, grounds=grounds)


def _told(request, refused):
    if isinstance(refused, Refused):
        return answers_of(request).context(refused.objections, refused)
    return {"act_refused": str(refused)}


def _done(request, opened):
    cleared = tell(" and cleared") if opened.clearance else ""
    messages.success(
        request,
        tell("{count} animals are on record{cleared}.", count=len(opened.animals), cleared=cleared),
    )
    return redirect("begin")


@permission_required(RIGHTS, raise_exception=True)
def stock_template(request, ending):
    """Send an empty list to fill in: its columns, and on a sheet of its own what they mean."""
    heads = [column.heading for column in COLUMNS]
    if ending == "csv":
        text = io.StringIO()
        csv.writer(text).writerow(heads)
        answer = HttpResponse(f"\ufeff{text.getvalue()}", content_type="text/csv; charset=utf-8")
    else:
        told = [
            [tell("column"), tell("what may stand in it")],
            *[[c.heading, c.told] for c in COLUMNS],
        ]
        names = tell("Animals"), tell("Example"), tell("Columns")
        sheets = dict(zip(names, ([heads], [heads, *examples()], told), strict=True))
        answer = HttpResponse(workbook(sheets), content_type=SHEETS)
    answer["Content-Disposition"] = f'attachment; filename="opening-stock.{ending}"'
    return answer
