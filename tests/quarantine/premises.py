"""Two premises of one register, and moves between them."""

from datetime import timedelta

from quarantine.receiving import Apart, receive_between
from registry import models as m
from registry.transferring import Transfer
from tests import make
from tests.quarantine import make as qmake

DAY = make.DAY
ONE = timedelta(days=1)
NOON = qmake.moment(DAY + 9 * ONE)


def two_premises():
    """Two premises with a room and a rack each, and two residents of the first in E1."""
    home, away = make.holding(), make.holding("Gull Yard")
    e1 = make.enclosure("E1", unit=make.unit("Room 1"))
    gull = make.enclosure("G1", unit=make.unit("Gull rack", role="quarantine", holding=away))
    gull_2 = make.enclosure("G2", unit=make.unit("Gull rack", role="quarantine", holding=away))
    animals = [qmake.resident(code, e1) for code in ("D-1", "D-2")]
    return {"home": home, "away": away, "E1": e1, "G1": gull, "G2": gull_2, "animals": animals}


def move(premises, *animals, **more):
    """Return a loan from the first premises to the second."""
    told = {"day": DAY, "kind": "loan", "holding": premises["away"]}
    return Transfer(animals=animals or tuple(premises["animals"]), **told | more)


def go(premises, *animals, into=(), batch=True, at=NOON, reason="", **more):
    """Enter it; those that come wait as one batch."""
    version = qmake.version() if batch else None
    apart = Apart(name="Loan", version=version, enclosures=tuple(premises[c] for c in into))
    act = move(premises, *animals, **more)
    return receive_between(act, apart, by=make.user(), at=at, reason=reason).arrival


def counts():
    return [x.objects.count() for x in (m.Departure, m.Arrival, m.Stay, m.RegisterLine, m.Paper)]


def lines(holding):
    rows = m.RegisterLine.objects.filter(holding=holding).order_by("number")
    return [(x.kind, x.change, x.codes) for x in rows]


def where(animal, day):
    stay = m.Stay.objects.current().running(day).filter(animal=animal).first()
    return stay and stay.enclosure.code
