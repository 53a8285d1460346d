"""Stating who the parents of an animal or a clutch are."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from ..forms.parents import MOST_ROWS, ROWS, ParentsForm, initial_of
from ..models import Animal, Clutch, Descent, Role
from ..parentage import state_parents
from ..telling import tell
from .acting import nothing, quick_page


@permission_required("registry.add_descent", raise_exception=True)
def animal_parents(request, pk):
    """State a parent of one animal."""
    animal = get_object_or_404(Animal.objects.select_related("taxon", "clutch"), pk=pk)
    return _parents_page(request, animal, {"animal": animal}, "animal-show")


@permission_required("registry.add_descent", raise_exception=True)
def clutch_parents(request, pk):
    """State a parent of a whole clutch."""
    clutch = get_object_or_404(Clutch.objects.select_related("taxon"), pk=pk)
    return _parents_page(request, clutch, {"clutch": clutch}, "clutch-show")


def _parents_page(request, child, who, back):
    role = _role(request.GET.get("role"))
    standing = Descent.objects.current().filter(**who).prefetch_related("candidates__animal")
    replaces = _replaced(list(standing), role)
    first = {"day": timezone.localdate(), "basis": "seen"} | initial_of(replaces)
    form = ParentsForm(
        request.POST or None, role=role, rows=_rows(request, replaces), replaces=replaces,
        initial=first,
    )  # fmt: skip

    def done(data, answers):
        told = {name: data.get(name, "") for name in ("note", "why")}
        state_parents(
            child, role, form.candidates(), data["basis"], data["day"], request.user,
            replaces=replaces, **told,
        )  # fmt: skip
        messages.success(request, _stated(role, child))
        return redirect(back, child.pk)

    context = {"child": child, "back": back, "role": role, "roles": Role, "replaces": replaces}
    context |= {"animals": _likely(child), "clutch": getattr(child, "clutch", None)}
    context["more"] = min(form.rows + ROWS, MOST_ROWS) if form.rows < MOST_ROWS else None
    return quick_page(
        request, form, "registry/parents_state.html", context, raised=nothing, done=done
    )


def _stated(role, child):
    return tell("The {role} of {child} is stated.", role=role.label, child=child)


def _role(word):
    return Role(word) if word in Role.values else Role.SIRE


def _replaced(standing, role):
    """Return the statement that one for this role corrects: of the same role, else a pair."""
    by_role = {descent.role: descent for descent in standing}
    if role in by_role or role == Role.PAIR:
        return by_role.get(role)
    return by_role.get(Role.PAIR)


def _rows(request, replaces):
    asked = request.GET.get("rows", "")
    known = replaces.candidates.count() if replaces else 0
    return max(int(asked) if asked.isascii() and asked.isdigit() else ROWS, known)


def _likely(child):
    """Return codes to choose from: animals of the taxon, the newest first."""
    rows = Animal.objects.filter(taxon=child.taxon).exclude(code=child.code)
    return rows.order_by("-pk").values_list("code", flat=True)[:300]
