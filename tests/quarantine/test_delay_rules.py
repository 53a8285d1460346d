"""Before a move, a death or things moved is saved, the batches it delays are shown."""

from datetime import timedelta

import pytest

from quarantine import delay_rules as rules
from registry.departing import Leaving
from registry.placement import Placement
from registry.tending import Carrying
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY = qmake.DAY
ONE = timedelta(days=1)


@pytest.fixture
def box():
    """A batch in Q1 of a quarantine rack, opened on 2 March."""
    unit = make.unit("Rack Q", role="quarantine")
    animal = qmake.newcomer("EA-1", make.enclosure("Q1", unit=unit))
    return qmake.isolation([animal], name="Box")


def said(rule, proposal):
    """Return the notes of a rule."""
    return [objection.message for objection in rule(proposal)]


def moved(*animals, into, day=DAY + 10 * ONE, **more):
    """Return what a move notes."""
    placement = Placement(day=day, enclosure=into, animals=animals, **more)
    return said(rules.no_move_delays_a_batch_unseen, placement)


def test_a_move_among_cleared_animals_notes_nothing(box):
    """No batch and nobody is touched."""
    e10 = make.enclosure("E10")
    qmake.resident("D-01", e10)
    assert moved(qmake.resident("D-02"), into=e10) == []


def test_a_resident_put_in_with_a_batch_would_be_held_without_delaying_it(box):
    """It is held for having met this batch, which does not restart by that."""
    q1 = box.members.get().animal.stays.get().enclosure
    assert moved(qmake.resident("D-01"), into=q1) == [
        "D-01 would be held from 12 Mar 2026 by meeting EA-1."
    ]


def test_a_newcomer_of_another_batch_delays_it(box):
    """From the day they meet the days count again."""
    q1 = box.members.get().animal.stays.get().enclosure
    other = qmake.newcomer("EA-9")
    qmake.isolation([other], name="Other")
    notes = moved(other, into=q1)
    assert "Box would be delayed by 10 days: 11 May 2026 instead of 1 May 2026." in notes
    assert "Other would be delayed by 10 days: 11 May 2026 instead of 1 May 2026." in notes


@pytest.mark.parametrize("scope", ["batch", "unit"])
def test_whoever_comes_into_the_unit_delays_a_batch_that_counts_its_unit(scope):
    """Under the scope of the batch it does not."""
    unit = make.unit("Rack Q", role="quarantine")
    animal = qmake.newcomer("EA-1", make.enclosure("Q1", unit=unit))
    qmake.isolation([animal], name="Box", version=qmake.version(scope=scope))
    notes = moved(qmake.resident("D-01"), into=make.enclosure("Q2", unit=unit))
    delayed = "Box would be delayed by 10 days: 11 May 2026 instead of 1 May 2026."
    assert notes == ([delayed] if scope == "unit" else [])


def test_a_death_delays_its_batch_until_it_is_explained(box):
    """The others wait sixty days from the death."""
    other = make.animal("EA-2", arrived=False)
    make.arrival([other])
    qmake.member(box, other)
    leaving = Leaving(day=DAY + 10 * ONE, animals=(other,), kind="death")
    assert said(rules.no_death_delays_a_batch_unseen, leaving) == [
        "Box would be delayed by 10 days: 11 May 2026 instead of 1 May 2026."
    ]
    gone = Leaving(day=DAY, animals=(other,), kind="sale", receiver=make.party())
    assert said(rules.no_death_delays_a_batch_unseen, gone) == []


def test_things_from_a_batch_make_a_resident_held(box):
    """Moss from Q1 into E10."""
    e10 = make.enclosure("E10")
    qmake.resident("D-01", e10)
    q1 = box.members.get().animal.stays.get().enclosure
    carrying = Carrying(day=DAY + ONE, source=q1, target=e10, what="moss")
    assert said(rules.no_thing_delays_a_batch_unseen, carrying) == [
        "D-01 would be held from 3 Mar 2026 by meeting EA-1."
    ]
    back = Carrying(day=DAY + ONE, source=e10, target=q1, what="moss")
    assert said(rules.no_thing_delays_a_batch_unseen, back) == []
