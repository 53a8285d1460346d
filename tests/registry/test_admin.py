"""Nothing in the administration pages goes round the doors, overwrites a fact or deletes one."""

from datetime import date

import pytest
from django.contrib import admin
from django.contrib.admin.models import LogEntry
from django.urls import NoReverseMatch, reverse

from registry import models as m
from registry.models import Fact
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
DAY = make.DAY
OURS = [model for model in admin.site._registry if model._meta.app_label == "registry"]
FACTS = [model for model in OURS if issubclass(model, Fact)]
WITH_DOORS = [model for model in FACTS if hasattr(admin.site._registry[model].form, "act")]


def names(models):
    return pytest.mark.parametrize("model", models, ids=lambda model: model._meta.model_name)


@pytest.fixture
def boss(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True, staff=True))
    return client


def address(model, page, *keys):
    return reverse(f"admin:registry_{model._meta.model_name}_{page}", args=keys)


def post(boss, model, **told):
    """Post the form by which a fact is entered; return what it was refused for."""
    answer = boss.post(address(model, "add"), told)
    if answer.status_code == 302:
        return None
    return [e for errors in answer.context["errors"] for e in errors]


def one_of_each():
    """Enter a fact of each kind past the doors."""
    a, b, tank, other = make.animal(), make.animal(), make.enclosure(), make.enclosure()
    clutch = make.clutch()
    return {
        m.Stay: make.stay(a, tank),
        m.Departure: make.departure(b),
        m.Descent: make.parent(clutch, "sire", a),
        m.Pairing: m.Pairing.objects.create(first=a, second=b, planned_on=DAY),
        m.SexFinding: make.finding(a),
        m.Observation: m.Observation.objects.create(animal=a, kind="ate", start=DAY),
        m.Missing: m.Missing.objects.create(animal=a, day=DAY),
        m.Outing: m.Outing.objects.create(animal=a, day=DAY, purpose="x", reason="y"),
        m.Disinfection: m.Disinfection.objects.create(enclosure=tank, day=DAY),
        m.ThingsMoved: m.ThingsMoved.objects.create(source=tank, target=other, day=DAY, what="x"),
        m.ClutchPart: m.ClutchPart.objects.create(mix=make.clutch(), clutch=clutch, day=DAY),
        m.OfClutch: m.OfClutch.objects.create(animal=a, clutch=clutch, basis="dna", day=DAY),
        m.OwnerChange: m.OwnerChange.objects.create(
            animal=a, day=DAY, kind="sale", owner=make.party()
        ),
        m.StageCount: m.StageCount.objects.create(clutch=clutch, stage="laid", day=DAY, count=3),
        m.Loss: m.Loss.objects.create(clutch=clutch, day=DAY, count=1, reason="mould"),
        m.OneOfThese: m.OneOfThese.objects.create(enclosure=tank, what="death", day=DAY),
        m.Mark: m.Mark.objects.create(animal=a, kind="ring", value="7", day=DAY),
        m.Arrival: m.Arrival.objects.first(),
        m.Paper: m.Paper.objects.create(kind="permit", number="7"),
    }


def test_every_fact_of_the_register_is_there():
    assert set(FACTS) == set(one_of_each())


@names(OURS)
def test_every_list_opens(boss, model):
    one_of_each()
    assert boss.get(address(model, "changelist")).status_code == 200
    assert boss.get(address(model, "changelist"), {"q": "A-1"}).status_code == 200


@names(FACTS)
def test_a_fact_is_shown_and_not_written_over(boss, model):
    fact = one_of_each()[model]
    page = boss.get(address(model, "change", fact.pk))
    assert page.status_code == 200
    assert 'name="_save"' not in page.content.decode()
    before = model.objects.filter(pk=fact.pk).values().get()
    assert boss.post(address(model, "change", fact.pk), {"day": "2020-01-01"}).status_code == 403
    assert model.objects.filter(pk=fact.pk).values().get() == before


@names(OURS)
def test_nothing_is_deleted(boss, model):
    one_of_each()
    made = model.objects.first() or make.party()
    try:
        answer = boss.post(address(model, "delete", made.pk), {"post": "yes"})
        assert answer.status_code in {403, 404}
    except NoReverseMatch:
        pass
    sent = {"action": "delete_selected", "_selected_action": [made.pk], "post": "yes"}
    boss.post(address(model, "changelist"), sent)
    assert type(made).objects.filter(pk=made.pk).exists()


@names(FACTS)
def test_a_fact_is_entered_through_its_door_or_not_at_all(boss, model):
    status = boss.get(address(model, "add")).status_code
    assert status == (200 if model in WITH_DOORS else 403)


@names(WITH_DOORS)
def test_entering_needs_the_right_of_the_page(client, model):
    client.force_login(make.user(staff=True, rights=[f"registry.view_{model._meta.model_name}"]))
    assert client.get(address(model, "add")).status_code == 403


@names(WITH_DOORS)
def test_an_empty_form_is_refused_in_words(boss, model):
    before = model.objects.count()
    assert post(boss, model)
    assert model.objects.count() == before


def test_a_departure_goes_through_the_door(boss):
    animal = make.animal("D-01")
    stay = make.stay(animal, make.enclosure())
    assert post(boss, m.Departure, animal="D-01", kind="sale", day="2026-03-02") == [
        "Stop: Name who received D-01."
    ]
    assert post(boss, m.Departure, animal="d-01", kind="death", day="2026-03-02") is None
    stay.refresh_from_db()
    assert stay.end == DAY
    assert post(boss, m.Departure, animal="D-01", kind="death", day="2026-03-03") == [
        "Stop: D-01 died on 2 Mar 2026."
    ]


def test_what_happened_to_one_of_several_goes_through_the_door(boss):
    tank = make.enclosure()
    for code in ("D-01", "D-02"):
        make.stay(make.animal(code), tank)
    told = {"enclosure": tank.pk, "what": "death", "day": "2026-03-02"}
    (said,) = post(boss, m.OneOfThese, animals="D-01", **told)
    assert said.startswith("Name at least two")
    (said,) = post(boss, m.OneOfThese, animals="D-01, D-02", **told | {"what": "sale"})
    assert said == "Stop: Name who received D-01 or D-02."
    assert post(boss, m.OneOfThese, animals="D-01, D-02", **told) is None
    assert m.OneOfThese.objects.get().animals.count() == 2
    assert m.RegisterLine.objects.get().codes == "one of D-01, D-02"


def test_a_parent_goes_through_the_door(boss):
    make.animal("F", sex="female")
    make.animal("M")
    clutch = make.clutch()
    told = {"clutch": clutch.pk, "role": "sire", "basis": "housed", "day": "2026-03-02"}
    (said,) = post(boss, m.Descent, named="F", **told)
    assert said.startswith("F is female (DNA")
    assert post(boss, m.Descent, named="M 50 %\nX 50 %", **told) == ["X is not on record."]
    assert post(boss, m.Descent, named="M 60 %", **told) is None
    made = m.Descent.objects.get()
    assert [(c.animal.code, c.weight) for c in made.candidates.all()] == [("M", 0.6)]
    (said,) = post(boss, m.Descent, named="M", **told)
    assert "correct that statement" in said
    assert post(boss, m.Descent, named="M", replaces=made.pk, why="Seen.", **told) is None


def test_a_pair_of_parents_is_read_from_one_line(boss):
    x, y, clutch = make.animal("X-1"), make.animal("Y-1"), make.clutch()
    told = {"clutch": clutch.pk, "role": "pair", "basis": "housed", "day": "2026-03-02"}
    assert post(boss, m.Descent, named="X-1 x Y-1 50 %\nY-1 x X-1 50 %", **told) is None
    found = {(c.animal, c.mate, c.weight) for c in m.Descent.objects.get().candidates.all()}
    assert found == {(x, y, 0.5), (y, x, 0.5)}


def test_a_pairing_goes_through_the_rules(boss):
    make.animal("A", sex="male")
    make.animal("B", sex="male")
    make.animal("C", sex="female")
    (said,) = post(boss, m.Pairing, first="A", second="B", day="2026-03-02")
    assert said.startswith("Ask: A and B: 2 males")
    assert post(boss, m.Pairing, first="A", second="A", day="2026-03-02") == [
        "A pair is two different animals."
    ]
    assert post(boss, m.Pairing, first="A", second="C", day="2026-03-02") is None
    assert m.Pairing.objects.get().began_on is None


def test_a_pair_is_joined_where_an_enclosure_is_named(boss):
    a, c, tank = make.animal("A", sex="male"), make.animal("C", sex="female"), make.enclosure()
    told = {"first": "A", "second": "C", "day": "2026-03-02", "enclosure": tank.pk}
    assert post(boss, m.Pairing, **told) is None
    assert m.Pairing.objects.get().began_on == DAY
    assert {s.animal for s in m.Stay.objects.filter(enclosure=tank)} == {a, c}


SMALL = [
    (m.SexFinding, {"sex": "female", "basis": "calling"}, "Calling shows a male"),
    (m.SexFinding, {"sex": "female", "basis": "laid"}, None),
    (m.Observation, {"kind": "weight"}, "in grams, above 0"),
    (m.Observation, {"kind": "weight", "grams": "3.2"}, None),
    (m.Missing, {}, None),
    (m.Outing, {"purpose": "x", "reason": "Met nobody."}, None),
]


@pytest.mark.parametrize(("model", "told", "refused"), SMALL)
def test_what_is_seen_of_an_animal_goes_through_its_door(boss, model, told, refused):
    make.animal("D-01")
    said = post(boss, model, animal="D-01", day="2026-03-02", **told)
    if refused is None:
        assert said is None
        assert model.objects.get().entered_by is not None
    else:
        assert refused in said[0]


@pytest.mark.parametrize("model", [m.SexFinding, m.Observation, m.Missing, m.Outing])
def test_nothing_is_entered_for_an_unknown_animal_or_a_day_to_come(boss, model):
    told = {"sex": "male", "basis": "dna", "kind": "ate", "purpose": "x", "reason": "y"}
    assert "D-99 is not on record." in post(boss, model, animal="D-99", day="2026-03-02", **told)
    make.animal("D-01")
    (said,) = post(boss, model, animal="D-01", day="2099-03-02", **told)
    assert "still to come" in said
    assert not model.objects.exists()


def test_counts_of_a_clutch_go_through_their_doors(boss):
    clutch = make.clutch()
    told = {"clutch": clutch.pk, "day": "2026-03-03"}
    assert post(boss, m.StageCount, stage="laid", count="5", **told) is None
    (said,) = post(boss, m.StageCount, stage="hatched", count="6", **told)
    assert "5 laid on 3 Mar 2026" in said
    (said,) = post(boss, m.Loss, count="6", reason="mould", **told)
    assert said == f"There are 5 left in {clutch}."


def test_what_is_done_to_an_enclosure_goes_through_its_door(boss):
    a, b = make.enclosure(), make.enclosure()
    assert post(boss, m.Disinfection, enclosure=a.pk, day="2026-03-02") is None
    same = {"source": a.pk, "target": a.pk, "what": "moss", "day": "2026-03-02"}
    assert post(boss, m.ThingsMoved, **same) == ["Things move between two different enclosures."]
    assert post(boss, m.ThingsMoved, **same | {"target": b.pk}) is None


def test_a_change_of_who_an_animal_is_says_why_and_is_kept(boss):
    animal = make.animal("D-01", born=date(2019, 1, 1))
    told = {
        "code": "D-01",
        "taxon": animal.taxon.pk,
        "locality": animal.locality.pk,
        "source_code": "W",
        "born": "2021-01-01",
        "born_precision": "day",
    }
    page = boss.post(address(m.Animal, "change", animal.pk), told)
    assert b"Say why" in page.content
    page = boss.post(address(m.Animal, "change", animal.pk), told | {"why": "Misread."})
    assert b"was born 1 Jan 2021" in page.content
    sent = told | {"why": "Misread.", "born": "2019-02-01"}
    assert boss.post(address(m.Animal, "change", animal.pk), sent).status_code == 302
    kept = LogEntry.objects.get(object_id=str(animal.pk)).get_change_message()
    assert kept == "Born: 1 Jan 2019 → 1 Feb 2019. Misread."


def test_a_clutch_keeps_what_its_parents_rest_on(boss):
    clutch = make.clutch("K1")
    sent = {"note": "mouldy", "found_on": "2020-01-01", "code": "K9"}
    assert boss.post(address(m.Clutch, "change", clutch.pk), sent).status_code == 302
    clutch.refresh_from_db()
    assert (clutch.code, clutch.found_on, clutch.note) == ("K1", DAY, "mouldy")
