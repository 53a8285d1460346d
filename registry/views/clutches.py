"""Clutches: found in an enclosure, followed through their stages, taken out as animals."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from ..forms.clutches import ClutchForm
from ..funnel import funnel, history
from ..headcount import remaining
from ..housing import housing_of
from ..inheriting import stated_of
from ..laying import code_after, codes_numbered, enter_clutch, proposed
from ..mixes import shares
from ..models import Clutch, Enclosure, Stage, Stay
from ..telling import tell
from ..together import fetch
from .acting import act_page
from .enclosures import in_it

CLUTCHES = Clutch.objects.select_related("taxon", "enclosure__unit", "pairing__first")


def clutch_list(request):
    """List the clutches that stand somewhere today, or all of them."""
    on, every = timezone.localdate(), "all" in request.GET
    clutches = CLUTCHES.prefetch_related("stages", "young")
    if not every:
        there = Stay.objects.current().running(on).filter(clutch__isnull=False)
        clutches = clutches.filter(pk__in=there.order_by().values("clutch"))
    context = {"clutches": [(c, funnel(c)) for c in clutches], "every": every, "this_year": on.year}
    return render(request, "registry/clutch_list.html", context)


def clutch_show(request, pk):
    """Show one clutch: its parents, its stages, its young, and what can be done."""
    clutch, on = get_object_or_404(CLUTCHES, pk=pk), timezone.localdate()
    stay, mixing, parts, young = fetch(
        clutch.stays.current().running(on).select_related("enclosure__unit")[:1],
        clutch.mixings.current().select_related("mix")[:1],
        clutch.parts.current().select_related("clutch"),
        clutch.young.order_by("code"),
    )
    stated = stated_of([pk, *(part.clutch_id for part in parts)])
    context = {
        "clutch": clutch,
        "stay": next(iter(stay), None),
        "families": [(None, 1.0, {d.role: d for d in stated[pk]})],
        "parts": shared(parts, stated),
        "mixing": next(iter(mixing), None),
        "funnel": funnel(clutch),
        "young": young,
        "rest": remaining(clutch),
        "entries": history(clutch),
        "on": on,
    }
    return render(request, "registry/clutch_show.html", context)


def shared(parts, stated):
    """Return `(part, share, statements on its parents)` of each clutch reared together in a mix."""
    of = shares({part.pk: part.weight for part in parts})
    return [(part, of.get(part.pk), stated[part.clutch_id]) for part in parts]


@permission_required("registry.add_clutch", raise_exception=True)
def clutch_add(request, pk):
    """Enter a clutch found in an enclosure; first show who its parents may be."""
    enclosure, there, code = _begun(pk, timezone.localdate())
    proposal = _first(request, enclosure, there, code)
    form = ClutchForm(request.POST or None, there=there, initial=proposal)
    form.instance.enclosure = enclosure
    context = {"enclosure": enclosure}

    def objected(data, clutch=form.instance):
        context["housing"] = housing_of(clutch).seen(sire=data["sire"], dam=data["dam"])
        found, context["companies"] = proposed(clutch, data["into"])
        return found

    def shown_first():
        return objected(*_as_proposed(proposal, enclosure)) if there else None

    def done(data, answers):
        clutch = _enter(form.instance, data, answers, request.user)
        messages.success(request, tell("Clutch {clutch} is on record.", clutch=clutch))
        return redirect("clutch-show", clutch.pk)

    how = {"objected": objected, "done": done, "first": shown_first}
    return act_page(request, form, "registry/clutch_add.html", context, **how)


def _begun(pk, on):
    """Return an enclosure, the animals in it, and a code for a clutch found there."""
    enclosures = Enclosure.objects.filter(pk=pk).select_related("unit__holding__party")
    enclosures, there, *numbered = fetch(enclosures, in_it(pk, on), *codes_numbered())
    if not enclosures:
        raise Http404
    return enclosures[0], list(there), code_after(numbered)


def _as_proposed(proposal, enclosure):
    """Return what the form would give as it is proposed, and the clutch."""
    told = {name: value for name, value in proposal.items() if name != "into"}
    return {"sire": None, "dam": None, **proposal}, Clutch(enclosure=enclosure, **told)


def _first(request, enclosure, there, code):
    on, found_as = timezone.localdate(), request.GET.get("found_as")
    found_as = found_as if found_as in Stage.values else Stage.LAID
    return {
        "code": code,
        "taxon": there[0].taxon if there else None,
        "found_as": found_as,
        "found_on": on,
        "into": enclosure,
        "began_seen": True,
    }


def _enter(clutch, data, answers, by):
    """Enter a clutch with the parents that its housing gives, one that was seen as seen."""
    housing = housing_of(clutch).seen(sire=data["sire"], dam=data["dam"])
    seen = {role for role in ("sire", "dam") if data[role]}
    parents = [
        (role, candidates, "seen" if role in seen else "housed")
        for role, candidates in housing.statements()
    ]
    return enter_clutch(
        clutch,
        into=data["into"],
        parents=parents,
        note=housing.words(),
        count=data["count"],
        by=by,
        reasons=answers.reasons,
        breach=answers.breach,
    )
