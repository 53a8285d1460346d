"""A page with every piece that pages are made of, for those who build and check them."""

from datetime import timedelta

from django import forms
from django.contrib import messages
from django.contrib.messages.storage.base import Message
from django.core.exceptions import PermissionDenied
from django.core.paginator import Paginator
from django.shortcuts import render
from django.utils import timezone
from django.utils.safestring import mark_safe

from ..charts.ages import AgeClass, age_and_sex
from ..charts.batches import Batch, Happening, Mark
from ..charts.drawing import draw
from ..charts.figures import Figure
from ..charts.pedigree import Animal, Parentage, pedigree
from ..charts.pedigree_sketch import pedigree_sketch
from ..charts.timeline import batch_timeline
from ..objections import ask, note, stop

LEVELS = (
    (messages.SUCCESS, "an act that was done"),
    (messages.WARNING, "a warning"),
    (messages.ERROR, "an act that was refused"),
    (messages.INFO, "a hint"),
)


class SampleForm(forms.Form):
    """Every kind of field once."""

    code = forms.CharField(max_length=40, help_text="Letters, digits, space and . _ - /")
    day = forms.DateField(label="Found on", widget=forms.DateInput(attrs={"type": "date"}))
    count = forms.IntegerField(min_value=0, label="How many eggs")
    enclosure = forms.ChoiceField(choices=[("", "choose one"), ("10", "E10"), ("11", "E11")])
    basis = forms.ChoiceField(
        choices=[("calling", "heard calling"), ("laid", "laid eggs")],
        widget=forms.RadioSelect,
        label="What it rests on",
    )
    seen = forms.MultipleChoiceField(
        choices=[("ate", "seen to eat"), ("weighed", "weighed")],
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )
    alone = forms.BooleanField(
        required=False,
        label="Nobody else was in the enclosure",
        help_text="Then both parents are certain.",
    )
    paper = forms.FileField(required=False, help_text="PDF or picture, up to 10 MB.")
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def clean(self):
        """Show what an error about the whole form looks like."""
        raise forms.ValidationError("The clutch was found before its dam arrived.")


def components_show(request):
    """Show every piece, each with how it is used."""
    if not request.user.is_staff:
        raise PermissionDenied
    on = timezone.localdate()
    context = {
        "on": on,
        "soon": on + timedelta(days=12),
        "past": on - timedelta(days=3),
        "page": Paginator(range(95), 20).page(3),
        "samples": [Message(level, f"This is what {name} says.") for level, name in LEVELS],
        "form": SampleForm(),
        "wrong": SampleForm({"wrong-code": "K-1", "wrong-count": "-2"}, prefix="wrong"),
    }
    return render(request, "registry/components_show.html", context | _answered(on) | _pictures(on))


def _answered(on):
    """Return objections of each level with what somebody answered to them."""
    objections = _objections(on)
    return {
        "objections": objections,
        "ask_reasons": {objections[2].key: "Only two nights, while their tank is repaired."},
        "reasons_missing": True,
        "can_breach": True,
    }


def _pictures(on):
    """Return a drawing, a time line and a plot, each with its text escaped where it is drawn."""
    return {
        "picture": mark_safe(draw(pedigree_sketch(_pedigree()))),
        "timeline": mark_safe(batch_timeline(_batches(on), on).svg),
        "plot": mark_safe(age_and_sex(_ages()).svg),
    }


def _objections(on):
    """Return one objection of each level, and an ask that has its reason."""
    return [
        stop("M-044 is held and E10 has cleared animals.", day=on),
        ask("M-044 and M-051 are as related as half-siblings."),
        ask("E10 has room for two, and three would be there."),
        note("M-051 is unsexed: an even chance that they are of one sex."),
    ]


def _pedigree():
    """Return a small pedigree in which every sign occurs."""
    animals = [
        Animal(key="A", code="D-01", sex="male", alive=False, locality="Grey Mill"),
        Animal(key="B", code="D-02", sex="female", certainty="strong", locality="Grey Mill"),
        Animal(key="C", code="D-05", sex="male", certainty="weak"),
        Animal(key="D", code="D-07", sex="female", certainty="strong", born="3 Oct 2024"),
        Animal(key="E", code="D-11", inbreeding=Figure(expected=0.1875, worst=0.25)),
    ]
    both = Parentage.of(sires={"A": 1}, dams={"B": 1})
    parentage = {"C": both, "D": both, "E": Parentage.of(sires={"C": 0.5, "A": 0.5}, dams={"D": 1})}
    return pedigree(
        "ABCDE", asked=["E"], animals={one.key: one for one in animals}, parentage=parentage
    )


def _batches(on):
    """Return a batch with the commonest marks."""
    opened, swabbed, joined = (on - timedelta(days=days) for days in (50, 30, 20))
    marks = [
        Mark(day=swabbed, kind=Happening.SAMPLE),
        Mark(day=joined, kind=Happening.ADDITION, text="M-044"),
        Mark(day=on, kind=Happening.NEGATIVE),
    ]
    best = joined + timedelta(days=60)
    return [Batch(code="Q1-3", opened=opened, zero=joined, best=best, marks=tuple(marks), href="/")]


def _ages():
    """Return the living animals of two ages."""
    return [
        AgeClass(age="2 years", males=2, females=3, unsexed=0),
        AgeClass(age="under a year", males=0, females=0, unsexed=5),
    ]
