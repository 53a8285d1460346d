"""A move between premises of this register: both halves or neither, under every rule."""

import pytest
from django.urls import reverse
from django.utils import timezone

from quarantine import models as q
from quarantine.refusals import ActRefused
from quarantine.wards import members_on, open_on
from registry import models as m
from registry.departing import Leaving, depart
from registry.departing import objections as departure_objections
from registry.lending import keeping_of, lendings
from registry.objections import ReasonsMissing, Stopped
from registry.placement import Placement, place
from registry.standing import standings
from tests import make
from tests.quarantine import make as qmake
from tests.quarantine.premises import DAY, NOON, ONE, counts, go, lines, two_premises, where

pytestmark = pytest.mark.django_db


@pytest.fixture
def premises():
    """Two premises with a room and a rack each, and two residents of the first in E1."""
    return two_premises()


def test_both_halves_are_entered_with_a_line_in_both_registers(premises):
    arrival = go(premises, into=["G1"], due_back=DAY + 90 * ONE)
    one, two = premises["animals"]
    assert {d.arrived_as for d in m.Departure.objects.all()} == {arrival}
    assert {d.due_back for d in m.Departure.objects.all()} == {DAY + 90 * ONE}
    assert lines(premises["home"]) == [("departure", -2, "D-1, D-2")]
    assert lines(premises["away"]) == [("arrival", 2, "D-1, D-2")]
    assert (where(one, DAY - ONE), where(one, DAY), where(two, DAY)) == ("E1", "G1", "G1")
    parties = keeping_of(one, DAY)
    assert (parties.holder, parties.owner) == (premises["away"].party, premises["home"].party)


@pytest.mark.parametrize(("day", "state"), [(-1, "cleared"), (0, "held"), (1, "held")])
def test_whoever_arrives_is_a_newcomer_there(premises, day, state):
    go(premises)
    found = standings(premises["animals"], DAY + day * ONE)
    assert {one.state for one in found.values()} == {state}


def test_a_batch_opened_on_the_day_of_the_move_has_its_members_and_a_forecast(premises):
    go(premises)
    batch = q.Isolation.objects.get(name="Loan")
    assert members_on(batch, DAY) == premises["animals"]
    assert list(open_on(DAY)) == [batch]
    told = standings(premises["animals"], DAY)
    assert {one.best for one in told.values()} == {DAY + 60 * ONE}


@pytest.mark.parametrize("kind", ["death", "sale"])
def test_one_that_came_and_left_on_one_day_is_in_no_batch(premises, kind):
    animal = make.animal("N-1", here_since=DAY, cleared=False)
    batch = qmake.isolation([animal], opened=DAY)
    make.departure(animal, day=DAY, kind=kind)
    assert members_on(batch, DAY) == []


def test_papers_go_along(premises):
    from registry.arriving import PaperGiven

    arrival = go(premises, papers=(PaperGiven(kind="permit", number="L-7"),))
    assert arrival.papers.get().animals.count() == 2


def test_a_refusal_of_the_second_half_undoes_the_first(premises):
    sitting = qmake.resident("G-0", arrived=False)
    make.arrival([sitting], day=DAY - 99 * ONE, kind="opening", holding=premises["away"])
    make.stay(sitting, premises["G1"])
    before = counts()
    with pytest.raises(Stopped, match="held since"):
        go(premises, into=["G1"], batch=False)
    assert counts() == before


def test_a_held_animal_goes_only_for_a_reason_and_the_line_says_held(premises):
    animal = make.animal("N-1", here_since=DAY - ONE, cleared=False)
    with pytest.raises(ReasonsMissing, match="its paper prints “held”"):
        go(premises, animal)
    go(premises, animal, reason="The rack there is emptier.")
    assert "Held on leaving: N-1." in m.RegisterLine.objects.get(holding=premises["home"]).remark
    assert m.Answer.objects.get().reason == "The rack there is emptier."


def test_one_that_leaves_a_batch_may_open_one_where_it_comes_to(premises):
    animal = make.animal("N-1", here_since=DAY - ONE, cleared=False)
    qmake.isolation([animal], opened=DAY - ONE)
    arrival = go(premises, animal, into=["G1"], reason="It has to be.")
    assert q.Isolation.objects.get(name="Loan").opened == arrival.day


def test_the_return_ends_the_loan_and_the_animal_is_held_at_home(premises):
    go(premises)
    back = {"kind": "return", "holding": premises["home"], "day": DAY + 5 * ONE}
    go(premises, reason="Both back.", batch=False, **back)
    one = premises["animals"][0]
    assert [(x.lent, x.borrowed) for x in lendings(DAY + 5 * ONE)] == [((), ())] * 2
    assert [d.kind for d in one.departures.order_by("day")] == ["loan", "handed over"]
    assert keeping_of(one, DAY + 5 * ONE).owner == premises["home"].party
    assert standings([one], DAY + 5 * ONE)[one.pk].state == "held"


@pytest.mark.parametrize(
    ("more", "field", "said"),
    [
        ({"kind": "return"}, "kind", "was not on loan to Lantern Row"),
        ({"holding": "home"}, "holding", "already; within premises it is a plain move"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(premises, more, field, said):
    before = counts()
    if "holding" in more:
        more = {"holding": premises["home"]}
    with pytest.raises(ActRefused, match=said) as refused:
        go(premises, **more)
    assert refused.value.field == field
    assert counts() == before


def test_a_return_before_the_loan_is_refused(premises):
    go(premises)
    back = {"kind": "return", "holding": premises["home"], "day": DAY - ONE}
    with pytest.raises(ActRefused, match="at Lantern Row already"):
        go(premises, **back)


def test_a_return_goes_to_who_lent_it(premises):
    go(premises)
    third = make.holding("Third House")
    with pytest.raises(ActRefused, match="was lent by Keeper of Lantern Row, not by Third House"):
        go(premises, kind="return", holding=third, day=DAY + ONE)


def test_what_is_lent_already_is_lent_on_only_for_a_reason(premises):
    go(premises)
    third = make.holding("Third House")
    with pytest.raises(ReasonsMissing, match="it would be lent on"):
        go(premises, holding=third, day=DAY + ONE)


def test_a_loan_of_one_that_is_lent_to_an_outsider_is_refused(premises):
    one = premises["animals"][0]
    depart(one, DAY - ONE, "loan", make.party("Ann"), make.user(), at=NOON)
    with pytest.raises(Stopped, match="D-1 left on 1 Mar 2026"):
        go(premises, one)


def test_animals_of_two_premises_go_in_two_acts(premises):
    one, two = premises["animals"]
    go(premises, one)
    with pytest.raises(ActRefused, match="They are at Gull Yard and Lantern Row"):
        go(premises, one, two, holding=make.holding("Third House"), day=DAY + ONE)


def test_a_back_dated_move_asks_about_what_was_entered_since(premises):
    one = premises["animals"][0]
    e2 = make.enclosure("E2", unit=premises["E1"].unit)
    place(Placement(day=DAY + ONE, enclosure=e2, animals=(one,)), by=make.user())
    with pytest.raises(ReasonsMissing, match="is entered in E2 from 3 Mar 2026"):
        go(premises, one)
    go(premises, one, into=["G1"], reason="It was another one that moved.")
    assert where(one, DAY + ONE) == "G1"


def test_a_sale_passes_it_on(premises):
    go(premises, kind="sale")
    keeping = keeping_of(premises["animals"][0], DAY)
    assert (keeping.holder, keeping.owner) == (premises["away"].party,) * 2
    assert not keeping.loans


def test_a_plain_move_to_other_premises_is_refused(premises):
    into = Placement(day=DAY, enclosure=premises["G1"], animals=(premises["animals"][0],))
    with pytest.raises(Stopped, match="D-1 is at Lantern Row, and G1 stands at Gull Yard"):
        place(into, by=make.user())


@pytest.mark.parametrize(("counted", "refused"), [(False, False), (True, True)])
def test_larvae_in_the_register_do_not_go_to_other_premises_with_their_clutch(
    premises, counted, refused
):
    from registry.laying import count_stage

    clutch = make.clutch("K1", enclosure=premises["E1"], found_on=DAY)
    make.stay(clutch, premises["E1"], start=DAY)
    if counted:
        count_stage(clutch, "hatched", DAY, 4, make.user(), at=NOON)
    into = Placement(day=DAY + ONE, enclosure=premises["G1"], clutches=(clutch,))
    if refused:
        with pytest.raises(Stopped, match="counted in the register of Lantern Row"):
            place(into, by=make.user())
    else:
        assert place(into, by=make.user())


def test_a_departure_to_premises_here_is_no_departure_alone(premises):
    alone = {"animals": (premises["animals"][0],), "kind": "sale", "day": DAY}
    (said,) = departure_objections(Leaving(receiver=premises["away"].party, **alone))
    assert "enter a move between premises" in said.message
    assert not said.possible


def test_a_unit_that_was_lived_in_stays_at_its_premises(premises):
    from registry.forms.enclosures import EnclosureForm, UnitForm

    unit, e1 = premises["E1"].unit, premises["E1"]
    told = {"holding": premises["away"].pk, "name": unit.name, "role": unit.role}
    assert "stayed in it" in UnitForm(told, instance=unit).errors["holding"][0]
    told = {"unit": premises["G1"].unit_id, "code": "E1", "room_for": 4}
    assert "stayed in it" in EnclosureForm(told, instance=e1).errors["unit"][0]
    told |= {"code": "G2", "unit": unit.pk}
    assert "unit" not in EnclosureForm(told, instance=premises["G2"]).errors


def post(client, page, *args, **data):
    papers = {"paper-TOTAL_FORMS": 3, "paper-INITIAL_FORMS": 0}
    return client.post(reverse(page, args=args), papers | data, follow=True)


def test_the_page_enters_both_halves(client, premises, monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOON)
    client.force_login(make.user(superuser=True))
    qmake.version()
    told = {"animals": "D-1, D-2", "holding": premises["away"].pk, "kind": "loan", "day": DAY}
    wrong = post(client, "arrival-between", **told | {"due_back": DAY - ONE})
    assert "before it was lent" in wrong.text
    done = post(client, "arrival-between", **told | {"due_back": DAY + ONE})
    assert done.redirect_chain[0][0].startswith("/arrivals/")
    assert m.Departure.objects.filter(arrived_as__isnull=False).count() == 2
    loans = client.get(reverse("loan-list")).text
    assert loans.count("Return between premises") == 4


def test_whoever_may_not_enter_departures_cannot_move_between_premises(client, premises):
    client.force_login(make.user(rights=["registry.register_arrival"]))
    assert client.get(reverse("arrival-between")).status_code == 403
