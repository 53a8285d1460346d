"""What the register has for the day."""

from datetime import timedelta

import pytest
from django.utils import timezone

from registry.breaches import close_breach
from registry.daily import breaches_open, conflicts_listed, objections_standing, young_to_move
from registry.everywhere import standing_everywhere, standing_in
from registry.models import Answer, Breach
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
DAY = make.DAY
ONE = timedelta(days=1)


def texts(section):
    return [task.text for task in section.tasks]


def rivals(code="E10"):
    """Return the stay of the second of two males in one enclosure."""
    tank = make.enclosure(code)
    make.stay(make.animal(f"{code} A", sex="male"), tank)
    return make.stay(make.animal(f"{code} B", sex="male"), tank)


def test_everything_that_stands_is_told_as_for_each_enclosure_alone():
    first, second = rivals("E10").enclosure, rivals("E11").enclosure
    everywhere = [(s.enclosure, s.objection.message) for s in standing_everywhere(DAY)]
    alone = [(t, s.objection.message) for t in (first, second) for s in standing_in(t, DAY)]
    assert everywhere == alone
    assert len(everywhere) == 2


def test_an_empty_enclosure_and_one_left_stand_for_nothing():
    stay = rivals()
    stay.end = DAY
    stay.save()
    assert len(standing_everywhere(DAY - ONE)) == 1
    assert standing_everywhere(DAY) == []


def test_an_objection_with_a_reason_no_longer_asks_for_one():
    stay = rivals()
    section = objections_standing(DAY, None)
    assert texts(section) == [
        "E10: E10 A and E10 B: 2 males, where Dendrobates tinctorius lives as a pair."
    ]
    (told,) = standing_in(stay.enclosure, DAY)
    Answer.objects.create(
        stay=stay, rule="grouping_is_kept", message=told.objection.message, reason="A month.",
        entered_at=timezone.now(), entered_by=make.user(),
    )  # fmt: skip
    assert texts(objections_standing(DAY, None)) == []
    (told,) = standing_in(stay.enclosure, DAY)
    assert told.answer.reason == "A month."


def test_notes_do_not_make_work():
    tank = make.enclosure()
    make.stay(make.animal(), tank)
    make.stay(make.animal(), tank)
    assert [s.objection.level for s in standing_in(tank, DAY)] == ["note"]
    assert texts(objections_standing(DAY, None)) == []


def test_the_questions_do_not_grow_with_the_enclosures(django_assert_max_num_queries):
    for n in range(20):
        rivals(f"E{n:02}")
    with django_assert_max_num_queries(12):
        standing_everywhere(DAY)


@pytest.mark.parametrize(("days", "told"), [(-15, False), (-14, True), (0, True), (1, True)])
def test_young_are_told_of_a_fortnight_before_they_must_leave(days, told):
    parent, tank = make.animal("M", sex="male"), make.enclosure("E10")
    clutch = make.clutch(found_on=DAY - 280 * ONE)
    make.parent(clutch, "sire", parent)
    young = make.young(clutch, "P", days=100)
    make.stay(parent, tank)
    make.stay(young, tank, start=young.separated_on)
    due = young.must_leave_parents()
    section = young_to_move(due + days * ONE, None)
    assert texts(section) == (["P leaves M in E10"] if told else [])
    if told:
        (task,) = section.tasks
        assert task.due == due
        assert task.late is (days > 0)


def test_young_apart_from_their_parents_have_nothing_to_leave():
    parent = make.animal("M", sex="male")
    clutch = make.clutch(found_on=DAY - 280 * ONE)
    make.parent(clutch, "sire", parent)
    young = make.young(clutch, "P", days=100)
    make.stay(parent, make.enclosure())
    make.stay(young, make.enclosure(), start=young.separated_on)
    assert texts(young_to_move(DAY, None)) == []


def test_a_breach_is_told_of_until_it_is_settled():
    stay = make.stay(make.animal(), make.enclosure(), start=DAY)
    breach = Breach.objects.create(
        stay=stay, rule="x", message="A and B could cross.", why="Late.", who="Ann",
        entered_at=timezone.now(), entered_by=make.user(),
    )  # fmt: skip
    assert texts(breaches_open(DAY, None)) == ["A and B could cross."]
    close_breach(breach, DAY, "Parted them.")
    assert texts(breaches_open(DAY, None)) == []


def test_conflicts_are_told_of():
    both = make.animal("A", sex="male", basis="calling")
    assert texts(conflicts_listed(DAY, None)) == []
    make.finding(both, sex="female", basis="laid")
    assert texts(conflicts_listed(DAY, None)) == [
        "A was found male (heard calling, 1 Jan 2020) and female (laid eggs, 2 Mar 2026)."
    ]


def test_young_that_stay_for_a_written_reason_are_not_asked_for_again():
    parent, tank = make.animal("M", sex="male"), make.enclosure("E10")
    clutch = make.clutch(found_on=DAY - 300 * ONE)
    make.parent(clutch, "sire", parent)
    young = make.young(clutch, "P", days=100)
    stay = make.stay(parent, tank)
    make.stay(young, tank, start=young.separated_on)
    assert texts(young_to_move(DAY, None)) == ["P leaves M in E10"]
    assert texts(objections_standing(DAY, None)) == []
    (told,) = [s for s in standing_in(tank, DAY) if s.objection.rule == "young_leave_their_parents"]
    Answer.objects.create(
        stay=stay, rule=told.objection.rule, message=told.objection.message, reason="It is weak.",
        entered_at=timezone.now(), entered_by=make.user(),
    )  # fmt: skip
    assert texts(young_to_move(DAY, None)) == []
