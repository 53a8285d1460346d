"""What cannot be true together is listed with its facts until it is settled; nothing changes."""

from datetime import date, timedelta

import pytest

from registry.conflicts import (
    BeforeBirth,
    LocalityDiffers,
    SexContradicted,
    StayWhileAway,
    conflicts,
)
from registry.contradictions import (
    LoopOfDescent,
    OtherTaxon,
    ParentDead,
    ParentImmature,
    ParentYounger,
    WrongSex,
)
from registry.models import Descent, Locality
from registry.parentage import state_parents
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.DAY
ONE = timedelta(days=1)


def kinds():
    return [type(c) for c in conflicts()]


def test_an_ordinary_register_has_no_conflicts():
    sire, dam = make.animal(sex="male"), make.animal(sex="female")
    clutch = make.clutch(found_on=date(2024, 1, 1))
    make.parent(clutch, "sire", sire)
    make.parent(clutch, "dam", dam)
    young = make.young(clutch)
    make.stay(young, make.enclosure(), start=young.separated_on)
    make.departure(young, day=DAY)
    assert set(kinds()) == {StayWhileAway}
    young.stays.update(end=DAY)
    assert conflicts() == []


def test_the_male_who_laid_is_listed_once_for_each_clutch_and_nothing_is_changed():
    a, b = (
        make.animal("A", sex="male", basis="calling"),
        make.animal("B", sex="male", basis="looks"),
    )
    c = make.animal("C", sex="female", basis="laid")
    for code in ("K1", "K2"):
        clutch = make.clutch(code)
        make.parent(clutch, "sire", a, b, basis="housed")
        make.parent(clutch, "dam", c)
    assert conflicts() == []
    laid = make.finding(b, sex="female", basis="laid")
    found = conflicts()
    assert [c.sentence for c in found] == [
        "B is female (laid eggs, 2 Mar 2026) and cannot be sire of K1.",
        "B is female (laid eggs, 2 Mar 2026) and cannot be sire of K2.",
    ]
    assert all(isinstance(c, WrongSex) and c.facts[1] == laid for c in found)
    assert Descent.objects.current().filter(candidates__animal=b).count() == 2


def test_settling_on_one_sire_clears_the_conflict():
    a, b, clutch = make.animal("A"), make.animal("B"), make.clutch("K1")
    stated = make.parent(clutch, "sire", a, b, basis="housed")
    make.finding(b, sex="female", basis="laid")
    assert kinds() == [WrongSex]
    why = "B laid, so it was A."
    state_parents(clutch, "sire", [(a, 1)], "housed", DAY, make.user(), replaces=stated, why=why)
    assert conflicts() == []


def test_a_seen_sire_found_laying_is_listed_with_both_facts():
    sire = make.animal("A")
    stated = make.parent(make.clutch("K1"), "sire", sire)
    laid = make.finding(sire, sex="female", basis="laid")
    (found,) = conflicts()
    assert isinstance(found, WrongSex)
    assert set(found.facts) == {stated, laid}


def test_a_sire_of_two_clutches_found_laying_is_listed():
    sire = make.animal("A")
    make.parent(make.clutch(), "sire", sire)
    make.parent(make.clutch(), "sire", sire)
    make.finding(sire, sex="female", basis="laid")
    (found,) = conflicts()
    assert isinstance(found, SexContradicted)
    assert len(found.facts) == 3


def test_two_strong_findings_that_differ_are_listed():
    animal = make.animal("A", sex="female", basis="dna")
    make.finding(animal, sex="male", basis="calling")
    (found,) = conflicts()
    assert isinstance(found, SexContradicted)
    assert found.sentence == (
        "A was found female (DNA, 1 Jan 2020) and male (heard calling, 2 Mar 2026)."
    )


def test_weak_findings_that_differ_are_no_conflict():
    animal = make.animal(sex="female", basis="looks")
    make.finding(animal, sex="male", basis="size")
    assert conflicts() == []


@pytest.mark.parametrize(
    ("born", "kind"), [(1, ParentYounger), (-364, ParentImmature), (-365, None)]
)
def test_a_birth_date_learned_late_is_checked_against_the_young(born, kind):
    parent, clutch = make.animal(), make.clutch(found_on=DAY)
    make.parent(clutch, "dam", parent)
    type(parent).objects.filter(pk=parent.pk).update(born=DAY + timedelta(days=born))
    found = [k for k in kinds() if k is not BeforeBirth]
    assert found == ([kind] if kind else [])


@pytest.mark.parametrize(("died", "listed"), [(-1, True), (0, False), (1, False)])
def test_a_death_learned_late_is_checked_against_the_young(died, listed):
    parent, clutch = make.animal(), make.clutch(found_on=DAY)
    make.parent(clutch, "dam", parent)
    make.departure(parent, kind="death", day=DAY + timedelta(days=died))
    assert kinds() == ([ParentDead] if listed else [])


def test_a_loop_is_listed_with_its_animals():
    a, b, c = make.animal("A"), make.animal("B"), make.animal("C")
    make.parent(b, "sire", a, basis="housed")
    make.parent(c, "sire", b, basis="housed")
    make.parent(a, "sire", c, basis="housed")
    (found,) = conflicts()
    assert isinstance(found, LoopOfDescent)
    assert set(found.animals) == {a, b, c}
    assert len(found.facts) == 3


def test_a_parent_of_a_stranger_taxon_is_listed():
    stranger = make.animal(taxon=make.taxon("Epipedobates anthonyi"))
    make.parent(make.clutch(), "sire", stranger)
    assert kinds() == [OtherTaxon]


def test_a_locality_that_no_parent_could_give_is_listed():
    mill, ford = make.locality("Grey Mill"), make.locality("Alder Ford")
    clutch = make.clutch()
    make.parent(clutch, "sire", make.animal(locality=mill))
    make.parent(clutch, "dam", make.animal(locality=mill))
    make.young(clutch, "P", locality=mill)
    make.young(clutch, "Q", locality=ford)
    make.young(clutch, "R", locality=None)
    (found,) = conflicts()
    assert isinstance(found, LocalityDiffers)
    assert found.animals == (found.animals[0],)
    assert found.animals[0].code == "Q"


def test_young_of_two_places_are_of_both():
    mill, ford = make.locality("Grey Mill"), make.locality("Alder Ford")
    clutch = make.clutch()
    make.parent(clutch, "sire", make.animal(locality=mill))
    make.parent(clutch, "dam", make.animal(locality=ford))
    make.young(clutch, "P", locality=Locality.mixed([mill, ford]))
    make.young(clutch, "Q", locality=mill)
    assert [c.animals[0].code for c in conflicts()] == ["Q"]


def test_with_a_possible_outsider_any_locality_may_be():
    mill, ford = make.locality("Grey Mill"), make.locality("Alder Ford")
    clutch = make.clutch()
    make.parent(clutch, "sire", make.animal(locality=mill), weights=[0.5], basis="housed")
    make.parent(clutch, "dam", make.animal(locality=mill))
    make.young(clutch, "P", locality=ford)
    assert conflicts() == []


def test_one_of_two_sires_may_give_either_locality():
    mill, ford = make.locality("Grey Mill"), make.locality("Alder Ford")
    clutch = make.clutch()
    sires = make.animal(locality=mill), make.animal(locality=ford)
    make.parent(clutch, "sire", *sires, basis="housed")
    make.parent(clutch, "dam", make.animal(locality=mill))
    make.young(clutch, "P", locality=mill)
    make.young(clutch, "Q", locality=Locality.mixed([mill, ford]))
    make.young(clutch, "R", locality=ford)
    assert [c.animals[0].code for c in conflicts()] == ["R"]


@pytest.mark.parametrize(("born", "listed"), [(-1, False), (0, False), (1, True)])
def test_what_is_on_record_before_birth_is_listed(born, listed):
    animal = make.animal(born=DAY + timedelta(days=born), here_since=DAY + 30 * ONE)
    make.finding(animal, day=DAY)
    assert kinds() == ([BeforeBirth] if listed else [])


@pytest.mark.parametrize(("start", "end", "listed"), [(-5, 0, False), (-5, 1, True), (0, 1, True)])
def test_a_stay_past_the_departure_is_listed(start, end, listed):
    animal = make.animal("A")
    make.departure(animal, day=DAY)
    make.stay(animal, make.enclosure(), start=DAY + start * ONE, end=DAY + end * ONE)
    assert kinds() == ([StayWhileAway] if listed else [])


def test_a_stay_before_the_arrival_is_listed():
    animal = make.animal(here_since=DAY)
    make.stay(animal, make.enclosure(), start=DAY - ONE)
    assert kinds() == [StayWhileAway]


def test_who_came_back_may_stay_again():
    animal = make.animal()
    make.stay(animal, make.enclosure(), end=DAY)
    make.departure(animal, day=DAY, kind="loan")
    make.arrival([animal], day=DAY + 9 * ONE, kind="return")
    make.stay(animal, make.enclosure(), start=DAY + 9 * ONE)
    assert conflicts() == []


def test_withdrawn_entries_contradict_nothing():
    animal = make.animal(sex="female")
    slip = make.finding(animal, sex="male", basis="calling")
    assert kinds() == [SexContradicted]
    slip.withdrawn(by=make.user(), why="It was the neighbour.")
    assert conflicts() == []


def test_the_questions_do_not_grow_with_the_register(django_assert_max_num_queries):
    for _ in range(30):
        clutch = make.clutch(found_on=date(2025, 1, 1))
        make.parent(clutch, "sire", make.animal())
        make.young(clutch)
    with django_assert_max_num_queries(14):
        assert conflicts() == []
