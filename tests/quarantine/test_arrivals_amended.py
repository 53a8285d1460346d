"""An arrival put right later on leaves nobody staying, or leaving, before it came."""

from datetime import timedelta

import pytest

from quarantine.amending import amend, take_back
from quarantine.refusals import ActRefused
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY, ONE = qmake.DAY, timedelta(days=1)
TOLD = {"why": "misread", "at": qmake.moment(DAY + 40 * ONE)}


@pytest.mark.parametrize(("days", "refused"), [(-1, False), (0, False), (5, False), (6, True)])
def test_an_arrival_is_not_put_after_the_first_stay(days, refused):
    """It may be on the day of the stay, not on the day after."""
    newcomer = qmake.newcomer("EA-1")
    make.stay(newcomer, make.enclosure("Q1"), start=DAY + 5 * ONE, end=DAY + 6 * ONE)
    arrival, by = newcomer.arrivals.get(), make.user()
    if refused:
        with pytest.raises(ActRefused, match="then would not be here"):
            amend(arrival, {"day": DAY + days * ONE}, by=by, **TOLD)
        arrival.refresh_from_db()
        assert arrival.superseded_at is None
    else:
        assert amend(arrival, {"day": DAY + days * ONE}, by=by, **TOLD).day == DAY + days * ONE


@pytest.mark.parametrize(("days", "refused"), [(9, False), (10, False), (11, True)])
def test_an_arrival_is_not_put_after_the_departure(days, refused):
    """It left on the 10th day; one that was never here cannot have left."""
    newcomer = qmake.newcomer("EA-1")
    make.departure(newcomer, day=DAY + 10 * ONE)
    arrival, by = newcomer.arrivals.get(), make.user()
    if refused:
        with pytest.raises(ActRefused, match="had not come before"):
            amend(arrival, {"day": DAY + days * ONE}, by=by, **TOLD)
    else:
        assert amend(arrival, {"day": DAY + days * ONE}, by=by, **TOLD)


def test_an_arrival_is_taken_back_only_when_nothing_rests_on_it():
    """While the animal stays somewhere the arrival stands; after that it may be withdrawn."""
    newcomer, by = qmake.newcomer("EA-1"), make.user()
    stay = make.stay(newcomer, make.enclosure("Q1"), start=DAY)
    arrival = newcomer.arrivals.get()
    with pytest.raises(ActRefused, match="then would not be here"):
        take_back(arrival, by=by, **TOLD)
    stay.withdrawn(by=by, why="misread")
    assert take_back(arrival, by=by, **TOLD).void


def test_a_second_arrival_does_not_come_before_the_departure_between():
    """It came back on the 20th day, having left on the 10th; not on the 9th."""
    animal, by = qmake.resident("D-01"), make.user()
    make.departure(animal, day=DAY + 10 * ONE, kind="loan")
    back = make.arrival([animal], day=DAY + 20 * ONE, kind="return")
    back = amend(back, {"day": DAY + 10 * ONE}, by=by, **TOLD)
    with pytest.raises(ActRefused, match="had not left before"):
        amend(back, {"day": DAY + 9 * ONE}, by=by, **TOLD)
