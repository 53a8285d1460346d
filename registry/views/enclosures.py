"""The enclosures: the list by unit, one page for each, and what is done from it."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from ..everywhere import standing_in
from ..exporting import ENCLOSURE_HEADS, enclosure_rows
from ..forms.enclosures import CarryForm, DisinfectForm
from ..list_filters import EnclosureFilter
from ..listing import clutches_in, clutches_of, rows
from ..models import Animal, Enclosure, Stay
from ..occupancy import by_unit, history, one_by_one, unit_by_unit
from ..telling import tell
from ..tending import Carrying, carry, disinfect, objections
from ..unsettled import fewer, open_about
from .acting import act_page, nothing, quick_page
from .exports import exported

ENCLOSURES = Enclosure.objects.select_related("unit__holding")
AT_ONCE = 150


def enclosure_list(request):
    """List the enclosures unit by unit, with who is in each."""
    on = timezone.localdate()
    asked = EnclosureFilter(request.GET, queryset=ENCLOSURES, on=on)
    narrowed = asked.narrows(request.GET)
    units = [(unit, some) for unit, some in by_unit(asked.qs, on) if some or not narrowed]
    page = Paginator(one_by_one(units), AT_ONCE).get_page(request.GET.get("page"))
    context = {"filter": asked, "page": page, "units": unit_by_unit(page), "on": on}
    context |= {"narrowed": narrowed}
    return render(request, "registry/enclosure_list.html", context)


@permission_required("registry.export_register", raise_exception=True)
def enclosure_export(request):
    """Send the enclosures asked for, all of them, as a table."""
    on = timezone.localdate()
    asked = EnclosureFilter(request.GET, queryset=ENCLOSURES, on=on)
    rows = enclosure_rows(by_unit(asked.qs, on))
    return exported(request, asked, "enclosure-list", f"enclosures-{on}.csv", ENCLOSURE_HEADS, rows)


def enclosure_show(request, pk):
    """Show one enclosure: who is in it, what stands against that, and what can be done."""
    enclosure, on = get_object_or_404(ENCLOSURES, pk=pk), timezone.localdate()
    there = rows(in_it(enclosure, on), on)
    events = open_about([row.animal for row in there], on)
    few = fewer([row.animal for row in there], [e for e in events if e.event.has_left])
    context = {
        "enclosure": enclosure,
        "rows": there,
        "notation": few.notation({row.animal.pk: row.sexing for row in there}),
        "fewer": few,
        "events": events,
        "hatching": clutches_of(enclosure, on),
        "codes": ", ".join(row.animal.code for row in there),
        "taxa": sorted({row.animal.taxon.name for row in there}),
        "clutches": clutches_in(enclosure, on),
        "standing": standing_in(enclosure, on),
        "history": history(enclosure),
        "on": on,
    }
    return render(request, "registry/enclosure_show.html", context)


def enclosure_label(request, token):
    """Go from the word on a printed label to the page of its enclosure."""
    return redirect("enclosure-show", get_object_or_404(Enclosure, token=token).pk)


def in_it(enclosure, on):
    """Return the animals in an enclosure on a day."""
    stays = Stay.objects.current().running(on).filter(enclosure=enclosure, animal__isnull=False)
    rows = Animal.objects.filter(stays__in=stays)
    return rows.select_related("taxon", "locality", "clutch").order_by("code")


@permission_required("registry.add_disinfection", raise_exception=True)
def enclosure_disinfect(request, pk):
    """Enter that an enclosure was disinfected."""
    enclosure = get_object_or_404(ENCLOSURES, pk=pk)
    form = DisinfectForm(request.POST or None, initial={"day": timezone.localdate()})

    def done(data, answers):
        disinfect(enclosure, by=request.user, **data)
        messages.success(
            request, tell("{enclosure} is entered as disinfected.", enclosure=enclosure)
        )
        return redirect("enclosure-show", pk)

    context = {"enclosure": enclosure, "inside": in_it(enclosure, timezone.localdate())}
    return quick_page(
        request, form, "registry/enclosure_disinfect.html", context, raised=nothing, done=done
    )


@permission_required("registry.add_thingsmoved", raise_exception=True)
def enclosure_carry(request, pk):
    """Enter that things went from or into an enclosure; first show what follows from it."""
    enclosure = get_object_or_404(ENCLOSURES, pk=pk)
    first = {"day": timezone.localdate(), "source": enclosure}
    form = CarryForm(request.POST or None, initial=first)

    def done(data, answers):
        carry(Carrying(**data), request.user)
        messages.success(request, tell("{what} from {source} into {target}.", **data))
        return redirect("enclosure-show", pk)

    return act_page(
        request,
        form,
        "registry/enclosure_carry.html",
        {"enclosure": enclosure},
        objected=lambda data: objections(Carrying(**data)),
        done=done,
    )
