"""What is found and seen of one animal: its sex, its weight, signs, marks and photographs."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.http import FileResponse, Http404
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from ..conflicts import conflicts_of
from ..finding import find_sex
from ..forms.findings import FindingForm, GoneForm, MarkForm, ObservationForm
from ..lifetime import refuse_ahead, refuse_unborn
from ..listing import stays_of
from ..models import Animal, Basis, Mark, Observation, ObservationKind
from ..observing import observe, sign_gone
from ..phrases import said
from ..placement import standing_objections
from ..telling import tell
from ..trying import would_raise
from .acting import nothing, quick_page, too_late

ANIMALS = Animal.objects.select_related("taxon", "locality", "clutch__taxon")


@permission_required("registry.add_sexfinding", raise_exception=True)
def animal_sex(request, pk):
    """Enter what sex an animal was found to be; first show what that raises."""
    animal = get_object_or_404(ANIMALS, pk=pk)
    form = FindingForm(request.POST or None, initial=_first_finding(request))

    def enter(data):
        return find_sex(animal, by=request.user, **data)

    def done(data, answers):
        messages.success(request, said(f"{animal}: {enter(data)}."))
        return redirect("animal-show", pk)

    def raised(data):
        return would_raise(lambda: enter(data), lambda: standing_against(animal))

    context = {"animal": animal, "basis": request.GET.get("basis", "")}
    return quick_page(request, form, "registry/finding_add.html", context, raised=raised, done=done)


def _first_finding(request):
    basis = request.GET.get("basis", "")
    sex = {Basis.CALLING: "male", Basis.LAID: "female"}.get(basis, "")
    return {"day": timezone.localdate(), "basis": basis, "sex": sex}


def standing_against(animal):
    """Return what stands against an animal now: where it lives, and what cannot all be true."""
    on = timezone.localdate()
    stay = stays_of([animal], on).get(animal.pk)
    there = standing_objections(stay.enclosure, on) if stay else []
    return [o.message for o in there] + [c.sentence for c in conflicts_of(animal)]


@permission_required("registry.add_observation", raise_exception=True)
def animal_observe(request, pk):
    """Enter what was seen of an animal."""
    animal = get_object_or_404(ANIMALS, pk=pk)
    kind = request.GET.get("kind", "")
    first = {"day": timezone.localdate(), "kind": kind if kind in ObservationKind else "note"}
    form = ObservationForm(request.POST or None, initial=first)

    def done(data, answers):
        seen = observe(animal, by=request.user, **data)
        messages.success(request, said(f"{seen}."))
        return redirect("animal-show", pk)

    context = {"animal": animal, "kind": ObservationKind(first["kind"])}
    return quick_page(
        request, form, "registry/observation_add.html", context, raised=nothing, done=done
    )


@permission_required("registry.add_observation", raise_exception=True)
def sign_end(request, pk):
    """Enter that a sign of illness was gone."""
    signs = Observation.objects.current().filter(kind="sign").select_related("animal")
    sign = get_object_or_404(signs, pk=pk)
    if sign.end:
        return too_late(request, tell("This sign is gone already."), "animal-show", sign.animal_id)
    form = GoneForm(request.POST or None, initial={"day": timezone.localdate()})

    def done(data, answers):
        sign_gone(sign, data["day"], request.user)
        messages.success(request, tell("{animal}: the sign is gone.", animal=sign.animal))
        return redirect("animal-show", sign.animal_id)

    return quick_page(
        request, form, "registry/sign_gone.html", {"sign": sign}, raised=nothing, done=done
    )


@permission_required("registry.add_mark", raise_exception=True)
def animal_mark(request, pk):
    """Enter a mark or a photograph by which an animal is known."""
    animal = get_object_or_404(ANIMALS, pk=pk)
    first = {"day": timezone.localdate(), "kind": request.GET.get("kind") or "photograph"}
    form = MarkForm(request.POST or None, request.FILES or None, initial=first)

    def done(data, answers):
        mark = form.save(commit=False)
        refuse_ahead(mark.day, timezone.now())
        refuse_unborn(animal, mark.day)
        mark.animal, mark.entered_by = animal, request.user
        mark.save()
        messages.success(request, tell("{animal}: {mark} is on record.", animal=animal, mark=mark))
        return redirect("animal-show", pk)

    return quick_page(
        request, form, "registry/mark_add.html", {"animal": animal}, raised=nothing, done=done
    )


def mark_photo(request, pk):
    """Send a photograph, as the picture it is and nothing else."""
    mark = get_object_or_404(Mark, pk=pk)
    if not mark.photo or not mark.photo.storage.exists(mark.photo.name):
        raise Http404(tell("There is no photograph."))
    response = FileResponse(mark.photo.open("rb"), content_type="image/jpeg")
    response["Cache-Control"] = "private, max-age=604800"
    return response
