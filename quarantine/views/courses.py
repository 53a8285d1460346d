"""Courses of treatment, and necropsies."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from registry.models import Departure, DepartureKind, OneOfThese
from registry.phrases import one_of, written
from registry.telling import tell

from .. import treating
from ..examining import Finding, dead_of, enter_necropsy
from ..forms.courses import CourseEndForm, CourseForm, NecropsyForm
from ..models import Course, Membership
from .acting import act_page
from .batches import isolation_of

DOSES = _(
    "Doses come from a veterinarian licensed where you live. This "
    "records what was prescribed; it prescribes nothing."
)
CARCASS = _(
    "Carcasses decay within hours: chill or fix them, freezing spoils "
    "them for histology. Wear gloves, and ask the laboratory what it "
    "needs."
)


@permission_required("quarantine.add_course", raise_exception=True)
def course_add(request, pk):
    """Enter that a course began; while it runs nobody of the batch is released."""
    isolation = isolation_of(pk)
    form = CourseForm(request.POST or None, initial={"day": timezone.localdate()})
    context = {
        "title": tell("Treat {isolation}", isolation=isolation),
        "lead": tell("A course is given to the whole batch."),
        "caution": DOSES,
        "button": tell("Save the course"),
        **_back(isolation),
    }

    def act(data, answers):
        return treating.begin_course(isolation, treating.Treatment(**data), by=request.user)

    def done(course):
        messages.success(
            request, tell("The course runs from {start}.", start=written(course.start))
        )
        return redirect("quarantine:batch-show", isolation.pk)

    return act_page(request, form, context, act=act, done=done)


@permission_required("quarantine.add_course", raise_exception=True)
def course_end(request, pk):
    """Enter the last dose of a course."""
    course = get_object_or_404(Course.objects.current().select_related("isolation"), pk=pk)
    form = CourseEndForm(request.POST or None, initial={"day": timezone.localdate()})
    context = {
        "title": tell("The last dose"),
        "lead": tell("{what}, from {start}.", what=course.what, start=written(course.start)),
        "caution": DOSES,
        **_back(course.isolation),
    }

    def act(data, answers):
        return treating.end_course(course, data["day"], by=request.user)

    def done(ended):
        messages.success(
            request, tell("The course ended with the dose of {end}.", end=written(ended.end))
        )
        return redirect("quarantine:batch-show", ended.isolation_id)

    return act_page(request, form, context, act=act, done=done)


@permission_required("quarantine.add_necropsy", raise_exception=True)
def necropsy_add(request, pk):
    """Enter what was found of a death."""
    deaths = Departure.objects.current().filter(kind=DepartureKind.DEATH)
    return _necropsy_page(request, get_object_or_404(deaths.select_related("animal"), pk=pk))


@permission_required("quarantine.add_necropsy", raise_exception=True)
def necropsy_of_one(request, pk):
    """Enter what was found of the death of one of several, before it is settled which one."""
    deaths = OneOfThese.objects.current().filter(what=DepartureKind.DEATH)
    return _necropsy_page(request, get_object_or_404(deaths, pk=pk))


def _necropsy_page(request, death):
    dead = dead_of(death)
    who = one_of(dead)
    mine = Membership.objects.current().filter(animal__in=dead).select_related("isolation")
    membership = mine.order_by("-start").first()
    form = NecropsyForm(request.POST or None, initial={"day": timezone.localdate()})
    context = {
        "title": tell("Necropsy of {who}", who=who),
        "lead": tell("{who} died on {day}.", who=who, day=written(death.day)),
        "caution": CARCASS,
        **(_back(membership.isolation) if membership else {"back": reverse("quarantine:home")}),
    }

    def act(data, answers):
        told = data | {"positive": tuple(data["positive"])}
        return enter_necropsy(death, Finding(**told), by=request.user)

    def done(necropsy):
        messages.success(request, tell("The necropsy of {who} is saved.", who=who))
        return redirect(context["back"])

    return act_page(request, form, context, act=act, done=done)


def _back(isolation):
    page = reverse("quarantine:batch-show", args=[isolation.pk])
    return {"back": page, "back_label": str(isolation)}
