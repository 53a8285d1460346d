"""One half of a move between premises is put right with the other, or not at all."""

import pytest
from django.urls import reverse
from django.utils import timezone

from quarantine.amending import amend, take_back
from quarantine.refusals import ActRefused
from registry import models as m
from registry.amending import HalfOfMove, correct_departure, take_back_departure
from registry.departing import depart
from registry.lending import keeping_of
from registry.placement import Placement, place
from registry.standing import standings
from tests import make
from tests.quarantine.premises import DAY, NOON, ONE, counts, go, lines, two_premises, where

pytestmark = pytest.mark.django_db


@pytest.fixture
def premises():
    """Two premises with a room and a rack each, and two residents of the first in E1."""
    return two_premises()


def test_neither_half_is_corrected_alone(premises):
    go(premises)
    departure = m.Departure.objects.first()
    with pytest.raises(HalfOfMove, match="correct or withdraw the arrival there"):
        correct_departure(departure, {"day": DAY - ONE}, by=make.user(), why="x", at=NOON)
    with pytest.raises(HalfOfMove):
        take_back_departure(departure, by=make.user(), why="x", at=NOON)


@pytest.mark.parametrize("days", [-2, 3])
def test_another_day_moves_both_halves_and_the_stays(premises, days):
    one, two = premises["animals"]
    arrival, day = go(premises, batch=False), DAY + days * ONE
    for animal, code in ((one, "G1"), (two, "G2")):
        place(Placement(day=DAY, enclosure=premises[code], animals=(animal,)), by=make.user())
    new = amend(arrival, {"day": day}, by=make.user(), why="A slip.", at=NOON)
    found = m.Departure.objects.current()
    assert {(d.day, d.arrived_as) for d in found} == {(day, new)}
    for animal, code in ((one, "G1"), (two, "G2")):
        assert (where(animal, day - ONE), where(animal, day)) == ("E1", code)
    assert standings([one], day - ONE)[one.pk].state == "cleared"
    assert [x[1] for x in lines(premises["home"])] == [-2, 0, 0]
    assert [x[1] for x in lines(premises["away"])] == [2, 0]


@pytest.mark.parametrize(("days", "refused"), [(-1, False), (0, False), (1, True)])
def test_a_batch_is_not_left_before_its_members_came(premises, days, refused):
    arrival, how = go(premises, into=["G1"]), {"by": make.user(), "why": "A slip.", "at": NOON}
    if refused:
        with pytest.raises(ActRefused, match="is in Loan since 2 Mar 2026; put that right first"):
            amend(arrival, {"day": DAY + days * ONE}, **how)
    else:
        assert amend(arrival, {"day": DAY + days * ONE}, **how)


def test_a_correction_of_kind_and_due_day_reaches_the_departure(premises):
    arrival = go(premises, due_back=DAY + ONE)
    amend(arrival, {"kind": "purchase", "due_back": None}, by=make.user(), why="Sold.", at=NOON)
    assert {(d.kind, d.due_back) for d in m.Departure.objects.current()} == {("sale", None)}
    assert keeping_of(premises["animals"][0], DAY).owner == premises["away"].party


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"kind": "import", "due_back": None}, "Between premises animals go by"),
        ({"kind": "purchase"}, "Only a loan is due back"),
        ({"due_back": DAY - ONE}, "before it came"),
        ({"day": DAY + 30 * ONE}, "still to come"),
    ],
)
def test_a_correction_that_cannot_be_changes_neither_half(premises, changes, said):
    arrival = go(premises, due_back=DAY + 5 * ONE)
    before = counts()
    with pytest.raises(ActRefused, match=said):
        amend(arrival, changes, by=make.user(), why="A slip.", at=NOON)
    assert counts() == before


def test_a_later_day_is_refused_once_it_was_moved_on_there(premises):
    one = premises["animals"][0]
    arrival = go(premises, one, into=["G1"], batch=False)
    on = Placement(day=DAY + 2 * ONE, enclosure=premises["G2"], animals=(one,))
    place(on, by=make.user())
    with pytest.raises(ActRefused, match="was moved on on 4 Mar 2026"):
        amend(arrival, {"day": DAY + 3 * ONE}, by=make.user(), why="A slip.", at=NOON)


def test_a_withdrawal_undoes_both_halves(premises):
    arrival = go(premises, batch=False)
    one, two = premises["animals"]
    place(Placement(day=DAY, enclosure=premises["G1"], animals=(one,)), by=make.user())
    take_back(arrival, by=make.user(), why="They never went.", at=NOON)
    assert not m.Departure.objects.current().exists()
    assert (where(one, DAY), where(two, DAY + ONE)) == ("E1", "E1")
    assert standings([one], DAY)[one.pk].state == "cleared"
    for holding in ("home", "away"):
        assert m.RegisterLine.objects.filter(holding=premises[holding]).balance() == 0


def test_a_withdrawal_waits_for_what_rests_on_it(premises):
    one = premises["animals"][0]
    arrival = go(premises, one, into=["G1"])
    with pytest.raises(ActRefused, match="D-1 is in Loan since 2 Mar 2026; put that right first"):
        take_back(arrival, by=make.user(), why="x", at=NOON)


def test_a_withdrawal_waits_for_a_later_departure(premises):
    one = premises["animals"][0]
    arrival = go(premises, one, batch=False)
    depart(one, DAY + ONE, "death", None, make.user(), at=NOON)
    with pytest.raises(ActRefused, match="left again on 3 Mar 2026"):
        take_back(arrival, by=make.user(), why="x", at=NOON)


def test_a_half_is_corrected_from_either_side_on_one_page(client, premises, monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOON)
    client.force_login(make.user(superuser=True))
    arrival = go(premises, into=["G1"])
    departure = m.Departure.objects.first()
    sent = client.get(reverse("fact-correct", args=["registry.departure", departure.pk]))
    page = reverse("quarantine:fact-amend", args=["registry.arrival", arrival.pk])
    assert sent.url == page
    sent = client.post(reverse("fact-withdraw", args=["registry.departure", departure.pk]))
    assert sent.url == page
    told = {"day": DAY - ONE, "kind": "loan", "supplier": arrival.supplier_id, "why": "A slip."}
    done = client.post(page, told, follow=True)
    assert "The entry is corrected" in done.text
    assert {d.day for d in m.Departure.objects.current()} == {DAY - ONE}
