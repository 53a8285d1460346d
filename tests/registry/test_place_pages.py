"""Enclosures, units, taxa, localities and parties: their lists, and entering and changing them."""

import pytest
from django.contrib.admin.models import LogEntry
from django.urls import reverse

from registry.models import Enclosure, Holding, Locality, Party, Taxon, Unit
from tests import make

pytestmark = pytest.mark.django_db
HUGE = "x" * 100_000


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


def errors(answer):
    """Return every error on a page, in one text."""
    form = answer.context["form"]
    return " ".join(text for said in form.errors.values() for text in said)


def test_an_enclosure_shows_who_is_in_it_as_males_females_and_unsexed(keeper):
    tank = make.enclosure("E10", room_for=4)
    for code, sex in (("M", "male"), ("F", "female"), ("G", "female"), ("U", None)):
        make.stay(make.animal(code, sex=sex), tank)
    clutch = make.clutch("K1", enclosure=tank)
    make.stay(clutch, tank, start=make.DAY)
    text = keeper.get(reverse("enclosure-show", args=[tank.pk])).content.decode()
    assert "1.2.1 Dendrobates tinctorius" in text
    assert "clutch K1" in text
    listed = keeper.get(reverse("enclosure-list")).content.decode()
    assert "1.2.1" in listed
    assert "full" in listed


def test_many_enclosures_come_on_pages_each_under_its_unit(keeper, monkeypatch):
    monkeypatch.setattr("registry.views.enclosures.AT_ONCE", 3)
    for name, codes in (("Room 1", ("A1", "A2")), ("Room 2", ("B1", "B2")), ("Room 3", ())):
        unit = make.unit(name)
        for code in codes:
            make.enclosure(code, unit=unit)
    shown = []
    for number in (1, 2):
        page = keeper.get(reverse("enclosure-list"), {"page": number})
        for unit, some in page.context["units"]:
            shown.append((number, unit.name, [one.enclosure.code for one in some]))
        assert f"Page {number} of 2" in page.content.decode()
    assert shown == [
        (1, "Room 1", ["A1", "A2"]),
        (1, "Room 2", ["B1"]),
        (2, "Room 2", ["B2"]),
        (2, "Room 3", []),
    ]


def test_an_enclosure_shows_what_stands_against_it_and_the_reason_once_given(keeper):
    tank = make.enclosure("E10")
    a, b = make.animal("A", sex="male"), make.animal("B", sex="male")
    make.stay(a, tank)
    make.stay(b, make.enclosure("E11"))
    address = reverse("enclosure-show", args=[tank.pk])
    sent = {"animals": "B", "enclosure": tank.pk, "day": "2026-03-02", "do": "1"}
    asked = keeper.post(reverse("move-add"), sent).context["objections"]
    reasons = {f"reason-{o.key}": "Until the new tank is dry." for o in asked}
    assert keeper.post(reverse("move-add"), sent | reasons).status_code == 302
    text = keeper.get(address).content.decode()
    assert "2 males, where Dendrobates tinctorius lives as a pair" in text
    assert "Until the new tank is dry." in text
    today = keeper.get(reverse("today")).content.decode()
    assert "2 males" not in today


def test_what_is_unanswered_stands_on_today(keeper):
    tank = make.enclosure("E10")
    make.stay(make.animal("A", sex="male"), tank)
    make.stay(make.animal("B", sex="male"), tank)
    text = keeper.get(reverse("today")).content.decode()
    assert "E10: A and B: 2 males, where Dendrobates tinctorius lives as a pair." in text


def test_the_word_on_a_label_leads_to_its_enclosure(keeper):
    tank = make.enclosure()
    answer = keeper.get(reverse("enclosure-label", args=[tank.token]))
    assert answer["Location"] == reverse("enclosure-show", args=[tank.pk])
    assert keeper.get(reverse("enclosure-label", args=["guessed"])).status_code == 404


def enclosure(**more):
    return {"unit": make.unit().pk, "code": "E1", "kind": "tank", "room_for": "4"} | more


def test_an_enclosure_is_entered_and_changed(keeper):
    assert keeper.post(reverse("enclosure-add"), enclosure()).status_code == 302
    made = Enclosure.objects.get()
    sent = enclosure(code="E1b", room_for="6")
    assert keeper.post(reverse("enclosure-edit", args=[made.pk]), sent).status_code == 302
    made.refresh_from_db()
    assert (made.code, made.room_for) == ("E1b", 6)
    assert LogEntry.objects.first().change_message == "Changed: Code, Room for how many."


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"code": "e9"}, "in use already"),
        ({"code": "=E1"}, "cannot be a code"),
        ({"code": HUGE}, "at most 40 characters"),
        ({"code": ""}, "required"),
        ({"unit": "9999"}, "valid choice"),
        ({"room_for": "-1"}, "greater than or equal to 0"),
        ({"room_for": "999999"}, "less than or equal to"),
        ({"note": HUGE}, "at most 2000 characters"),
        ({"retired_on": "2099-01-01"}, "still to come"),
    ],
)
def test_an_enclosure_that_cannot_be_is_refused(keeper, told, said):
    make.enclosure("E9")
    assert said in errors(keeper.post(reverse("enclosure-add"), enclosure(**told)))
    assert Enclosure.objects.count() == 1


@pytest.mark.parametrize(("day", "allowed"), [("2026-03-01", False), ("2026-03-02", True)])
def test_an_enclosure_is_retired_once_nobody_is_in_it(keeper, day, allowed):
    tank = make.enclosure("E1")
    make.stay(make.animal("D-01"), tank, end=make.DAY)
    sent = enclosure(retired_on=day)
    answer = keeper.post(reverse("enclosure-edit", args=[tank.pk]), sent)
    assert (answer.status_code == 302) is allowed
    if not allowed:
        assert "D-01 is in it; move everybody out first." in errors(answer)


def test_premises_and_units_are_entered(keeper):
    party = make.party("Ann")
    assert keeper.post(
        reverse("holding-add"), {"name": "Lantern Row", "party": party.pk}
    ).status_code == 302  # fmt: skip
    holding = Holding.objects.get()
    sent = {"holding": holding.pk, "name": "Room 1", "role": "resident"}
    assert keeper.post(reverse("unit-add"), sent).status_code == 302
    assert "already exists" in errors(keeper.post(reverse("unit-add"), sent))
    assert Unit.objects.count() == 1


def test_a_premises_without_a_party_or_a_name_is_refused(keeper):
    assert "required" in errors(keeper.post(reverse("holding-add"), {"name": "", "party": ""}))


def taxon(**more):
    return {
        "name": "Mantella aurantiaca", "animal_class": "frog", "grouping": "group",
        "hatch_min": "2", "hatch_max": "6", "mature_days": "300", "stored_sperm_days": "0",
    } | more  # fmt: skip


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"name": "dendrobates  TINCTORIUS"}, "is on record already"),
        ({"name": ""}, "required"),
        ({"hatch_min": "9"}, "least days to hatching exceed the most"),
        ({"metamorphosis_min": "60"}, "both the least and the most days"),
        ({"metamorphosis_min": "80", "metamorphosis_max": "60"}, "least days do not exceed"),
        ({"mature_days": "-1"}, "greater than or equal to 0"),
        ({"mature_days": "99999"}, "less than or equal to 30000"),
        ({"note": HUGE}, "at most 4000 characters"),
    ],
)
def test_a_taxon_that_cannot_be_is_refused(keeper, told, said):
    make.taxon()
    assert said in errors(keeper.post(reverse("taxon-add"), taxon(**told)))
    assert Taxon.objects.count() == 1


def test_a_taxon_and_its_localities_are_entered_and_listed(keeper):
    assert keeper.post(reverse("taxon-add"), taxon()).status_code == 302
    one = Taxon.objects.get()
    sent = {"taxon": one.pk, "name": "Tsarafotsy", "country": "mg", "precision": "area"}
    assert keeper.post(reverse("locality-add"), sent).status_code == 302
    assert Locality.objects.get().country == "MG"
    assert "already exists" in errors(keeper.post(reverse("locality-add"), sent))
    mixed = sent | {"name": "Mixed A x B"}
    assert "made by itself" in errors(keeper.post(reverse("locality-add"), mixed))
    country = sent | {"name": "B", "country": "1X"}
    assert "two capital letters" in errors(keeper.post(reverse("locality-add"), country))
    assert "Tsarafotsy" in keeper.get(reverse("taxon-list")).content.decode()


def test_a_locality_with_animals_stays_with_its_taxon(keeper):
    place = make.locality()
    make.animal(locality=place)
    other = make.taxon("Mantella aurantiaca")
    sent = {"taxon": other.pk, "name": place.name, "country": "", "precision": "trade"}
    answer = keeper.post(reverse("locality-edit", args=[place.pk]), sent)
    assert "stays with its taxon" in errors(answer)


def test_a_party_is_entered_found_and_shown_with_what_went_to_it(keeper):
    sent = {"name": "Bea's frogs", "kind": "dealer", "country": "de", "registration": "R-77"}
    assert keeper.post(reverse("party-add"), sent).status_code == 302
    party = Party.objects.get(name="Bea's frogs")
    make.departure(make.animal("D-01"), receiver=party, held=True)
    text = keeper.get(reverse("party-show", args=[party.pk])).content.decode()
    assert "D-01" in text
    assert "held" in text
    assert "Bea&#x27;s frogs" in keeper.get(reverse("party-list"), {"q": "r-77"}).content.decode()
    again = sent | {"name": "BEA'S  frogs"}
    assert "is on record already" in errors(keeper.post(reverse("party-add"), again))


@pytest.mark.parametrize(
    ("told", "said"),
    [({"name": ""}, "required"), ({"name": HUGE}, "at most 200"), ({"email": "x"}, "valid email")],
)
def test_a_party_that_cannot_be_is_refused(keeper, told, said):
    sent = {"name": "Bea", "kind": "dealer"} | told
    assert said in errors(keeper.post(reverse("party-add"), sent))
    assert not Party.objects.exists()
