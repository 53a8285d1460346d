"""Clutches: found in an enclosure, followed through their stages, taken out as animals."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from ..forms.clutches import ClutchForm
from ..funnel import funnel, history
from ..headcount import remaining
from ..housing import housing_of
from ..laying import enter_clutch, next_code, proposed
from ..mixes import shares
from ..models import Clutch, Enclosure, Precision, Stage, Stay
from ..telling import tell
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
    stay = clutch.stays.current().running(on).select_related("enclosure__unit").first()
    descents = clutch.descents.current().prefetch_related("candidates__animal", "candidates__mate")
    context = {
        "clutch": clutch,
        "stay": stay,
        "families": [(None, 1.0, {d.role: d for d in descents})],
        "parts": parts_of(clutch),
        "mixing": clutch.mixings.current().select_related("mix").first(),
        "funnel": funnel(clutch),
        "losses": clutch.losses.current(),
        "young": clutch.young.order_by("code"),
        "rest": remaining(clutch),
        "entries": history(clutch),
        "on": on,
    }
    return render(request, "registry/clutch_show.html", context)


def parts_of(mix):
    """Return `(part, share, statements on its parents)` of each clutch reared together in a mix."""
    parts = mix.current_parts()
    of = shares({part.pk: part.weight for part in parts})
    return [
        (part, of.get(part.pk), part.clutch.descents.current().prefetch_related("candidates"))
        for part in parts
    ]


@permission_required("registry.add_clutch", raise_exception=True)
def clutch_add(request, pk):
    """Enter a clutch found in an enclosure; first show who its parents may be."""
    enclosure = get_object_or_404(Enclosure.objects.select_related("unit"), pk=pk)
    there = list(in_it(enclosure, timezone.localdate()))
    first = _first(request, enclosure, there)
    form = ClutchForm(request.POST or None, there=there, initial=first)
    form.instance.enclosure = enclosure
    context = {"enclosure": enclosure}

    def objected(data, clutch=form.instance):
        context["housing"] = housing_of(clutch).seen(sire=data["sire"], dam=data["dam"])
        found, context["companies"] = proposed(clutch, data["into"])
        return found

    def shown_first():
        trial = _as_typed(first, there, enclosure)
        return objected(trial.cleaned_data, trial.instance) if trial.is_valid() else None

    def done(data, answers):
        clutch = _enter(form.instance, data, answers, request.user)
        messages.success(request, tell("Clutch {clutch} is on record.", clutch=clutch))
        return redirect("clutch-show", clutch.pk)

    how = {"objected": objected, "done": done, "first": shown_first}
    return act_page(request, form, "registry/clutch_add.html", context, **how)


def _as_typed(first, there, enclosure):
    """Return the form as it is proposed, filled in."""
    typed = {name: getattr(value, "pk", value) for name, value in first.items()}
    form = ClutchForm(typed | {"laid_precision": Precision.DAY}, there=there)
    form.instance.enclosure = enclosure
    return form


def _first(request, enclosure, there):
    on, found_as = timezone.localdate(), request.GET.get("found_as")
    found_as = found_as if found_as in Stage.values else Stage.LAID
    return {
        "code": next_code(),
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
