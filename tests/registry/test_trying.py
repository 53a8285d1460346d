"""An act is tried out, and nothing of it is kept."""

import pytest

from registry.models import SexFinding
from registry.trying import undone, would_raise
from tests import make

pytestmark = pytest.mark.django_db


def test_what_was_tried_is_taken_back_and_what_it_gave_is_returned():
    animal = make.animal()
    assert undone(lambda: make.finding(animal).sex) == "male"
    assert not SexFinding.objects.exists()


def test_a_refusal_passes_through_and_takes_everything_back():
    animal = make.animal()

    def act():
        make.finding(animal)
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        undone(act)
    assert not SexFinding.objects.exists()


def test_only_what_an_act_adds_is_raised():
    animal = make.animal()
    make.finding(animal, sex="male")

    def look():
        return [f.sex for f in SexFinding.objects.order_by("pk")]

    assert would_raise(lambda: make.finding(animal, sex="female"), look) == ["female"]
    assert would_raise(lambda: None, look) == []
    assert look() == ["male"]
