"""The round goes from those nothing may be carried to, to those nothing may be carried from."""

from datetime import timedelta

import pytest

from quarantine.daily import order_of_work
from quarantine.models import IsolationKind
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY, ONE = qmake.DAY, timedelta(days=1)


def round_on(day):
    """Return the enclosures of the round, in order."""
    return [task.text.split()[0] for task in order_of_work(day, None).tasks]


def test_outgoing_first_then_residents_then_the_held_and_the_sick_bay_last():
    """Young residents before adults; whoever was exposed counts as held wherever it lives."""
    room, rack = make.unit("Room"), make.unit("Rack", role="quarantine")
    bay = make.unit("Sick bay", role="sick bay")
    codes = ("A-old", "B-exposed", "C-young", "D-out")
    old, exposed, young, out = (make.enclosure(code, unit=room) for code in codes)
    incoming, sick = make.enclosure("E-in", unit=rack), make.enclosure("F-sick", unit=bay)
    qmake.resident("R-1", old)
    met = qmake.resident("R-2", exposed)
    qmake.resident("R-3", young, born=DAY - 60 * ONE)
    leaver = qmake.resident("R-4", out)
    qmake.isolation([leaver], kind=IsolationKind.OUTGOING, name="Out")
    newcomer = qmake.newcomer("N-1", incoming)
    qmake.isolation([newcomer], name="In")
    qmake.resident("R-5", sick)
    assert round_on(DAY) == ["D-out", "C-young", "A-old", "B-exposed", "E-in", "F-sick"]
    make.stay(qmake.newcomer("N-2"), exposed, start=DAY, end=DAY + ONE)
    assert met.stays.current().exists()
    assert round_on(DAY + ONE) == ["D-out", "C-young", "A-old", "E-in", "B-exposed", "F-sick"]
