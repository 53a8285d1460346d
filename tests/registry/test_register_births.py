"""Young are counted from larvae on, each once, and leave the register once."""

from datetime import UTC, date, datetime

import pytest

from registry.correcting import correct, withdraw
from registry.departing import depart
from registry.laying import count_stage, end_clutch, lose
from registry.models import RegisterLine
from registry.separating import Separation, take_out
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
NOON = datetime(2026, 3, 20, 12, tzinfo=UTC)


def day(n):
    return date(2026, 3, n)


@pytest.fixture
def clutch():
    """Return a clutch found on 2 March, laid by its look three months before."""
    return make.clutch("K1", laid=date(2025, 12, 1))


def count(clutch, stage, number, on=4):
    return count_stage(clutch, stage, day(on), number, make.user(), at=NOON)


def lost(clutch, number, on=6, **more):
    return lose(clutch, number, "mould", day(on), make.user(), at=NOON, **more)


def take(clutch, *codes, on=8):
    cup = make.enclosure()
    told = Separation(clutch=clutch, day=day(on), codes=codes, enclosure=cup, born=day(on))
    return take_out(told, by=make.user(), at=NOON)


def lines():
    return [(x.kind, x.count, x.change) for x in RegisterLine.objects.order_by("number")]


def kept():
    return RegisterLine.objects.all().balance()


def test_eggs_have_no_line_and_larvae_have(clutch):
    count(clutch, "laid", 12)
    count(clutch, "fertile", 10)
    assert lines() == []
    count(clutch, "hatched", 9)
    (line,) = RegisterLine.objects.all()
    assert (line.kind, line.what, line.count, line.day) == ("birth", "hatched, counted", 9, day(4))
    assert (line.codes, line.holding, line.clutch) == ("clutch K1", make.holding(), clutch)


def test_an_uncounted_stage_has_no_line(clutch):
    count(clutch, "hatched", None)
    count(clutch, "hatched", 0)
    assert lines() == []


def test_a_later_stage_is_counted_and_adds_nobody_twice(clutch):
    count(clutch, "hatched", 9)
    count(clutch, "metamorphosed", 7, on=6)
    count(clutch, "hatched", 11, on=8)
    assert lines() == [("birth", 9, 9), ("birth", 7, 0), ("birth", 11, 2)]


def test_larvae_lost_leave_and_eggs_lost_before_never_were_in_it(clutch):
    lost(clutch, 2, on=3)
    count(clutch, "hatched", 9, on=4)
    lost(clutch, 3, on=4)
    assert lines() == [("birth", 9, 9), ("death", 3, -3)]


def test_a_loss_entered_before_the_first_count_is_written_with_it(clutch):
    lost(clutch, 3, on=6)
    count(clutch, "hatched", 9, on=4)
    assert lines() == [("birth", 9, 9), ("death", 3, -3)]


def test_larvae_that_left_alive_are_a_departure(clutch):
    count(clutch, "hatched", 9)
    lost(clutch, 4, left=True)
    assert lines()[-1] == ("departure", 4, -4)


def test_young_taken_out_were_counted_as_larvae_and_leave_as_animals(clutch):
    count(clutch, "hatched", 9)
    first, _ = take(clutch, "P-1", "P-2")
    assert lines()[-1] == ("birth", 2, 0)
    line = RegisterLine.objects.last()
    assert (line.codes, line.remark) == ("P-1, P-2", "From clutch K1.")
    depart(first, day(9), "death", None, make.user(), at=NOON)
    assert (lines()[-1], kept()) == (("death", 1, -1), 8)


def test_young_nobody_counted_as_larvae_are_born_when_they_are_taken_out(clutch):
    take(clutch, "P-1", "P-2")
    take(clutch, "P-3", on=9)
    assert lines() == [("birth", 2, 2), ("birth", 1, 1)]


def test_those_not_accounted_for_are_written_off_when_nothing_is_left(clutch):
    count(clutch, "hatched", 9)
    lost(clutch, 2)
    take(clutch, "P-1", "P-2", "P-3")
    end_clutch(clutch, day(10), make.user(), at=NOON)
    assert (lines()[-1], kept()) == (("death", 4, -4), 3)


def test_a_clutch_ended_with_nobody_unaccounted_for_has_no_more_lines(clutch):
    count(clutch, "hatched", 2)
    take(clutch, "P-1", "P-2")
    end_clutch(clutch, day(10), make.user(), at=NOON)
    assert len(lines()) == 2


def test_a_corrected_loss_names_its_line_and_changes_by_the_difference(clutch):
    count(clutch, "hatched", 9)
    loss = lost(clutch, 3)
    newer = correct(loss, {"count": 5}, by=make.user(), why="Counted again.", at=NOON)
    assert (lines()[-1], kept()) == (("death", 5, -2), 4)
    withdraw(newer, by=make.user(), why="Another clutch.", at=NOON)
    assert (lines()[-1], kept()) == (("death", 5, 5), 9)
    assert RegisterLine.objects.last().corrects.number == 3


def test_a_count_that_rises_by_correction_adds_the_difference(clutch):
    first = count(clutch, "hatched", 9)
    correct(first, {"count": 12}, by=make.user(), why="Under a leaf.", at=NOON)
    assert (lines()[-1], kept()) == (("birth", 12, 3), 12)


def test_an_egg_count_corrected_to_larvae_gets_its_first_line(clutch):
    first = count(clutch, "fertile", 9)
    correct(first, {"stage": "hatched"}, by=make.user(), why="They had hatched.", at=NOON)
    (line,) = RegisterLine.objects.all()
    assert (line.count, line.change, line.corrects) == (9, 9, None)


def test_a_count_corrected_below_those_taken_out_leaves_them_counted(clutch):
    """One of seven was lost and six left: with six hatched, the one lost was an egg."""
    first = count(clutch, "hatched", 7)
    lost(clutch, 1)
    take(clutch, *"ABCDEF")
    correct(first, {"count": 6}, by=make.user(), why="Miscounted.", at=NOON)
    assert kept() == 6


@pytest.mark.parametrize("ended", [True, False])
def test_a_correction_after_the_end_leaves_nobody_in_the_clutch(clutch, ended):
    """One more hatched than was thought: it is written off where nothing of the clutch is left."""
    make.stay(clutch, clutch.enclosure, start=day(2))
    first = count(clutch, "hatched", 3)
    take(clutch, *"ABC")
    if ended:
        end_clutch(clutch, day(9), make.user(), at=NOON)
    correct(first, {"count": 4}, by=make.user(), why="Miscounted.", at=NOON)
    assert kept() == (3 if ended else 4)


def test_a_loss_withdrawn_after_the_end_leaves_nobody_in_the_clutch(clutch):
    make.stay(clutch, clutch.enclosure, start=day(2))
    count(clutch, "hatched", 3)
    loss = lost(clutch, 1)
    end_clutch(clutch, day(9), make.user(), at=NOON)
    withdraw(loss, by=make.user(), why="It was an egg.", at=NOON)
    assert kept() == 0
