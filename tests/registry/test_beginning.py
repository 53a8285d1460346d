"""From an empty register to one in use, through the forms and in the order they are offered."""

import pytest
from django.contrib.admin.models import LogEntry
from django.urls import reverse
from django.utils import timezone

from registry.beginning import beginning
from registry.models import Animal, Enclosure, Holding, Taxon, Unit
from registry.species import SHIPPED, taxon_of
from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    """Return whoever has just made the register their own."""
    return make.user("owner", superuser=True)


@pytest.fixture
def keeper(client, owner):
    """Return a browser in which they have signed in."""
    client.force_login(owner)
    return client


def next_step(owner):
    """Return the title of the step that comes next."""
    step = beginning(timezone.localdate(), owner).next
    return step and step.title


def test_an_empty_register_opens_on_the_first_step(keeper, owner):
    page = keeper.get(reverse("today"))
    assert "Begin the register" in page.text
    assert "0 of 6 steps done" in page.text
    assert next_step(owner) == "Premises"


def test_a_reader_sees_the_steps_and_no_button(client):
    client.force_login(make.user())
    page = client.get(reverse("today"))
    assert "Somebody with the right to it takes this step." in page.text
    assert reverse("begin-premises") not in page.text
    assert client.get(reverse("begin-premises")).status_code == 403


def test_a_keeper_comes_from_nothing_to_thirty_animals_through_the_forms(keeper, owner):
    told = {"name": "Lantern Row", "keeper": "Ann Keeper", "country": "nl"}
    keeper.post(reverse("begin-premises"), told)
    assert Holding.objects.get().party.country == "NL"
    assert Holding.objects.get().keepers.get() == owner
    assert next_step(owner) == "Species"

    keeper.post(reverse("begin-species"), {"species": ["Epipedobates anthonyi"]})
    assert Taxon.objects.get().metamorphosis_max == 75
    assert next_step(owner) == "Units"

    form = keeper.get(reverse("begin-units")).context["forms"]
    first = {one.add_prefix(n): v for one in form for n, v in one.initial.items() if n != "holding"}
    first |= {one.add_prefix("holding"): Holding.objects.get().pk for one in form}
    keeper.post(reverse("begin-units"), first | {"form-TOTAL_FORMS": 3, "form-INITIAL_FORMS": 0})
    assert set(Unit.objects.values_list("name", "role")) == {
        ("Room 1", "resident"), ("Quarantine", "quarantine"),
    }  # fmt: skip
    assert next_step(owner) == "Enclosures"

    room = Unit.objects.get(name="Room 1").pk
    told = {"unit": room, "pattern": "E##", "count": 10, "kind": "tank", "room_for": 4}
    keeper.post(reverse("enclosures-add"), told)
    assert list(Enclosure.objects.values_list("code", flat=True))[::9] == ["E01", "E10"]
    assert next_step(owner) == "Opening stock"

    rows = "".join(f"A-{n:02};Epipedobates anthonyi;E{n % 10 + 1:02}\n" for n in range(30))
    told = {"day": timezone.localdate(), "holding": Holding.objects.get().pk}
    page = keeper.post(reverse("stock-open"), told | {"text": f"code;species;enclosure\n{rows}"})
    assert "30 animals, and nothing stands against the rows" in page.text
    sent = {cell.id: cell.text for row in page.context["rows"] for cell in row.cells}
    done = keeper.post(
        reverse("stock-open"),
        told | sent | {"rows": 31, "do": "1", "grounds": "Here for years, tested in May."},
        follow=True,
    )
    assert "30 animals are on record and cleared." in done.text
    assert Animal.objects.here(timezone.localdate()).count() == 30
    assert next_step(owner) is None
    assert "signed by owner on" in done.text
    assert "Begin the register" not in keeper.get(reverse("today")).text


def test_what_is_entered_on_the_way_is_kept_in_the_log(keeper):
    keeper.post(reverse("begin-premises"), {"name": "Room", "keeper": "Ann"})
    keeper.post(reverse("begin-species"), {"species": [SHIPPED[0].name]})
    assert set(LogEntry.objects.values_list("object_repr", flat=True)) == {
        "Room", "Ann", SHIPPED[0].name,
    }  # fmt: skip


NONSENSE = (
    ("begin-premises", {"name": "", "keeper": ""}, "This field is required."),
    ("begin-premises", {"name": "x", "keeper": "y", "country": "NLD"}, "two letters"),
    ("begin-premises", {"name": "lantern row", "keeper": "y"}, "on record already"),
    ("begin-premises", {"name": "x", "keeper": "keeper of lantern row"}, "keeps Lantern Row"),
    ("begin-species", {}, "Choose at least one"),
    ("begin-species", {"species": ["Nessie"]}, "not one of the available choices"),
    ("begin-units", {"form-TOTAL_FORMS": 3, "form-INITIAL_FORMS": 0}, "Name at least one unit."),
    ("begin-units", {}, "Name at least one unit."),
    ("enclosures-add", {"pattern": "E##", "count": 120, "room_for": 1}, "too few #"),
    ("enclosures-add", {"pattern": "E", "count": 2, "room_for": 1}, "one run of #"),
    ("enclosures-add", {"pattern": "E##", "count": 999_999, "room_for": 1}, "less than or equal"),
    ("enclosures-add", {"pattern": "=#", "count": 2, "room_for": 1}, "cannot be a code"),
)


def test_nonsense_is_answered_beside_its_field_and_saves_nothing(keeper):
    unit = make.unit()
    for page, told, said in NONSENSE:
        answer = keeper.post(reverse(page), {"unit": unit.pk} | told)
        assert answer.status_code == 200
        assert said in answer.text
    assert (Taxon.objects.count(), Enclosure.objects.count(), Holding.objects.count()) == (0, 0, 1)


def test_numbers_go_on_from_the_last_and_a_unit_has_its_name_once(keeper):
    unit = make.unit()
    make.enclosure("E07", unit=unit)
    keeper.post(
        reverse("enclosures-add"), {"unit": unit.pk, "pattern": "E##", "count": 2, "room_for": 3}
    )
    assert [e.code for e in Enclosure.objects.all()] == ["E07", "E08", "E09"]
    twice = {"form-TOTAL_FORMS": 2, "form-INITIAL_FORMS": 0}
    for n in (0, 1):
        twice |= {f"form-{n}-name": "Shed", f"form-{n}-role": "resident"}
        twice |= {f"form-{n}-holding": unit.holding_id}
    assert "same name" in keeper.post(reverse("begin-units"), twice).text
    twice |= {"form-1-name": unit.name}
    assert "already exists" in keeper.post(reverse("begin-units"), twice).text
    assert Unit.objects.count() == 1


def test_every_shipped_species_is_one_the_register_takes():
    for species in SHIPPED:
        taxon = taxon_of(species)
        taxon.full_clean()
        taxon.save()
    assert Taxon.objects.count() == len(SHIPPED) == 8
