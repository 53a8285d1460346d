"""The door into an enclosure: stops refuse, asks take a reason, what happened anyway is kept."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.urls import reverse

from registry.models import Answer, Breach, Stay
from registry.objections import ReasonsMissing, Stopped
from registry.placement import Happened, Placement, objections, place, standing_objections
from tests import make
from tests.registry.ways import typed

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
DAY = make.DAY
ONE = timedelta(days=1)
NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
HELPER = Happened(who="Ann", why="There was no other tank.")


def rivals():
    """Return the move of a male to a male, and the question it raises."""
    tank = make.enclosure()
    make.stay(make.animal("A", sex="male"), tank)
    move = Placement(day=DAY, enclosure=tank, animals=(make.animal("B", sex="male"),))
    (question,) = objections(move)
    return move, question


def crossing():
    """Return the move of an animal to one it could cross with."""
    tank = make.enclosure()
    make.stay(make.animal("A"), tank)
    near = make.animal("B", taxon=make.taxon("Dendrobates leucomelas"))
    return Placement(day=DAY, enclosure=tank, animals=(near,))


@pytest.mark.parametrize("reason", [None, "", "   "])
def test_an_ask_without_a_reason_moves_nobody(reason):
    move, question = rivals()
    with pytest.raises(ReasonsMissing):
        place(move, by=make.user(), reasons={question.key: reason} if reason is not None else {})
    assert not move.animals[0].stays.exists()


def test_a_written_reason_is_kept_with_the_stay():
    move, question = rivals()
    person = make.user()
    (stay,) = place(move, by=person, reasons={question.key: "For a day."}, at=NOON)
    answer = Answer.objects.get(stay=stay)
    assert (answer.reason, answer.rule, answer.message) == (
        "For a day.", "grouping_is_kept", question.message,
    )  # fmt: skip
    assert (answer.entered_by, answer.entered_at) == (person, NOON)


def test_a_reason_does_not_wave_a_stop_through():
    move = crossing()
    reasons = {o.key: "Please." for o in objections(move)}
    with pytest.raises(Stopped):
        place(move, by=make.user(), reasons=reasons)


def test_what_happened_against_a_stop_is_entered_as_a_breach():
    move = crossing()
    (stay,) = place(move, by=make.user(), breach=HELPER, at=NOON)
    breach = Breach.objects.get()
    assert (breach.stay, breach.who, breach.why) == (stay, "Ann", "There was no other tank.")
    assert breach.rule == "taxa_cannot_cross"
    assert {a.code for a in breach.animals.all()} == {"A", "B"}


def test_what_cannot_have_happened_is_no_breach():
    dead = make.animal()
    make.departure(dead, kind="death")
    move = Placement(day=DAY, enclosure=make.enclosure(), animals=(dead,))
    with pytest.raises(Stopped):
        place(move, by=make.user(), breach=HELPER)
    assert not Breach.objects.exists()


def test_several_move_together_or_none_does():
    alive, dead = make.animal(), make.animal()
    make.departure(dead, kind="death")
    move = Placement(day=DAY, enclosure=make.enclosure(), animals=(alive, dead))
    with pytest.raises(Stopped):
        place(move, by=make.user())
    assert not Stay.objects.exists()


def test_a_move_for_a_time_brings_them_back_where_they_were():
    animal, home, away = make.animal(), make.enclosure("home"), make.enclosure("away")
    make.stay(animal, home)
    place(
        Placement(day=DAY, enclosure=away, animals=(animal,), until=DAY + 3 * ONE), by=make.user()
    )
    found = [
        (s.enclosure.code, s.start, s.end) for s in Stay.objects.current().filter(animal=animal)
    ]
    assert found == [
        ("home", date(2020, 1, 1), DAY),
        ("away", DAY, DAY + 3 * ONE),
        ("home", DAY + 3 * ONE, None),
    ]


def test_a_move_there_and_back_on_one_day_counts_as_that_day():
    animal, home, away = make.animal(), make.enclosure("home"), make.enclosure("away")
    make.stay(animal, home)
    place(Placement(day=DAY, enclosure=away, animals=(animal,), until=DAY), by=make.user())
    visit = Stay.objects.current().get(enclosure=away)
    assert (visit.start, visit.end) == (DAY, DAY)
    assert Stay.objects.current().touching(DAY).filter(enclosure=away).exists()
    assert Stay.objects.current().running(DAY).get(animal=animal).enclosure == home


def test_a_finding_raises_its_objection_by_itself():
    a, b, tank = make.animal("A", sex="male"), make.animal("B", sex="female", basis="looks"), None
    tank = make.enclosure()
    make.stay(a, tank)
    make.stay(b, tank)
    assert standing_objections(tank, DAY) == []
    make.finding(b, sex="male", basis="calling")
    (found,) = standing_objections(tank, DAY)
    assert found.message == "A and B: 2 males, where Dendrobates tinctorius lives as a pair."


@pytest.fixture
def signed_in(client):
    """Return a browser in which somebody with given rights has signed in."""

    def sign_in(*rights):
        client.force_login(make.user(rights=rights))
        return client

    return sign_in


def test_the_page_shows_whom_somebody_joins_before_it_is_done(signed_in):
    move, question = rivals()
    page = signed_in("registry.place_animal").post(reverse("move-add"), typed(move) | {"show": "1"})
    text = page.content.decode()
    assert "B joins A; 2.0.0" in text
    assert f'name="reason-{question.key}"' in text
    assert not move.animals[0].stays.exists()


def test_the_page_keeps_what_was_typed_and_takes_the_reason(signed_in):
    move, question = rivals()
    browser = signed_in("registry.place_animal")
    sent = typed(move) | {"do": "1", f"reason-{question.key}": "  "}
    page = browser.post(reverse("move-add"), sent)
    assert "Write a reason" in page.content.decode()
    assert page.context["form"]["animals"].value() == "B"
    sent[f"reason-{question.key}"] = "For a <b>day</b>."
    assert browser.post(reverse("move-add"), sent).status_code == 302
    assert Answer.objects.get().reason == "For a <b>day</b>."


def test_the_page_enters_a_breach_only_for_whoever_may(signed_in):
    move = crossing()
    reasons = {f"reason-{o.key}": "x" for o in objections(move)}
    sent = (
        typed(move) | reasons | {"do": "1", "breach": "1", "breach-who": "Ann", "breach-why": "x"}
    )
    page = signed_in("registry.place_animal").post(reverse("move-add"), sent)
    assert page.status_code == 200
    assert not Breach.objects.exists()
    browser = signed_in("registry.place_animal", "registry.enter_breach")
    assert "It happened anyway" in browser.post(reverse("move-add"), typed(move)).content.decode()
    assert browser.post(reverse("move-add"), sent).status_code == 302
    assert Breach.objects.get().who == "Ann"


def test_a_breach_says_who_and_why(signed_in):
    sent = typed(crossing()) | {"do": "1", "breach": "1", "breach-who": "", "breach-why": ""}
    browser = signed_in("registry.place_animal", "registry.enter_breach")
    text = browser.post(reverse("move-add"), sent).content.decode()
    assert "Write who it was." in text
    assert "Write why it happened." in text
    assert not Breach.objects.exists()


def test_the_administration_asks_and_takes_the_reason_once_it_was_shown(client):
    client.force_login(make.user(superuser=True, staff=True))
    move, question = rivals()
    address = reverse("admin:registry_stay_add")
    page = client.post(address, typed(move) | {"reason": "Given unseen."})
    assert page.status_code == 200
    assert not move.animals[0].stays.exists()
    form = page.context["adminform"].form
    sent = typed(move) | {"reason": "For a day.", "shown": form["shown"].value()}
    assert client.post(address, sent).status_code == 302
    assert Answer.objects.get().message == question.message


def test_the_administration_refuses_a_stop_but_as_a_breach(client):
    client.force_login(make.user(superuser=True, staff=True))
    move, address = crossing(), reverse("admin:registry_stay_add")
    sent = typed(move) | {"reason": "Please."}
    assert client.post(address, sent).status_code == 200
    assert not Breach.objects.exists()
    sent |= {"breach_who": "Ann", "breach_why": "No other tank."}
    assert client.post(address, sent).status_code == 302
    assert Breach.objects.get().who == "Ann"
