"""Every page of the register opens, on an empty register and on one in use."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from registry.models import Breach, Mark, Observation, OneOfThese, Paper
from tests import make

pytestmark = pytest.mark.django_db

ALONE = (
    "today", "animal-list", "animal-export", "animal-add", "move-add", "departure-add",
    "enclosure-list", "enclosure-add", "unit-add", "holding-add", "clutch-list", "taxon-list",
    "taxon-add", "locality-add", "party-list", "party-add", "breach-list", "conflict-list",
    "search",
)  # fmt: skip
OF_ANIMAL = (
    "animal-show", "animal-edit", "animal-sex", "animal-observe", "animal-mark", "animal-parents",
    "animal-move", "animal-depart", "animal-missing", "animal-outing",
)  # fmt: skip
OF_ENCLOSURE = (
    "enclosure-show", "enclosure-edit", "enclosure-disinfect", "enclosure-carry", "clutch-add",
    "enclosure-move",
)  # fmt: skip
OF_CLUTCH = (
    "clutch-show", "clutch-parents", "clutch-count", "clutch-lose", "clutch-end", "clutch-separate",
)  # fmt: skip
OF_ONE_OF_THESE = ("one-of-show", "one-of-settle", "one-of-let-be")


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


@pytest.fixture
def register():
    """Return a small register in which everything has happened once."""
    m = make.animal("M-01", sex="male", basis="calling", name="Old one", note="<b>bold</b>")
    f = make.animal("F-01", sex="female", basis="laid", locality=make.locality("Alder Ford"))
    tank, cup = make.enclosure("E10"), make.enclosure("cup 1")
    stay = make.stay(m, tank)
    make.stay(f, tank)
    clutch = make.clutch("K1", enclosure=tank, found_on=date(2025, 6, 1))
    make.stay(clutch, cup, start=date(2025, 6, 1))
    clutch.stages.create(stage="laid", day=date(2025, 6, 1), count=5)
    make.parent(clutch, "sire", m)
    make.parent(clutch, "dam", f)
    young = make.young(clutch, "P-01")
    make.stay(young, tank, start=young.separated_on)
    sign = Observation.objects.create(animal=m, kind="sign", start=make.DAY, text="thin")
    Mark.objects.create(animal=m, kind="ring", value="=1+1", day=make.DAY)
    Paper.objects.create(kind="permit", number="P 7", issuer="Office").animals.add(m)
    make.departure(make.animal("gone"), kind="sale")
    breach = Breach.objects.create(
        stay=stay, rule="x", message="It happened.", why="late", who="Ann",
        entered_at=timezone.now(), entered_by=make.user(),
    )  # fmt: skip
    event = OneOfThese.objects.create(enclosure=tank, what="death", day=make.DAY, note="<b>x</b>")
    event.animals.set([m, f])
    m.sex_findings.first().corrected(by=make.user(), why="A slip.", note="at dusk")
    return {
        "animal": m, "enclosure": tank, "clutch": clutch, "sign": sign, "breach": breach,
        "party": make.party("Somebody"), "young": young, "stay": stay,
        "event": event,
    }  # fmt: skip


@pytest.mark.parametrize("name", ALONE)
def test_a_page_opens_on_an_empty_register(keeper, name):
    assert keeper.get(reverse(name)).status_code == 200


@pytest.mark.parametrize("name", ALONE)
def test_a_page_opens_on_a_register_in_use(keeper, register, name):
    assert keeper.get(reverse(name)).status_code == 200


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        *[("animal", name) for name in OF_ANIMAL],
        *[("young", name) for name in OF_ANIMAL],
        *[("enclosure", name) for name in OF_ENCLOSURE],
        *[("clutch", name) for name in OF_CLUTCH],
        *[("event", name) for name in OF_ONE_OF_THESE],
        ("party", "party-show"),
        ("party", "party-edit"),
        ("sign", "sign-gone"),
        ("breach", "breach-close"),
    ],
)
def test_a_page_of_one_thing_opens_and_shows_no_markup_as_such(keeper, register, kind, name):
    answer = keeper.get(reverse(name, args=[register[kind].pk]))
    assert answer.status_code == 200
    assert b"<b>bold</b>" not in answer.content


@pytest.mark.parametrize("name", ["fact-correct", "fact-withdraw"])
def test_every_entry_in_a_time_line_can_be_corrected_or_is_corrected_elsewhere(
    keeper, register, name
):
    shown = [register["animal"], register["young"], register["clutch"], register["enclosure"]]
    for one in shown:
        page = keeper.get(reverse(f"{one._meta.model_name}-show", args=[one.pk]))
        for entry in page.context.get("entries") or page.context["history"]:
            if entry.correctable:
                answer = keeper.get(reverse(name, args=[entry.kind, entry.fact.pk]), follow=True)
                assert answer.status_code == 200


@pytest.mark.parametrize("name", [*ALONE, *OF_ANIMAL, *OF_ENCLOSURE, *OF_CLUTCH])
def test_nobody_sees_a_page_without_signing_in(client, name):
    args = [] if name in ALONE else [1]
    answer = client.get(reverse(name, args=args))
    assert answer.status_code == 302
    assert reverse("sign-in") in answer["Location"]


ACTS = {
    "animal-export": [], "animal-add": [], "move-add": [], "departure-add": [],
    "enclosure-add": [], "unit-add": [], "taxon-add": [], "locality-add": [], "party-add": [],
    **{name: ["animal"] for name in OF_ANIMAL if name != "animal-show"},
    **{name: ["enclosure"] for name in OF_ENCLOSURE if name != "enclosure-show"},
    **{name: ["clutch"] for name in OF_CLUTCH if name != "clutch-show"},
    **{name: ["event"] for name in OF_ONE_OF_THESE if name != "one-of-show"},
    "breach-close": ["breach"], "sign-gone": ["sign"],
}  # fmt: skip


@pytest.mark.parametrize("name", ACTS)
def test_an_act_needs_its_right(client, register, name):
    client.force_login(make.user())
    keys = [register[kind].pk for kind in ACTS[name]]
    assert client.get(reverse(name, args=keys)).status_code == 403


def test_whoever_has_no_right_sees_no_act_offered(client, register):
    client.force_login(make.user())
    page = client.get(reverse("animal-show", args=[register["animal"].pk])).content.decode()
    assert "/move/" not in page
    assert "/left/" not in page


@pytest.mark.parametrize("on", ["2025-01-01", "nonsense", "", "1800-01-01", "9999-99-99"])
def test_a_list_is_asked_about_any_day_and_bears_nonsense(keeper, register, on):
    assert keeper.get(reverse("animal-list"), {"on": on}).status_code == 200


def test_a_page_of_a_hundred_animals_asks_no_more_than_one_of_ten(
    keeper, django_assert_max_num_queries
):
    tank = make.enclosure()
    for n in range(50):
        animal = make.animal(f"A-{n:03}", sex="male" if n % 2 else None)
        make.stay(animal, tank, start=make.DAY - timedelta(days=n))
    with django_assert_max_num_queries(40):
        keeper.get(reverse("animal-list"))
