"""A move is judged on every day it lasts, not on its first day only."""

from datetime import timedelta

import pytest

from quarantine import rules
from registry import models as m
from registry.amending import correct_move
from registry.lifetime import NotOnThatDay
from registry.objections import Stopped
from registry.placement import Happened, Placement, objections, place
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY, ONE = qmake.DAY, timedelta(days=1)


def said(day, enclosure, *animals, until=None):
    """Return what the rule on newcomers says to a move."""
    move = Placement(day=day, enclosure=enclosure, animals=animals, until=until)
    return [o.message for o in rules.newcomers_are_cleared(move)]


@pytest.mark.parametrize(("until", "stopped"), [(4, False), (5, False), (6, True), (None, True)])
def test_a_move_entered_late_runs_into_a_hold(until, stopped):
    """D-01 is held by hand from the 5th day on; whoever was moved in before was with it then."""
    e10 = make.enclosure("E10")
    resident = qmake.resident("D-01", e10)
    qmake.hold(animal=resident, start=DAY + 5 * ONE)
    until = until and DAY + until * ONE
    found = said(DAY, e10, qmake.resident("D-02"), until=until)
    assert bool(found) is stopped
    assert all("held by hand from 7 Mar 2026" in text for text in found)


def test_a_move_entered_late_runs_into_a_hold_of_the_one_moved():
    """The same where the one that was moved is held later on."""
    e10 = make.enclosure("E10")
    qmake.resident("D-01", e10)
    mover = qmake.resident("D-02")
    qmake.isolation([mover], opened=DAY + 5 * ONE)
    assert len(said(DAY, e10, mover)) == 1


def test_who_leaves_before_the_hold_is_not_met():
    """D-01 has left the enclosure when it is held."""
    e10 = make.enclosure("E10")
    resident = qmake.resident("D-01")
    make.stay(resident, e10, end=DAY + 5 * ONE)
    qmake.hold(animal=resident, start=DAY + 5 * ONE)
    assert said(DAY, e10, qmake.resident("D-02")) == []


def test_who_comes_after_a_breach_is_named_too():
    """D-02 meets the newcomer, then D-03 comes to D-02: both meetings are told and kept."""
    e10 = make.enclosure("E10")
    make.stay(qmake.newcomer("EA-1"), e10, start=DAY, end=DAY + 3 * ONE)
    m.Disinfection.objects.create(enclosure=e10, day=DAY + 3 * ONE)
    make.stay(qmake.resident("D-03"), e10, start=DAY + 4 * ONE)
    mover = qmake.resident("D-02")
    first, then = said(DAY + ONE, e10, mover)
    assert "EA-1 is held" in first
    assert then == "D-02 would be held by 6 Mar 2026, when D-03 would be with it."
    move = Placement(day=DAY + ONE, enclosure=e10, animals=(mover,))
    place(move, by=make.user(), breach=Happened(why="taken for cleared", who="the help"))
    named = [{a.code for a in b.animals.all()} for b in m.Breach.objects.all()]
    assert {"D-02", "D-03"} in named


def test_a_batch_stays_together_over_its_clearance():
    """Members of one batch, held at first and cleared later, may be together all along."""
    q1 = make.enclosure("Q1")
    first, second = qmake.newcomer("EA-1", q1), qmake.newcomer("EA-2")
    isolation = qmake.isolation([first, second])
    make.clearance([first, second], day=DAY + 60 * ONE, isolation=isolation)
    assert said(DAY + ONE, q1, second) == []


@pytest.mark.parametrize("days", [9, 10, 11])
def test_a_move_is_not_corrected_past_its_own_end(days):
    """It ended on the 10th day; to say it began later is refused with a sentence."""
    e10, e11 = make.enclosure("E10"), make.enclosure("E11")
    mover = qmake.resident("D-01")
    stay = make.stay(mover, e10, start=DAY, end=DAY + 10 * ONE)
    how = {"day": DAY + days * ONE, "enclosure": e11, "by": make.user(), "why": "misread"}
    if days == 11:
        with pytest.raises(NotOnThatDay, match="correct that entry first"):
            correct_move(stay, **how)
    else:
        assert correct_move(stay, **how).end == DAY + 10 * ONE


def test_nobody_goes_back_before_coming():
    """An end before the day of the move is refused, and nothing is entered."""
    mover = qmake.resident("D-01")
    move = Placement(day=DAY, enclosure=make.enclosure(), animals=(mover,), until=DAY - ONE)
    with pytest.raises(Stopped, match="before they came"):
        place(move, by=make.user(), breach=Happened(why="why", who="who"))
    assert not m.Stay.objects.exists()


def test_a_move_is_judged_as_if_its_mover_had_not_stayed_where_it_was():
    """D-02 met a newcomer by what is on record; moved out before that, it never did."""
    e10, e11 = make.enclosure("E10"), make.enclosure("E11")
    mover = qmake.resident("D-02", e10)
    make.stay(qmake.newcomer("EA-1"), e10, start=DAY + 5 * ONE, end=DAY + 7 * ONE)
    qmake.resident("D-05", e11)
    assert said(DAY + 4 * ONE, e11, mover) == []
    assert said(DAY + 5 * ONE, e11, mover) == []
    assert len(said(DAY + 6 * ONE, e11, mover)) == 1


def test_a_clutch_is_nowhere_before_it_was_found():
    """A clutch is nowhere before the day it was found; on that day and after it may be moved."""
    e10 = make.enclosure("E10")
    clutch = make.clutch("K1", found_on=DAY, laid=DAY - 3 * ONE)
    for days, stopped in ((-1, True), (0, False), (1, False)):
        move = Placement(day=DAY + days * ONE, enclosure=e10, clutches=(clutch,))
        assert any("found only on" in o.message for o in objections(move)) is stopped
