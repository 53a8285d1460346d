"""What is taken back in quarantine takes along what it said, and nothing that rests on it."""

from datetime import timedelta

import pytest

from quarantine.amending import take_back
from quarantine.batches import batch_on
from quarantine.held import standings, standings_known
from quarantine.models import Isolation, Membership, Result, Sample
from quarantine.refusals import ActRefused
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY, ONE = qmake.DAY, timedelta(days=1)
LATER = DAY + 9 * ONE


@pytest.fixture
def by():
    """Somebody with every right."""
    return make.user(superuser=True)


def test_an_isolation_taken_back_lets_go_of_its_members(by):
    """They wait for an isolation; what was known before stays readable."""
    newcomer = qmake.newcomer("EA-1", make.enclosure("Q1"))
    isolation = qmake.isolation([newcomer], name="Box")
    qmake.as_it_happened()
    take_back(isolation, by=by, why="the wrong box", at=qmake.moment(LATER))
    assert not Membership.objects.current().exists()
    now = standings([newcomer], LATER)[newcomer.pk]
    assert (now.state, now.batch) == ("held", None)
    then = standings_known([newcomer], LATER - ONE)[newcomer.pk]
    assert str(then.batch) == "Box"
    assert then.best == DAY + 60 * ONE


def test_a_resident_put_into_an_isolation_by_mistake_is_cleared_again(by):
    """Once the isolation is taken back it never was in one."""
    resident = qmake.resident("D-01")
    take_back(qmake.isolation([resident]), by=by, why="the wrong frog")
    assert standings([resident], LATER)[resident.pk].state == "cleared"


def test_an_isolation_on_which_something_rests_is_not_taken_back(by):
    """A clearance is taken back first."""
    newcomer = qmake.newcomer("EA-1")
    isolation = qmake.isolation([newcomer])
    clearance = make.clearance([newcomer], isolation=isolation, day=LATER)
    with pytest.raises(ActRefused, match="Take that back first"):
        take_back(isolation, by=by, why="the wrong box")
    assert Isolation.objects.current().get() == isolation
    take_back(clearance, by=by, why="not seen")
    assert take_back(isolation, by=by, why="the wrong box").void


def test_a_sample_taken_back_takes_its_result_along(by):
    """A positive of a swab that never was holds nobody, and the batch asks for the swab again."""
    newcomer = qmake.newcomer("EA-1", make.enclosure("Q1"))
    isolation, resident = qmake.isolation([newcomer]), qmake.resident("D-01")
    sample = qmake.sample("bd-pcr", [newcomer, resident], day=DAY + 20 * ONE)
    qmake.result(sample, "positive")
    assert batch_on(isolation, DAY + 30 * ONE).reading.zero.day == DAY + 20 * ONE
    assert standings([resident], DAY + 30 * ONE)[resident.pk].state == "held"
    take_back(sample, by=by, why="another tank")
    assert not Result.objects.current().exists()
    assert not Sample.objects.current().exists()
    assert batch_on(isolation, DAY + 30 * ONE).reading.zero.day == DAY
    assert standings([resident], DAY + 30 * ONE)[resident.pk].state == "cleared"
