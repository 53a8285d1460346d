"""Choosing a mate, joining two animals, and the pairings in force."""

from functools import partial

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from ..breeding_record import record_of
from ..exporting import PAIR_HEADS, pair_rows
from ..forms.answers import answers_of
from ..forms.pairings import EndPairForm, PairForm
from ..herd import Herd
from ..list_filters import PairingFilter
from ..mate_filters import MateFilter
from ..mates import candidates_for, mates
from ..models import Animal, Pairing
from ..objections import Refused
from ..pairing import (
    AlreadyPaired,
    Match,
    end_pairing,
    join_match,
    join_pair,
    joining,
    objections,
    plan_pair,
)
from ..pairs import pairs_on
from ..phrases import written
from ..placement import objections as placement_objections
from ..telling import tell
from .breeding import pictured
from .exports import exported

AT_ONCE = 50


def pairing_list(request):
    """List the pairings planned, active and ended, with what stands against each."""
    on = timezone.localdate()
    asked = _asked(request, on)
    context = {"filter": asked, "pairs": pairs_on(asked.qs, on), "on": on}
    context |= {"any": Pairing.objects.current().exists()}
    return render(request, "registry/pairing_list.html", context)


@permission_required("registry.export_register", raise_exception=True)
def pairing_export(request):
    """Send the pairings asked for, all of them, as a table."""
    on = timezone.localdate()
    asked = _asked(request, on)
    rows = pair_rows(pairs_on(asked.qs, on))
    return exported(request, asked, "pairing-list", f"pairings-{on}.csv", PAIR_HEADS, rows)


def _asked(request, on):
    """Return the pairings on record by a day, narrowed by what the address asks."""
    rows = Pairing.objects.current().filter(planned_on__lte=on)
    return PairingFilter(request.GET, queryset=rows, on=on)


def pairing_mates(request, pk):
    """Rank the mates of one animal, with the reasons."""
    on = timezone.localdate()
    animal = get_object_or_404(Animal.objects.select_related("taxon", "locality"), pk=pk)
    chosen = MateFilter(request.GET, queryset=candidates_for(animal, on), animal=animal, on=on)
    ranked = list(chosen.narrowed(mates(animal, chosen.qs, on)))
    context = {
        "animal": animal,
        "sexing": Herd([animal]).sexing(animal),
        "filter": chosen,
        "page": Paginator(ranked, AT_ONCE).get_page(request.GET.get("page")),
        "on": on,
    }
    return render(request, "registry/pairing_mates.html", context)


@permission_required("registry.join_pair", raise_exception=True)
def pairing_join(request):
    """Show what stands against two animals as a pair, then plan or join them."""
    form = PairForm(request.POST or {"day": timezone.localdate(), **request.GET.dict()})
    return _pair_page(request, form, _join, {})


@permission_required("registry.join_pair", raise_exception=True)
def pairing_begin(request, pk):
    """Join a planned pair: show what stands against it, then move both together."""
    pairing = get_object_or_404(Pairing.objects.current(), pk=pk, began_on__isnull=True)
    two = {"first": pairing.first_id, "second": pairing.second_id}
    asked = request.POST or request.GET
    form = PairForm({"day": timezone.localdate(), **asked.dict(), **two})
    form.fields["enclosure"].required = request.method == "POST"
    return _pair_page(request, form, partial(_begin, pairing), {"pairing": pairing})


def _pair_page(request, form, act, context):
    """Show objections before the act, and again with what is missing where it is refused."""
    answers, found, refused = answers_of(request), [], None
    if form.is_valid():
        found = _objected(form.cleaned_data)
        if request.method == "POST" and "join" in request.POST:
            try:
                pairing = act(form.cleaned_data, request.user, answers)
                messages.success(request, _joined_words(pairing))
                return redirect("pairing-show", pairing.pk)
            except Refused as problem:
                found, refused = problem.objections, problem
            except AlreadyPaired as problem:
                form.add_error(None, str(problem))
    context |= {"form": form, **answers.context(found, refused)}
    return render(request, "registry/pairing_join.html", context)


def _objected(data):
    match = Match(day=data["day"], first=data["first"], second=data["second"])
    if data["enclosure"]:
        return placement_objections(joining(match, data["enclosure"], data["day"]))
    return objections(match)


def _join(data, user, answers):
    match = Match(day=data["day"], first=data["first"], second=data["second"])
    if data["enclosure"] is None:
        return plan_pair(match, by=user, reasons=answers.reasons)
    how = {"reasons": answers.reasons, "breach": answers.breach}
    return join_match(match, data["enclosure"], by=user, **how)


def _begin(pairing, data, user, answers):
    how = {"reasons": answers.reasons, "breach": answers.breach}
    return join_pair(pairing, data["enclosure"], data["day"], by=user, **how)


def _joined_words(pairing):
    if pairing.began_on is None:
        return tell("{pairing} are planned as a pair.", pairing=pairing)
    return tell(
        "{pairing} are together from {began_on}.",
        pairing=pairing,
        began_on=written(pairing.began_on),
    )


def pairing_show(request, pk):
    """Show one pairing: its state, its clutches, what was answered and what stands against it."""
    on = timezone.localdate()
    pair = next(iter(pairs_on(Pairing.objects.filter(pk=pk), on)), None)
    if pair is None:
        raise Http404
    pairing = pair.pairing
    context = {"pair": pair, "pairing": pairing, "on": on, "record": record_of(pair.clutches, on)}
    context |= pictured(tell("Clutches of {pairing}", pairing=pairing), pair.clutches)
    return render(request, "registry/pairing_show.html", context)


@permission_required("registry.join_pair", raise_exception=True)
def pairing_end(request, pk):
    """Record the end of a pairing."""
    pairing = get_object_or_404(Pairing.objects.current(), pk=pk, ended_on__isnull=True)
    form = EndPairForm(request.POST or None, pairing=pairing, initial={"day": timezone.localdate()})
    if form.is_valid():
        end_pairing(pairing, form.cleaned_data["day"], form.cleaned_data["why"])
        messages.success(request, tell("The pairing of {pairing} has ended.", pairing=pairing))
        return redirect("pairing-show", pairing.pk)
    return render(request, "registry/pairing_end.html", {"form": form, "pairing": pairing})
