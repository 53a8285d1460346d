"""The daily acts from an enclosure: who, what it will do, saved; nonsense changes nothing."""

import pytest
from django.urls import reverse
from django.utils import timezone

from registry.models import Clutch, Departure, OneOfThese, SexFinding, StageCount, Stay
from registry.one_of_these import Among, enter_one_of_these
from tests import make

pytestmark = pytest.mark.django_db


def today():
    """Return today as a form takes it."""
    return timezone.localdate()


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user("keeper", superuser=True))
    return client


@pytest.fixture
def tank():
    """An enclosure with three frogs that nobody tells apart."""
    kind = make.taxon("Epipedobates anthonyi", grouping="group")
    place = make.enclosure("E10")
    for code in ("A", "B", "C"):
        make.stay(make.animal(code, taxon=kind), place)
    return place


def frogs(tank):
    """Return who is in it by code."""
    return {s.animal.code: s.animal for s in Stay.objects.filter(enclosure=tank)}


def happened(tank, what, who=""):
    """Return the address of an act, with whom it is about."""
    address = reverse("enclosure-happened", args=[tank.pk, what])
    return f"{address}?who={who}" if who else address


def one_of(tank):
    """Return how the page names that it was one of those of a taxon."""
    return f"one-{next(iter(frogs(tank).values())).taxon_id}"


def seen(page):
    """Return what a page shows before it is done, as its form sends it back."""
    return {"shown": "1", "seen": [o.key for o in page.context["objections"]]}


def test_which_one_is_asked_first_and_one_of_these_is_a_choice(keeper, tank):
    page = keeper.get(happened(tank, "death")).content.decode()
    assert "One of these" in page
    assert "A, B, C: not told which" in page


def test_of_one_alone_nothing_is_asked(keeper):
    alone, place = make.animal("A"), make.enclosure()
    make.stay(alone, place)
    page = keeper.get(happened(place, "death"))
    assert page.context["chosen"] == (alone,)
    assert "Enter that it died" in page.content.decode()


def test_one_of_these_is_saved_with_what_was_shown(keeper, tank):
    address = happened(tank, "death", one_of(tank))
    page = keeper.get(address)
    assert "One fewer is counted in E10" in page.content.decode()
    sent = {"animals": [a.pk for a in frogs(tank).values()], "day": today()}
    answer = keeper.post(address, sent | seen(page), follow=True)
    event = OneOfThese.objects.get()
    assert [a.code for a in event.among()] == ["A", "B", "C"]
    assert event.entered_by.username == "keeper"
    shown = answer.content.decode()
    assert "0.0.2 Epipedobates anthonyi" in shown
    assert "Each is here, unless it was the one." in shown
    assert (
        "unless it was the one"
        in keeper.get(reverse("animal-show", args=[frogs(tank)["A"].pk])).content.decode()
    )
    assert "Which one?" in keeper.get(reverse("today")).content.decode()


def test_what_was_not_shown_is_shown_before_it_is_saved(keeper, tank):
    """Narrowed to one that left later, or on a day ahead of the frogs: nothing is saved unseen."""
    address = happened(tank, "death", frogs(tank)["A"].pk)
    page = keeper.get(address)
    frogs(tank)["A"].observations.create(kind="ate", start=today())
    sent = {"day": make.DAY} | seen(page)
    asked = keeper.post(address, sent)
    assert asked.status_code == 200
    assert any("later entries" in o.message for o in asked.context["objections"])
    assert not Departure.objects.exists()
    reasons = {f"reason-{o.key}": "Found it dead." for o in asked.context["objections"]}
    assert keeper.post(address, sent | seen(asked) | reasons).status_code == 302
    assert Departure.objects.get().day == make.DAY


def test_sold_to_one_of_the_last_receivers_is_one_tap(keeper, tank):
    buyer = make.party("Juniper Hallorane")
    make.departure(make.animal("Z"), receiver=buyer)
    address = happened(tank, "sale", frogs(tank)["B"].pk)
    page = keeper.get(address)
    assert "To Juniper Hallorane" in page.content.decode()
    sent = {"day": today(), "to": buyer.pk, "receiver": ""} | seen(page)
    assert keeper.post(address, sent).status_code == 302
    went = Departure.objects.get(animal__code="B")
    assert (went.kind, went.receiver, went.day) == ("sale", buyer, today())


def test_whoever_keeps_premises_here_is_offered_no_sale(keeper, tank):
    """To them animals go by a move between premises; the last other receiver is offered."""
    buyer = make.party("Juniper Hallorane")
    make.departure(make.animal("Y"), receiver=buyer)
    make.departure(make.animal("Z"), receiver=make.holding("Far Loft").party, day=today())
    page = keeper.get(happened(tank, "sale", frogs(tank)["B"].pk))
    assert page.context["receivers"] == [buyer]
    assert not any(o.is_stop for o in page.context["objections"])


def test_sold_to_nobody_is_refused(keeper, tank):
    address = happened(tank, "sale", one_of(tank))
    sent = {"day": today(), "animals": [a.pk for a in frogs(tank).values()], "shown": "1"}
    page = keeper.post(address, sent)
    assert "Name who received A, B or C" in page.content.decode()
    assert not OneOfThese.objects.exists()


@pytest.mark.parametrize("to", ["x", "0", "99999999999999999999999"])
def test_a_receiver_nobody_knows_is_refused(keeper, tank, to):
    page = keeper.post(happened(tank, "sale", frogs(tank)["A"].pk), {"day": today(), "to": to})
    assert page.status_code == 200
    assert "valid choice" in str(page.context["form"].errors)
    assert not Departure.objects.exists()


def test_the_caller_is_one_of_those_who_may_call(keeper, tank):
    make.finding(frogs(tank)["A"], sex="female", basis="dna")
    page = keeper.get(happened(tank, "calling", one_of(tank)))
    assert [a.code for a in page.context["chosen"]] == ["B", "C"]
    sent = {"day": today(), "animals": [a.pk for a in page.context["chosen"]]}
    keeper.post(happened(tank, "calling", one_of(tank)), sent | seen(page))
    event = OneOfThese.objects.get()
    settle = reverse("one-of-settle", args=[event.pk])
    page = keeper.get(settle, {"animal": frogs(tank)["B"].pk})
    keeper.post(settle, {"animal": frogs(tank)["B"].pk} | seen(page))
    assert SexFinding.objects.get(animal__code="B").one_of == event


def test_settled_otherwise_and_opened_again_on_its_page(keeper, tank):
    among = tuple(frogs(tank).values())
    told = Among(enclosure=tank, what="death", day=today(), animals=among)
    event = enter_one_of_these(told, by=None)
    settle = reverse("one-of-settle", args=[event.pk])
    for code, why in (("A", {}), ("B", {"why": "A is alive."})):
        sent = {"animal": frogs(tank)[code].pk} | why
        page = keeper.post(settle, sent)
        if page.status_code == 200:
            assert keeper.post(settle, sent | seen(page)).status_code == 302
        assert event.settlement().animal.code == code
    again = reverse("one-of-open", args=[event.pk])
    assert "B is where it was before" in keeper.get(again).content.decode()
    page = keeper.post(again, {"why": "B too."})
    assert event.settlement().animal.code == "B", "what it brings is shown before it is done"
    keeper.post(again, {"why": "B too."} | seen(page))
    assert event.settlement() is None
    keeper.post(reverse("one-of-let-be", args=[event.pk]), {"why": "Brothers.", "day": today()})
    assert "Left open" in keeper.get(reverse("one-of-show", args=[event.pk])).content.decode()
    assert "Which one?" not in keeper.get(reverse("today")).content.decode()


@pytest.mark.parametrize("who", ["0", "99999999999999999999", "one-", "one-x", "-1", "'"])
def test_nonsense_in_the_address_asks_again_who_it_was(keeper, tank, who):
    page = keeper.get(happened(tank, "death", who))
    assert page.status_code == 200
    assert "Who died" in page.content.decode()


@pytest.mark.parametrize("what", ["gift", "birth", "x"])
def test_another_act_is_not_entered_here(keeper, tank, what):
    assert keeper.get(happened(tank, what)).status_code == 404


@pytest.mark.parametrize(
    "sent",
    [
        {"day": "2099-01-01"},
        {"day": "nonsense"},
        {"animals": ["x"]},
        {"animals": []},
        {"animals": ["99999999"]},
        {"animals": ["99999999999999999999999"]},
        {"note": "x" * 401},
    ],
)
def test_nonsense_saves_nothing_and_keeps_what_was_typed(keeper, tank, sent):
    address = happened(tank, "death", one_of(tank))
    base = {"day": today(), "animals": [a.pk for a in frogs(tank).values()], "cause": "=1+1"}
    page = keeper.post(address, base | {"shown": "1"} | sent)
    assert page.status_code == 200
    assert page.context["form"]["cause"].value() == "=1+1"
    assert page.context["form"].errors
    assert not OneOfThese.objects.exists()


@pytest.mark.parametrize("what", ["death", "sale", "calling", "laid"])
def test_an_act_needs_its_right(client, tank, what):
    client.force_login(make.user())
    assert client.get(happened(tank, what)).status_code == 403


def test_moved_to_a_place_with_nothing_against_it_is_done_at_once(keeper, tank):
    empty = make.enclosure("E11")
    address = f"{reverse('enclosure-move', args=[tank.pk])}?who=all"
    page = keeper.get(address)
    assert "nothing stands against it" in page.content.decode()
    assert keeper.post(address, {"into": empty.pk, "shown": "1"}).status_code == 302
    assert Stay.objects.current().filter(enclosure=empty, end__isnull=True).count() == 3


def test_moved_to_a_place_with_a_question_it_is_shown_first(keeper, tank):
    small = make.enclosure("E11", room_for=2)
    address = f"{reverse('enclosure-move', args=[tank.pk])}?who=all"
    page = keeper.get(address)
    assert "E11 has room for 2; 3 would be in it." in page.content.decode()
    keys = [o.key for _, found in page.context["offers"] for o in found]
    sent = {"into": small.pk, "shown": "1", "seen": keys}
    asked = keeper.post(address, sent, follow=True)
    assert any("has room for 2" in o.message for o in asked.context["objections"])
    assert not Stay.objects.filter(enclosure=small).exists()


def test_hatched_goes_to_the_one_clutch_or_asks_which(keeper, tank):
    address = reverse("enclosure-hatched", args=[tank.pk])
    assert "No clutch stands" in keeper.get(address).content.decode()
    for code in ("K1", "K2"):
        made = make.clutch(code, enclosure=tank, found_on=make.DAY)
        make.stay(made, make.enclosure(), start=make.DAY)
        StageCount.objects.create(clutch=made, stage="laid", day=make.DAY, count=6)
        answer = keeper.get(address)
        assert answer.status_code == (302 if code == "K1" else 200)


def test_laid_shows_its_parents_at_once_and_is_saved_with_the_count(keeper, tank):
    address = reverse("clutch-add", args=[tank.pk]) + "?found_as=laid"
    page = keeper.get(address)
    assert page.context["shown"]
    assert "What this will do" in page.content.decode()
    first = {k: getattr(v, "pk", v) for k, v in page.context["form"].initial.items() if v}
    sent = first | {"count": "5", "do": "1", "laid_precision": "day"} | seen(page)
    assert keeper.post(address, sent).status_code == 302
    assert Clutch.objects.get().stages.get().count == 5
