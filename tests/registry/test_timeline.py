"""The time line holds every entry about an animal, corrected ones with what became of them."""

from datetime import date, timedelta

import pytest
from django.contrib.contenttypes.models import ContentType

from quarantine.models import Assay, Sample
from registry.models import Animal, Fact, Mark, Observation
from registry.timeline import _relations, timeline
from tests import make

pytestmark = pytest.mark.django_db


def lines(animal):
    return [(e.day, e.text, e.state) for e in timeline(animal)]


def test_entries_stand_in_order_the_newest_day_first():
    animal = make.animal("D-01", here_since=date(2025, 1, 1))
    make.stay(animal, make.enclosure("E10"), start=date(2025, 1, 1))
    make.finding(animal, day=date(2025, 2, 1))
    days = [e.day for e in timeline(animal)]
    assert days == sorted(days, reverse=True)
    assert (date(2025, 2, 1), "Found male: DNA.", "") in lines(animal)
    assert (date(2025, 1, 1), "In E10.", "") in lines(animal)


def test_a_corrected_entry_says_so_and_why_and_the_new_one_stands():
    animal = make.animal()
    make.finding(animal, sex="male", basis="looks").corrected(
        by=None, why="Looked again.", sex="female"
    )
    found = {e.text: (e.state, e.why) for e in timeline(animal) if "Found" in e.text}
    assert found == {
        "Found male: looks.": ("corrected", "Looked again."),
        "Found female: looks.": ("", ""),
    }


def test_a_withdrawn_entry_stands_once_with_the_reason():
    animal = make.animal()
    make.finding(animal, sex="male", basis="looks").withdrawn(by=None, why="Wrong frog.")
    found = [(e.state, e.why) for e in timeline(animal) if "Found" in e.text]
    assert found == [("withdrawn", "Wrong frog.")]


def test_what_it_is_a_parent_of_is_told():
    sire = make.animal()
    make.parent(make.clutch("K1"), "sire", sire)
    x, y = make.animal(), make.animal()
    make.parent(make.clutch("K2"), "pair", (x, y), (y, x))
    assert "Stated as sire of clutch K1 (seen)." in [e.text for e in timeline(sire)]
    for one in (x, y):
        told = [e.text for e in timeline(one)]
        assert told.count("Stated as sire or dam of clutch K2 (seen).") == 1


def test_entries_of_quarantine_reach_it_with_their_dates_written_out():
    animal = make.animal()
    assay = Assay.objects.get_or_create(code="bd", defaults={"name": "Bd PCR"})[0]
    Sample.objects.create(assay=assay, day=make.DAY).animals.add(animal)
    assert f"Sample: {assay} of 2 Mar 2026" in [e.text for e in timeline(animal)]


def test_every_kind_of_fact_about_an_animal_is_looked_for():
    reached = {relation.related_model for relation in _relations().values()}
    about = {
        model
        for model in (ct.model_class() for ct in ContentType.objects.all())
        if model and issubclass(model, Fact) and "animal" in {f.name for f in model._meta.fields}
    }
    assert about <= reached


def test_all_kinds_of_entries_are_asked_for_at_once(django_assert_num_queries):
    bare = Animal.objects.get(pk=make.animal("bare", arrived=False).pk)
    with django_assert_num_queries(1):
        assert timeline(bare) == []


def test_the_questions_do_not_grow_with_the_entries(django_assert_max_num_queries):
    animal = make.animal()
    for n in range(30):
        Observation.objects.create(
            animal=animal, kind="ate", start=make.DAY + timedelta(days=n), text=f"{n}"
        )
        Mark.objects.create(animal=animal, kind="ring", value=str(n), day=make.DAY)
    with django_assert_max_num_queries(10):
        assert len(timeline(animal)) > 60
