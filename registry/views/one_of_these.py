"""What happened to one of several: its page, and how it is settled, opened again or let be."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .. import one_of_these
from ..forms.one_of_these import LetBeForm, OpenAgainForm, SettleForm
from ..listing import rows
from ..models import OneOfThese
from ..objections import note
from ..telling import tell
from ..trying import would_raise
from ..unsettled import DID, opened, words
from .acting import nothing, quick_page, ready_page, too_late
from .findings import standing_against

EVENTS = OneOfThese.objects.select_related("enclosure__unit", "receiver", "let_be_by", "replaces")


def one_of_show(request, pk):
    """Show what happened to one of several, whom it can have been, and what it is settled on."""
    event, on = get_object_or_404(EVENTS, pk=pk), timezone.localdate()
    if (newer := getattr(event, "replaced_by", None)) and not newer.void:
        return redirect("one-of-show", newer.pk)
    settled, (one,) = event.settlement(), opened([event])
    context = {
        "event": event,
        "one": one,
        "did": DID[event.what],
        "sentence": words(event, one.among),
        "settled": settled,
        "withdrawn": newer,
        "rows": rows(one.among, on),
        "answers": event.answers.all(),
        "may": request.user.has_perm(right_to_settle(event)),
    }
    return render(request, "registry/one_of_show.html", context)


def right_to_settle(event):
    """Return the right that settling needs: that of the entry by which it is settled."""
    return "registry.register_departure" if event.has_left else "registry.add_sexfinding"


def _event(request, pk):
    """Return an event that stands, for somebody who may settle it."""
    event = get_object_or_404(EVENTS.filter(void=False), pk=pk)
    if not request.user.has_perm(right_to_settle(event)):
        raise PermissionDenied
    return event


def _context(event, **more):
    return {"event": event, "sentence": words(event, event.among()), **more}


LATE = _("That entry has been corrected since.")


def one_of_settle(request, pk):
    """Enter which one it was; where it was settled on another, that is taken back."""
    event = _event(request, pk)
    if event.superseded_at:
        return too_late(request, LATE, "one-of-show", pk)
    settled = event.settlement()
    first = {"animal": _proposed(request, event)}
    form = SettleForm(request.POST or None, event=event, settled=settled, initial=first)

    def done(data, answers):
        _settle(event, data, answers, settled, request.user)
        messages.success(request, tell("It was {animal}.", animal=data["animal"]))
        return redirect("one-of-show", pk)

    def objected(data):
        return _objected(event, data["animal"], settled, request.user)

    context = _context(event, settled=settled, button=tell("Enter that it was this one"))
    how = {"objected": objected, "done": done}
    how["first"] = lambda: objected(first) if first["animal"] and not settled else []
    return ready_page(request, form, "registry/one_of_act.html", context, **how)


def _settle(event, data, answers, settled, by):
    """Settle an event on an animal, in place of another where it is settled already."""
    told = {"by": by, "reasons": answers.reasons}
    if settled is None:
        return one_of_these.settle_on(event, data["animal"], **told)
    told |= {"breach": answers.breach, "why": data["why"]}
    return one_of_these.settle_otherwise(event, data["animal"], **told)


def _proposed(request, event):
    """Return the one named in the address, if it was among them, or the only one left."""
    (one,), asked = opened([event]), request.GET.get("animal", "")
    return next((a for a in one.among if str(a.pk) == asked), one.only)


def _objected(event, animal, settled, by):
    """Return what settling on an animal meets, a settlement on another being taken back first."""
    if settled:
        return one_of_these.objected_otherwise(event, animal, by)
    if event.has_left:
        return one_of_these.objections_to_settling(event, animal)
    raised = would_raise(
        lambda: one_of_these.settle_on(event, animal, by=by), lambda: standing_against(animal)
    )
    return [note(sentence, animal) for sentence in raised]


def one_of_open(request, pk):
    """Enter that it was settled wrongly, and nobody knows which one it was."""
    event = _event(request, pk)
    if event.superseded_at or not event.settlement():
        return too_late(request, tell("It is not settled."), "one-of-show", pk)
    form = OpenAgainForm(request.POST or None)

    def done(data, answers):
        told = {"reasons": answers.reasons, "breach": answers.breach}
        one_of_these.open_again(event, by=request.user, why=data["why"], **told)
        messages.success(request, tell("It is open again which one it was."))
        return redirect("one-of-show", pk)

    def objected(data):
        return one_of_these.objected_to_opening(event, request.user)

    context = _context(event, settled=event.settlement(), button=tell("Open it again"))
    how = {"objected": objected, "done": done, "first": list}  # nothing before there is a reason
    return ready_page(request, form, "registry/one_of_act.html", context, **how)


def one_of_let_be(request, pk):
    """Enter that it makes no difference which one it was."""
    event = _event(request, pk)
    if event.superseded_at or event.settlement():
        return too_late(request, tell("It is settled."), "one-of-show", pk)
    form = LetBeForm(request.POST or None, initial={"day": timezone.localdate()})

    def done(data, answers):
        one_of_these.let_be(event, data["why"], data["day"], request.user)
        messages.success(request, tell("It is left open; it can be settled all the same."))
        return redirect("one-of-show", pk)

    context = _context(event, button=tell("Leave it open"))
    return quick_page(request, form, "registry/one_of_act.html", context, raised=nothing, done=done)
