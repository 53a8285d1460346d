"""Sample rounds: a whole batch, or animals and enclosures chosen one by one."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from registry.models import Animal, Enclosure
from registry.telling import tell, tell_many

from ..batches import batch_on
from ..forms.samples import RoundForm
from ..isolating import enclosures_of, living_in
from ..models import Assay
from ..next_steps import due_words
from ..rounds import enter_round
from .acting import plain_page
from .batches import isolation_of

GLOVES = _(
    "Wear fresh gloves for each animal: swabs carry over, and the skin "
    "secretions of some wild-caught frogs are poisonous."
)


@permission_required("quarantine.add_sample", raise_exception=True)
def sample_add(request, pk):
    """Enter the samples taken from a batch on a day; those due are ticked."""
    isolation, on = isolation_of(pk), timezone.localdate()
    animals = living_in(isolation, on)
    places, batch = enclosures_of(animals, on), batch_on(isolation, on)
    form = RoundForm(
        request.POST or None, animals=animals, enclosures=places, initial=_due(batch, on, animals)
    )
    page = reverse("quarantine:batch-show", args=[isolation.pk])
    context = {
        "title": tell("Samples of {isolation}", isolation=isolation),
        "lead": _due_words(batch, on),
        "caution": GLOVES,
        "button": tell("Save the round"),
        "back": page,
        "back_label": str(isolation),
    }
    return plain_page(request, form, context, act=_act(request, form), done=_done(request, page))


@permission_required("quarantine.add_sample", raise_exception=True)
def sample_any(request):
    """Enter samples of animals or enclosures that are in no batch."""
    animals = Animal.objects.filter(pk__in=_keys(request, "animal"))
    places = Enclosure.objects.filter(pk__in=_keys(request, "enclosure"))
    first = {"day": timezone.localdate(), "animals": [a.pk for a in animals]}
    form = RoundForm(request.POST or None, animals=animals, enclosures=places, initial=first)
    context = {
        "title": tell("Take samples"),
        "lead": tell("Open this page from an animal or an enclosure to have it listed here."),
        "caution": GLOVES,
        "button": tell("Save"),
        "back": reverse("quarantine:results-list"),
    }
    page = reverse("quarantine:results-list")
    return plain_page(request, form, context, act=_act(request, form), done=_done(request, page))


def _keys(request, name):
    return [int(key) for key in request.GET.getlist(name) if key.isdigit()]


def _act(request, form):
    @transaction.atomic
    def act(data, answers):
        return [s for taken in form.rounds() for s in enter_round(taken, by=request.user)]

    return act


def _done(request, page):
    def done(samples):
        text = tell_many(
            "{count} sample taken; results are awaited.",
            "{count} samples taken; results are awaited.",
            len(samples),
        )
        messages.success(request, text)
        return redirect(page)

    return done


def _due(batch, on, animals):
    """Return what is ticked to begin with: the tests that are due by today."""
    due = [one for one in batch.reading.due if one.day <= on] if batch.reading else []
    assays = {a.code: a.pk for a in Assay.objects.all()}
    members = {m for one in due if not one.enclosure for m in one.members}
    return {
        "day": on,
        "assays": {assays[one.assay] for one in due if not one.enclosure},
        "animals": [a.pk for a in animals if a.code in members or not members],
        "enclosure_assays": {assays[one.assay] for one in due if one.enclosure},
        "enclosures": Enclosure.objects.filter(code__in={one.enclosure for one in due}),
    }


def _due_words(batch, on):
    due = [one for one in batch.reading.due if one.day <= on] if batch.reading else []
    if not due:
        return tell("Nothing is due today; a sample taken too early counts nothing.")
    return tell("Due: {samples}.", samples=due_words(batch, due))
