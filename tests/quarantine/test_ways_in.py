"""Whichever way is tried to bring held and cleared together, it is stopped or becomes a breach."""

from datetime import timedelta

import pytest
from django.urls import reverse

from quarantine import isolating
from quarantine import models as q
from quarantine.receiving import Apart, receive, receive_again
from registry import models as m
from registry.arriving import Coming, Newcomer, Return
from registry.objections import Stopped
from registry.pairing import Match, join_match, plan_pair
from registry.placement import Placement, place
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY = qmake.DAY
ONE = timedelta(days=1)
RULE = "newcomers_are_cleared"


@pytest.fixture
def room():
    """A resident in E1 and a newcomer in Q1, whose batch is open."""
    e1 = make.enclosure("E1", unit=make.unit("Room 1"))
    q1 = make.enclosure("Q1", unit=make.unit("Rack Q", role="quarantine"))
    resident, newcomer = qmake.resident("D-01", e1), qmake.newcomer("EA-1", q1)
    isolation = qmake.isolation([newcomer], name="Box")
    return {"E1": e1, "Q1": q1, "D-01": resident, "EA-1": newcomer, "Box": isolation}


BOTH_WAYS = pytest.mark.parametrize(("who", "into"), [("EA-1", "E1"), ("D-01", "Q1")])


def moves_of(animal):
    """Return how many stays an animal has on record."""
    return animal.stays.count()


@BOTH_WAYS
@pytest.mark.parametrize("day", [DAY, DAY + 5 * ONE])
def test_the_door_to_an_enclosure(room, who, into, day):
    """On the day and back-dated, for good and for a time."""
    by = make.user()
    for until in (None, day, day + ONE):
        proposal = Placement(day=day, enclosure=room[into], animals=(room[who],), until=until)
        with pytest.raises(Stopped):
            place(proposal, by=by, at=qmake.moment(DAY + 9 * ONE))
    assert moves_of(room[who]) == 1


@BOTH_WAYS
def test_the_page_of_a_move(client, room, who, into):
    """It shows the stop and saves nothing, whatever is posted with it."""
    client.force_login(make.user(superuser=True))
    data = {"animals": who, "enclosure": room[into].pk, "day": f"{DAY + ONE}", "do": "1"}
    for more in ({}, {"reason-all": "please"}, {"breach": "1"}):
        response = client.post(reverse("animal-move", args=[room[who].pk]), data | more)
        assert response.status_code == 200
        assert any(o.rule == RULE for o in response.context["objections"])
    assert moves_of(room[who]) == 1


def test_what_happened_anyway_becomes_a_breach(client, room):
    """With that right, a name and a reason; the resident is held from that day."""
    from registry.standing import standings

    client.force_login(make.user(superuser=True))
    data = {"animals": "D-01", "enclosure": room["Q1"].pk, "day": f"{DAY + ONE}", "do": "1"}
    data |= {"breach": "1", "breach-who": "the helper", "breach-why": "taken for another"}
    page = reverse("animal-move", args=[room["D-01"].pk])
    assert client.post(page, data).status_code == 302
    assert m.Breach.objects.filter(rule=RULE).exists()
    found = standings([room["D-01"]], DAY + ONE)[room["D-01"].pk]
    assert (found.state, found.since) == ("held", DAY + ONE)


def test_somebody_without_the_right_enters_no_breach(client, room):
    """The same post is refused."""
    client.force_login(make.user(rights=["registry.place_animal"]))
    data = {"animals": "D-01", "enclosure": room["Q1"].pk, "day": f"{DAY + ONE}", "do": "1"}
    data |= {"breach": "1", "breach-who": "the helper", "breach-why": "taken for another"}
    client.post(reverse("animal-move", args=[room["D-01"].pk]), data)
    assert moves_of(room["D-01"]) == 1


@BOTH_WAYS
def test_the_administration(client, room, who, into):
    """The form of a stay goes through the same door."""
    client.force_login(make.user(superuser=True, staff=True))
    data = {"animals": who, "enclosure": room[into].pk, "day": f"{DAY + ONE}"}
    response = client.post(reverse("admin:registry_stay_add"), data)
    assert response.status_code == 200
    assert "Stop:" in response.content.decode()
    assert moves_of(room[who]) == 1


def test_a_planned_pair_and_a_joined_one(room):
    """Planning and joining go through the same rule."""
    match = Match(day=DAY + ONE, first=room["D-01"], second=room["EA-1"])
    with pytest.raises(Stopped):
        plan_pair(match, by=make.user(), at=qmake.moment(DAY + ONE))
    for into in ("E1", "Q1"):
        with pytest.raises(Stopped):
            join_match(match, room[into], by=make.user(), at=qmake.moment(DAY + ONE))
    assert not m.Pairing.objects.exists()


def test_a_whole_batch_is_not_moved_in_with_residents(room):
    """Nobody of it is moved."""
    with pytest.raises(Stopped):
        isolating.move_batch(room["Box"], [room["E1"]], DAY + ONE, by=make.user(), reason="please")
    assert moves_of(room["EA-1"]) == 1


def test_an_arrival_is_not_put_in_with_residents(room):
    """Nothing of the arrival is saved."""
    taxon = room["D-01"].taxon
    coming = Coming(
        day=DAY + ONE,
        kind="purchase",
        holding=make.holding(),
        supplier=m.Party.objects.first(),
        taxon=taxon,
        newcomers=(Newcomer(code="N-1"),),
    )
    apart = Apart(name="New", version=qmake.version(), enclosures=(room["E1"],))
    with pytest.raises(Stopped):
        receive(coming, apart, by=make.user(), reason="please", at=qmake.moment(DAY + 2 * ONE))
    assert not m.Animal.objects.filter(code="N-1").exists()
    assert q.Isolation.objects.count() == 1


def test_an_animal_back_from_a_loan_is_not_put_in_with_residents(room):
    """It is held anew, though it was cleared before."""
    animal = qmake.resident("D-03")
    make.departure(animal, day=DAY - 9 * ONE, kind="loan")
    back = Return(
        day=DAY + ONE,
        kind="return",
        supplier=m.Party.objects.first(),
        holding=make.holding(),
        animals=(animal,),
    )
    apart = Apart(enclosures=(room["E1"],))
    with pytest.raises(Stopped):
        receive_again(back, apart, by=make.user(), reason="x", at=qmake.moment(DAY + 2 * ONE))
    assert animal.arrivals.count() == 1


def test_one_that_joins_a_batch_may_be_with_it(room):
    """The batch it joins, and no other."""
    newcomer = qmake.newcomer("EA-2", since=DAY + ONE)
    by = make.user()
    isolating.join(room["Box"], [newcomer], DAY + ONE, by=by, at=qmake.moment(DAY + ONE))
    proposal = Placement(day=DAY + ONE, enclosure=room["Q1"], animals=(newcomer,))
    place(proposal, by=by, at=qmake.moment(DAY + ONE))
    assert newcomer.stays.get().enclosure == room["Q1"]
