"""The batches: all of them on a time line, each on a page, opened, joined, split and moved."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db.models import Q
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import mark_safe

from registry.forms.as_of import day_asked
from registry.models import Animal, Departure, Stay
from registry.telling import tell, tell_many
from registry.together import fetch

from .. import isolating
from ..batch_picture import picture_of
from ..batches import CHANGED, OPEN, batch_on, batches_on
from ..exposures import unopened
from ..forms.batches import JoinForm, MoveForm, OpenForm, SplitForm
from ..models import Clearance, Course, Isolation, Membership, Result
from ..reporting import meaning_of, waiting_samples
from ..rounds import covered
from ..wards import members_on, open_on
from .acting import act_page

LATELY = 90  # days a released batch stays on the front page


def home(request):
    """Show every batch in isolation, those whose evidence changed, and those released lately."""
    on = day_asked(request)
    batches = batches_on(_shown(on), on)
    chart = picture_of(batches, on) if batches else None
    context = {
        "on": on,
        "open": [b for b in batches if b.state == OPEN],
        "changed": [b for b in batches if b.state == CHANGED],
        "closed": [b for b in batches if b.state not in (OPEN, CHANGED)],
        "svg": mark_safe(chart.svg) if chart else "",
        "chart": chart,
        "unopened": unopened(on),
    }
    return render(request, "quarantine/home.html", context)


def _shown(on):
    """Return the isolations of the front page."""
    lately = Clearance.objects.current().filter(day__gt=on - timezone.timedelta(days=LATELY))
    waiting = open_on(on).values("pk")
    rows = Isolation.objects.current().filter(opened__lte=on)
    rows = rows.filter(Q(pk__in=waiting) | Q(clearances__in=lately)).distinct()
    return rows.select_related("version__protocol").order_by("opened", "pk")


def isolation_of(pk):
    """Return an isolation by its key, the newest entry about it."""
    rows = Isolation.objects.select_related("version__protocol", "split_from", "replaced_by")
    isolation = get_object_or_404(rows, pk=pk, void=False)
    while hasattr(isolation, "replaced_by") and isolation.superseded_at:
        isolation = isolation.replaced_by
    return isolation


def batch_show(request, pk):
    """Show one batch as it stands on a day."""
    on = day_asked(request)
    isolation = isolation_of(pk)
    batch = batch_on(isolation, on)
    chart = picture_of([batch], on) if batch.reading else None
    animals = _everyone(batch)
    context = {
        "batch": batch,
        "isolation": isolation,
        "on": on,
        "svg": mark_safe(chart.svg) if chart else "",
        "chart": chart,
        "members": _members(isolation, batch, animals, on),
        **_told(isolation, animals, on),
    }
    return render(request, "quarantine/batch_show.html", context)


def _everyone(batch):
    codes = {m.member for m in batch.facts.memberships}
    rows = Animal.objects.filter(code__in=codes).select_related("taxon", "locality")
    return {a.code: a for a in rows}


def _members(isolation, batch, animals, on):
    """Return each member with where it is, and how it came or went."""
    where = Stay.objects.current().touching(on).filter(animal__in=[a.pk for a in animals.values()])
    places = {s.animal_id: s.enclosure for s in where.select_related("enclosure")}
    gone = Departure.objects.current().filter(animal__code__in=animals, day__lte=on)
    left = {d.animal_id: d for d in gone.order_by("day")}
    living = set(batch.reading.living) if batch.reading else set()
    mine = [m for m in batch.facts.memberships if m.batch == batch.facts.batch and m.joined <= on]
    return [
        {
            "animal": animals[m.member],
            "came": m,
            "place": places.get(animals[m.member].pk),
            "departure": left.get(animals[m.member].pk),
            "living": m.member in living,
        }
        for m in sorted(mine, key=lambda m: (m.joined, m.member))
    ]


def _told(isolation, animals, on):
    """Return the samples, results, courses and signatures of a batch up to a day."""
    keys = [a.pk for a in animals.values()]
    about = Q(sample__animals__in=keys) | Q(sample__enclosure__stays__animal__in=keys)
    results = Result.objects.current().filter(about, sample__day__gte=isolation.opened, day__lte=on)
    results = results.select_related("sample__assay", "sample__enclosure")
    courses, clearances, parts = fetch(
        Course.objects.current().filter(isolation=isolation, start__lte=on),
        Clearance.objects.filter(isolation=isolation, void=False, day__lte=on),
        Isolation.objects.current().filter(split_from=isolation),
    )
    return {
        "waiting": [(s, covered(s)) for s in samples_waiting_for(isolation) if s.day <= on],
        "results": together(results.prefetch_related("sample__animals").distinct()),
        "courses": courses,
        "clearances": clearances,
        "parts": parts,
    }


def together(results):
    """Return results the latest first, those of one test, day and outcome in one row."""
    alike = {}
    for one in results.order_by("-sample__day", "sample__assay__name", "pk"):
        key = (one.sample.assay_id, one.sample.day, one.day, one.outcome, one.verdict)
        alike.setdefault((*key, bool(one.replaces_id)), []).append(one)
    return [
        {"result": some[0], "results": some, "meaning": meaning_of(some[0])}
        for some in alike.values()
    ]


def samples_waiting_for(isolation):
    """Return the samples of a batch for which no result is entered."""
    keys = Membership.objects.current().filter(isolation=isolation).values("animal")
    about = Q(animals__in=keys) | Q(enclosure__stays__animal__in=keys)
    rows = waiting_samples().filter(about, day__gte=isolation.opened)
    return rows.distinct()


@permission_required("quarantine.open_isolation", raise_exception=True)
def isolation_open(request):
    """Open an isolation for animals that are here and in none."""
    on = timezone.localdate()
    animals = _free_animals(request, on)
    first = {"day": on, "animals": [a.pk for a in animals]}
    first["name"] = tell("Batch of {day}", day=on.isoformat())
    form = OpenForm(request.POST or None, animals=animals, initial=first | request.GET.dict())
    context = {
        "title": tell("Open an isolation"),
        "lead": tell("Animals are held without one too; an isolation says until when."),
        "button": tell("Open it"),
        "back": reverse("quarantine:home"),
    }

    def act(data, answers):
        return isolating.open_isolation(isolating.Opening(**_opening(data)), by=request.user)

    def done(isolation):
        how = batch_on(isolation, on).sentence
        messages.success(request, tell("{isolation} is open. {how}", isolation=isolation, how=how))
        return redirect("quarantine:batch-show", isolation.pk)

    return act_page(request, form, context, act=act, done=done)


def _opening(data):
    return {**data, "animals": tuple(data["animals"])}


def _free_animals(request, on):
    """Return the animals asked for, or all that are held in no isolation."""
    keys = [int(key) for key in request.GET.getlist("animal") if key.isdigit()]
    if keys:
        return list(Animal.objects.filter(pk__in=keys))
    return [animal for animal, _ in unopened(on)]


@permission_required("quarantine.open_isolation", raise_exception=True)
def batch_join(request, pk):
    """Add held animals to a batch; its days start again."""
    isolation, on = isolation_of(pk), timezone.localdate()
    animals = _free_animals(request, on)
    form = JoinForm(request.POST or None, animals=animals, initial={"day": on})
    context = _context(
        isolation, tell("Who joins {isolation}", isolation=isolation), tell("Let them join")
    )

    def act(data, answers):
        return isolating.join(isolation, data["animals"], data["day"], by=request.user)

    def done(rows):
        told = {"isolation": isolation}
        text = tell_many(
            "{count} joined {isolation}.", "{count} joined {isolation}.", len(rows), **told
        )
        return _back(request, isolation, text)

    return act_page(request, form, context, act=act, done=done)


@permission_required("quarantine.open_isolation", raise_exception=True)
def batch_split(request, pk):
    """Part animals of a batch off as a batch of their own."""
    isolation, on = isolation_of(pk), timezone.localdate()
    animals = isolating.living_in(isolation, on)
    first = {"day": on, "name": tell("{isolation}, part 2", isolation=isolation)}
    form = SplitForm(request.POST or None, animals=animals, initial=first)
    context = _context(
        isolation, tell("Split {isolation}", isolation=isolation), tell("Part them off")
    )

    def act(data, answers):
        return isolating.split(isolation, by=request.user, **data)

    def done(part):
        return _back(request, part, tell("{part} is a batch of its own.", part=part))

    return act_page(request, form, context, act=act, done=done)


@permission_required("registry.place_animal", raise_exception=True)
def batch_move(request, pk):
    """Move everyone living in a batch in one act."""
    isolation, on = isolation_of(pk), timezone.localdate()
    form = MoveForm(request.POST or None, initial={"day": on})
    context = _context(isolation, tell("Move {isolation}", isolation=isolation), tell("Move them"))
    context["lead"] = tell_many(
        "{count} animal moves.", "{count} animals move together.", len(members_on(isolation, on))
    )

    def act(data, answers):
        how = {"by": request.user, "breach": answers.breach}
        reason = answers.reasons.get("all", "")
        where = (data["enclosures"], data["day"])
        return isolating.move_batch(isolation, *where, reason=reason, **how)

    def done(stays):
        return _back(request, isolation, _moved(isolation, len(stays)))

    return act_page(request, form, context, act=act, done=done)


def _moved(isolation, count):
    return tell_many(
        "{count} animal of {isolation} was moved.",
        "{count} animals of {isolation} were moved.",
        count,
        isolation=isolation,
    )


def _context(isolation, title, button):
    back = reverse("quarantine:batch-show", args=[isolation.pk])
    return {"title": title, "button": button, "back": back, "back_label": str(isolation)}


def _back(request, isolation, message):
    said = batch_on(isolation, timezone.localdate()).sentence
    messages.success(request, f"{message} {said}")
    return redirect("quarantine:batch-show", isolation.pk)
