"""Arrivals: registered in one go, listed, and each on a page."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.core.paginator import Paginator
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from registry.forms.papers import PapersFormSet
from registry.models import Arrival, Holding
from registry.phrases import distance, written
from registry.telling import tell, tell_many

from ..batches import batches_on
from ..forms.arrivals import ArrivalForm
from ..forms.returns import BetweenForm, ReturnForm
from ..held import standings
from ..models import Isolation
from ..receiving import receive, receive_again, receive_between
from ..wards import empty_on, open_on
from .acting import act_page

NO_LAW = _(
    "Permits, proof of origin and import bans differ by country. Papers "
    "are kept here and what is missing is said; whether it is lawful is "
    "not. Animals that came in a box are handled with gloves: the skin "
    "secretions of some wild-caught frogs are poisonous."
)

BETWEEN = _(
    "They leave the premises they are at and arrive at the others in one "
    "act: a line in both registers, saved whole or not at all. There "
    "they are newcomers, held until they are cleared."
)
FIRST = _("Saved whole or not at all. Everyone who comes is held from this day on.")


def arrival_list(request):
    """List the arrivals, the latest first."""
    rows = Arrival.objects.current().select_related("supplier", "holding")
    page = Paginator(rows.prefetch_related("animals"), 50).get_page(request.GET.get("page"))
    return render(request, "quarantine/arrival_list.html", {"page": page})


def arrival_show(request, pk):
    """Show one arrival: its animals and what each is now, its papers and batches."""
    rows = Arrival.objects.select_related("supplier", "holding", "entered_by")
    arrival = get_object_or_404(rows, pk=pk, void=False)
    on = timezone.localdate()
    animals = list(arrival.animals.select_related("taxon", "locality", "source_group"))
    batches = Isolation.objects.current().filter(members__animal__in=animals).distinct()
    batches = batches.select_related("version__protocol")
    context = {
        "arrival": arrival,
        "animals": animals,
        "standings": standings(animals, on) if animals else {},
        "papers": arrival.papers.current(),
        "batches": batches_on(batches, on),
    }
    return render(request, "quarantine/arrival_show.html", context)


@permission_required("registry.register_arrival", raise_exception=True)
def arrival_add(request):
    """Register an arrival in one go: animals, papers, protocol, enclosures."""
    on = timezone.localdate()
    papers = PapersFormSet(request.POST or None, request.FILES or None, prefix="paper")
    form = ArrivalForm(request.POST or None, initial=_first(on))
    form.offer(open_on(on), empty_on(on))
    context = {"title": tell("Register an arrival"), "lead": FIRST, "papers": papers}
    context |= {"caution": NO_LAW, "button": tell("Register the arrival"), "new": True}
    if request.method == "POST":
        _check(form, papers)

    @transaction.atomic
    def act(data, answers, given=None):
        given = [one.paper() for one in papers] if given is None else given
        coming = form.coming([paper for paper in given if paper])
        how = {"by": request.user, "supplier": form.new_supplier()}
        how |= {"reason": answers.reasons.get("all", ""), "breach": answers.breach}
        return receive(coming, form.apart(), **how)

    def trial(data, answers):
        return act(data, answers, [])

    how = {"act": act, "trial": trial, "done": lambda received: _done(request, received)}
    return act_page(request, form, context, template="quarantine/arrival_add.html", **how)


def _check(form, papers):
    """Let the papers be part of the form, and keep files that were handed in."""
    if not papers.is_valid():
        form.add_error(None, tell("Look at the papers below."))
    for one in papers:
        one.keep_file()


def _first(on):
    return {"day": on, "kind": "purchase", "holding": Holding.objects.first()}


def _first_between(asked, on):
    """Return what stands in the form of a move between premises before anything is typed."""
    first = {"day": on, "kind": asked.get("kind", "loan"), "animals": asked.get("animals", "")}
    party = asked.get("to", "")
    if party.isdecimal():
        first["holding"] = Holding.objects.filter(party=party).first()
    return first


@permission_required("registry.register_arrival", raise_exception=True)
def arrival_again(request):
    """Register that animals on record came again: back from a loan, bought back."""
    on = timezone.localdate()
    asked = {"animals": request.GET.get("animals", ""), "supplier": request.GET.get("from")}
    form = ReturnForm(request.POST or None, initial=_first(on) | {"kind": "return"} | asked)
    form.offer(open_on(on), empty_on(on))
    context = {
        "title": tell("Animals on record come again"),
        "lead": tell("Each is held anew, whatever it was before it left."),
        "caution": NO_LAW,
        "button": tell("Register"),
        "back": reverse("arrival-list"),
        "back_label": tell("Arrivals"),
    }

    def act(data, answers):
        how = {"by": request.user, "breach": answers.breach}
        reason = answers.reasons.get("all", "")
        return receive_again(form.back(), form.apart(), reason=reason, **how)

    done = {"done": lambda received: _done(request, received)}
    return act_page(request, form, context, act=act, **done)


@permission_required("registry.register_arrival", raise_exception=True)
@permission_required("registry.register_departure", raise_exception=True)
def arrival_between(request):
    """Enter that animals went from one of the premises kept here to another, in one act."""
    on = timezone.localdate()
    papers = PapersFormSet(request.POST or None, request.FILES or None, prefix="paper")
    form = BetweenForm(request.POST or None, initial=_first_between(request.GET, on))
    form.offer(open_on(on), empty_on(on))
    context = {"title": tell("Move between premises"), "lead": BETWEEN, "papers": papers}
    context |= {"caution": NO_LAW, "button": tell("Enter both halves")}
    if request.method == "POST":
        _check(form, papers)

    def act(data, answers, given=None):
        given = [one.paper() for one in papers] if given is None else given
        move = form.move([paper for paper in given if paper])
        how = {"by": request.user, "breach": answers.breach}
        return receive_between(move, form.apart(), reason=answers.reasons.get("all", ""), **how)

    how = {"act": act, "trial": lambda data, answers: act(data, answers, [])}
    how |= {"done": lambda received: _done(request, received)}
    return act_page(request, form, context, template="quarantine/arrival_add.html", **how)


def _done(request, received):
    """Say who came, that they are held, and the best release day."""
    on = timezone.localdate()
    animals = received.animals
    said = tell_many(
        "{name} is registered and held from the arrival on.",
        "{count} animals are registered and held from the arrival on.",
        len(animals),
        name=animals[0],
    )
    best = standings(animals[:1], on)[animals[0].pk].best if received.isolation else None
    if best:
        far = distance(best, on)
        said += " " + tell("Best release day {day} ({distance}).", day=written(best), distance=far)
    messages.success(request, said)
    return redirect("arrival-show", received.arrival.pk)
