"""Choosing a mate and joining two animals, as a keeper meets it."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from registry.models import Answer, Breach, Pairing, Stay
from registry.objections import Objection
from registry.pairing import Match, objections
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def keeper(client):
    """Sign in somebody who may join pairs and move animals."""
    client.force_login(make.user(rights=["registry.join_pair", "registry.place_animal"]))
    return client


@pytest.fixture
def pair(settings):
    """A male and a female that were cleared long ago; only the register's rules are asked."""
    settings.PLACEMENT_RULES = [r for r in settings.PLACEMENT_RULES if r.startswith("registry.")]
    settings.PAIRING_RULES = settings.PLACEMENT_RULES
    settings.STANDINGS = "tests.registry.test_pairing_pages.all_cleared"
    return make.animal("M-1", sex="male"), make.animal("F-1", sex="female")


class Cleared:
    """A standing that says cleared."""

    state = "cleared"

    def __str__(self):
        return "Cleared"


def all_cleared(animals, on):
    """Stand in for quarantine: everybody is cleared."""
    return {a.pk: Cleared() for a in animals}


def data(first, second, **more):
    """Return a filled form."""
    return {"first": first.pk, "second": second.pk, "day": timezone.localdate(), **more}


def test_the_mates_of_an_animal_are_ranked_in_a_table(keeper, pair):
    """Each candidate is a row with its figures, standing and a way to join."""
    page = keeper.get(reverse("pairing-mates", args=[pair[0].pk])).content.decode()
    assert "F-1" in page
    assert "unrelated" in page
    assert "Cleared" in page
    assert f"first={pair[0].pk}&amp;second={pair[1].pk}" in page


@pytest.mark.parametrize(
    ("query", "there"),
    [
        ("", True),
        ("sex=strong", True),
        ("most=0", True),
        ("cleared=on", True),
        ("open_only=on", True),
        ("source_code=C", False),
        ("most=nonsense", True),
        ("unit=999999", True),
    ],
)
def test_candidates_are_narrowed(keeper, pair, query, there):
    """A filter leaves out whom it should, and nonsense in it loses nobody."""
    page = keeper.get(reverse("pairing-mates", args=[pair[0].pk]) + f"?{query}").content.decode()
    assert (f"second={pair[1].pk}" in page) is there


def test_a_pair_is_planned_and_then_joined(keeper, pair):
    """Planning moves nobody; joining moves both."""
    keeper.post(reverse("pairing-join"), data(*pair, join=1))
    planned = Pairing.objects.get()
    assert planned.state(timezone.localdate()) == "planned"
    assert not Stay.objects.exists()
    tank = make.enclosure("T-1")
    answer = keeper.post(
        reverse("pairing-begin", args=[planned.pk]),
        {"day": timezone.localdate(), "enclosure": tank.pk, "join": 1},
    )
    assert answer.status_code == 302
    planned.refresh_from_db()
    assert planned.state(timezone.localdate()) == "active"
    assert {s.enclosure for s in Stay.objects.all()} == {tank}


def test_who_is_there_already_stays(keeper, pair):
    """Only the other one moves."""
    tank = make.enclosure("T-1")
    before = make.stay(pair[0], tank)
    keeper.post(reverse("pairing-join"), data(*pair, enclosure=tank.pk, join=1))
    before.refresh_from_db()
    assert before.end is None
    assert Stay.objects.count() == 2


def test_looking_changes_nothing(keeper, pair):
    """The first button only shows what stands against it."""
    tank = make.enclosure("T-1")
    keeper.post(reverse("pairing-join"), data(*pair, enclosure=tank.pk, show=1))
    assert not Pairing.objects.exists()
    assert not Stay.objects.exists()


def related(pair):
    """Return a daughter of the pair: to join her with her sire is an ask."""
    clutch = make.clutch(found_on=date(2023, 1, 1))
    make.parent(clutch, "sire", pair[0])
    make.parent(clutch, "dam", pair[1])
    return make.young(clutch, "DA", locality=pair[0].locality, sex="female")


def test_an_ask_wants_a_reason_and_keeps_it(keeper, pair):
    """Without one nothing is saved and the question is shown; with one it is kept."""
    daughter = related(pair)
    answer = keeper.post(reverse("pairing-join"), data(pair[0], daughter, join=1))
    assert answer.status_code == 200
    assert "nothing was changed" in answer.content.decode()
    assert not Pairing.objects.exists()
    found = objections(Match(day=timezone.localdate(), first=pair[0], second=daughter))
    reasons = {f"reason-{o.key}": "The last two of the line <b>" for o in found if o.is_ask}
    assert reasons
    keeper.post(reverse("pairing-join"), data(pair[0], daughter, join=1, **reasons))
    assert {a.reason for a in Answer.objects.all()} == {"The last two of the line <b>"}
    page = keeper.get(reverse("pairing-show", args=[Pairing.objects.get().pk])).content.decode()
    assert "The last two of the line &lt;b&gt;" in page


def never(proposal):
    """Nobody is ever placed."""
    yield Objection(level="stop", message="Never.", animals=proposal.animals)


def test_a_stop_cannot_be_waved_through(keeper, pair, settings):
    """Not with reasons, and not as a breach without the right to enter one."""
    settings.PLACEMENT_RULES = ["tests.registry.test_pairing_pages.never"]
    tank = make.enclosure("T-1")
    told = {"breach": 1, "breach-who": "I", "breach-why": "I wanted to"}
    answer = keeper.post(reverse("pairing-join"), data(*pair, enclosure=tank.pk, join=1, **told))
    assert "This is stopped; nothing was changed." in answer.content.decode()
    assert not Stay.objects.exists()


def test_what_happened_anyway_is_a_breach_that_names_both(client, pair, settings):
    """With the right to enter it, the stay is made and the breach says who and why."""
    settings.PLACEMENT_RULES = ["tests.registry.test_pairing_pages.never"]
    client.force_login(make.user(rights=["registry.join_pair", "registry.enter_breach"]))
    tank = make.enclosure("T-1")
    told = {"breach": 1, "breach-who": "A helper", "breach-why": "Mistook the tank"}
    client.post(reverse("pairing-join"), data(*pair, enclosure=tank.pk, join=1, **told))
    breach = Breach.objects.first()
    assert (breach.who, breach.why) == ("A helper", "Mistook the tank")
    assert set(breach.animals.all()) == set(pair)


def test_two_cannot_be_joined_twice(keeper, pair):
    """A pair that runs is ended before it is joined again."""
    tank = make.enclosure("T-1")
    keeper.post(reverse("pairing-join"), data(*pair, enclosure=tank.pk, join=1))
    answer = keeper.post(reverse("pairing-join"), data(*pair, enclosure=tank.pk, join=1))
    assert "are a pair already" in answer.content.decode()
    assert Pairing.objects.count() == 1


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"day": "yesterday"}, "Give a day"),
        ({"day": "1812-01-01"}, "not on record here"),
        ({"day": timezone.localdate() + timedelta(days=800)}, "at most a year ahead"),
        ({"enclosure": 999999}, "valid choice"),
        ({"second": ""}, "required"),
        ({"first": "<script>"}, "valid choice"),
    ],
)
def test_nonsense_is_answered_beside_the_field(keeper, pair, more, sentence):
    """Nothing is saved, and the form says what to change."""
    answer = keeper.post(reverse("pairing-join"), data(*pair, join=1) | more)
    assert answer.status_code == 200
    assert sentence in answer.content.decode()
    assert not Pairing.objects.exists()


def test_an_animal_is_not_its_own_mate(keeper, pair):
    """The form says that a pair is two animals."""
    answer = keeper.post(reverse("pairing-join"), data(pair[0], pair[0], join=1))
    assert "two different animals" in answer.content.decode()


def test_the_dead_are_not_joined(keeper, pair):
    """A dead animal is stopped, and that is no breach either."""
    make.departure(pair[1], kind="death", day=date(2026, 3, 1))
    answer = keeper.post(reverse("pairing-join"), data(*pair, join=1))
    assert "died on 1 Mar 2026" in answer.content.decode()
    assert not Pairing.objects.exists()


def test_joining_asks_for_the_right(client, pair):
    """Somebody without it is refused."""
    client.force_login(make.user())
    assert client.get(reverse("pairing-join")).status_code == 403


def test_a_pairing_ends_with_a_reason(keeper, pair):
    """Not in the future, not before it began."""
    keeper.post(reverse("pairing-join"), data(*pair, join=1))
    pairing = Pairing.objects.get()
    where = reverse("pairing-end", args=[pairing.pk])
    tomorrow = timezone.localdate() + timedelta(days=1)
    assert (
        "not in the future"
        in keeper.post(where, {"day": tomorrow, "why": "fights"}).content.decode()
    )
    before = timezone.localdate() - timedelta(days=1)
    assert (
        "before it began" in keeper.post(where, {"day": before, "why": "fights"}).content.decode()
    )
    keeper.post(where, {"day": timezone.localdate(), "why": "They fought."})
    pairing.refresh_from_db()
    assert pairing.ended_why == "They fought."


def test_the_list_says_what_stands_against_a_pair(keeper, pair):
    """A pair that proves to be two males shows it by itself."""
    keeper.post(reverse("pairing-join"), data(*pair, join=1))
    make.finding(pair[1], sex="male", basis="calling", day=date(2026, 3, 2))
    page = keeper.get(reverse("pairing-list")).content.decode()
    assert "M-1 x F-1" in page
    assert "planned" in page


def test_many_candidates_come_on_pages_the_best_on_the_first(keeper, monkeypatch):
    monkeypatch.setattr("registry.views.pairings.AT_ONCE", 2)
    frog = make.animal("Chooser", sex="male", cleared=True)
    for n in range(3):
        make.animal(f"Mate-{n}", sex="female", cleared=True)
    at = reverse("pairing-mates", args=[frog.pk])
    first, last = (keeper.get(f"{at}?page={n}").content.decode() for n in (1, 2))
    assert "3 candidates" in first
    assert "3 candidates" in last
    assert "Mate-0" in first
    assert "Mate-1" in first
    assert "Mate-2" not in first
    assert "Mate-2" in last
    assert "Mate-1" not in last
