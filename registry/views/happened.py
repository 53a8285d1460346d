"""What happened to one in an enclosure, in three taps: which one, what it will do, saved."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from .. import departing, one_of_these
from ..departing import Leaving, depart_together
from ..finding import SHOWN, find_sex
from ..forms.one_of_these import HappenedForm
from ..herd import sexings_of
from ..listing import rows
from ..objections import note
from ..one_of_these import Among, enter_one_of_these
from ..phrases import said, written
from ..receivers import recent_receivers
from ..telling import tell
from ..trying import would_raise
from ..unsettled import DID, OTHER_SEX, words
from .acting import ready_page
from .enclosures import ENCLOSURES, in_it
from .findings import standing_against

RIGHTS = {
    "death": "registry.register_departure",
    "sale": "registry.register_departure",
    "calling": "registry.add_sexfinding",
    "laid": "registry.add_sexfinding",
}


def enclosure_happened(request, pk, what):
    """Enter that one in an enclosure died, was sold, was heard calling or laid."""
    if what not in RIGHTS:
        raise Http404(tell("Nothing of that kind is entered here."))
    if not request.user.has_perm(RIGHTS[what]):
        raise PermissionDenied
    enclosure, on = get_object_or_404(ENCLOSURES, pk=pk), timezone.localdate()
    there = list(in_it(enclosure, on))
    chosen = _chosen(request.GET.get("who", ""), there, what)
    if not chosen and len(there) == 1:
        chosen = tuple(there)
    if not chosen:
        context = {
            "enclosure": enclosure,
            "what": what,
            "did": DID[what],
            "rows": rows(there, on),
            "alike": _alike(there, what),
            "codes": ", ".join(a.code for a in there),
        }
        return render(request, "registry/happened_who.html", context)
    return (_several_page if len(chosen) > 1 else _one_page)(request, enclosure, what, chosen)


def _alike(there, what):
    """Return those that look alike, of each taxon, and that it can have been."""
    sexings = sexings_of([a.pk for a in there]) if what in OTHER_SEX else {}
    other = {k for k, one in sexings.items() if one.strong and one.sex == OTHER_SEX[what]}
    groups = {}
    for animal in (a for a in there if a.pk not in other):
        groups.setdefault(animal.taxon, []).append(animal)
    return [(taxon, tuple(some)) for taxon, some in groups.items() if len(some) > 1]


def _chosen(who, there, what):
    """Return the one that was chosen, or all of a taxon of which it was one."""
    kind, _, taxon = who.partition("-")
    if kind == "one":
        groups = {str(taxon.pk): some for taxon, some in _alike(there, what)}
        return groups.get(taxon, ())
    return tuple(a for a in there if str(a.pk) == who)


def _page(request, enclosure, what, chosen, objected, enter):
    """Show what comes of it, and enter it with the tap that follows."""
    on, known = timezone.localdate(), recent_receivers() if what == "sale" else []
    form = HappenedForm(request.POST or None, what=what, animals=chosen, initial={"day": on})
    at_first = {"day": on, "animals": chosen, "cause": "", "note": ""}
    at_first["receiver"] = known[0] if known else None

    def done(data, answers):
        messages.success(request, said(enter(data, answers)))
        return redirect("enclosure-show", enclosure.pk)

    context = {
        "enclosure": enclosure,
        "what": what,
        "did": DID[what],
        "chosen": chosen,
        "receivers": known,
        "unasked": what == "sale" and not known and request.method != "POST",
    }
    how = {"objected": objected, "done": done}
    how["first"] = lambda: objected(at_first) if known or what != "sale" else []
    return ready_page(request, form, "registry/happened_add.html", context, **how)


def _several_page(request, enclosure, what, chosen):
    """Enter it of one of several, nobody knows which."""

    def among(data):
        return Among(enclosure=enclosure, what=what, **data)

    def objected(data):
        one_of_these.refuse(among(data), timezone.now())
        return one_of_these.objections(among(data), timezone.localdate())

    def enter(data, answers):
        event = enter_one_of_these(among(data), by=request.user, reasons=answers.reasons)
        return words(event, event.among())

    return _page(request, enclosure, what, chosen, objected, enter)


def _one_page(request, enclosure, what, chosen):
    """Enter it of the one it was."""
    return (_heard if what in SHOWN else _gone)(request, enclosure, what, chosen)


def _gone(request, enclosure, what, chosen):
    def leaving(data):
        told = {"day": data["day"], "receiver": data["receiver"]}
        return Leaving(animals=chosen, kind=what, entered_on=timezone.localdate(), **told)

    def objected(data):
        return departing.objections(leaving(data))

    def enter(data, answers):
        told = {"cause": data["cause"], "note": data["note"]}
        depart_together(leaving(data), by=request.user, reasons=answers.reasons, **told)
        return _did(chosen[0], what, data)

    return _page(request, enclosure, what, chosen, objected, enter)


def _heard(request, enclosure, what, chosen):
    (animal,) = chosen

    def enter(data, answers=None):
        told = {"day": data["day"], "note": data["note"], "by": request.user}
        return f"{animal}: {find_sex(animal, SHOWN[what], what, **told)}."

    def objected(data):
        raised = would_raise(lambda: enter(data), lambda: standing_against(animal))
        return [note(sentence, animal) for sentence in raised]

    return _page(request, enclosure, what, chosen, objected, enter)


def _did(animal, what, data):
    told = {"animal": animal, "did": DID[what], "day": written(data["day"])}
    if data["receiver"]:
        return tell("{animal} {did} to {receiver} on {day}.", receiver=data["receiver"], **told)
    return tell("{animal} {did} on {day}.", **told)
