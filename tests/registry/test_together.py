"""Questions put together in one statement have the answers each would have alone."""

from datetime import date
from decimal import Decimal

import pytest
from django.apps import apps
from django.db.models import Count, Exists, F, OuterRef

from quarantine import models as q
from registry import models as m
from registry import together
from registry.together import again, fetch
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
OURS = [
    model
    for app in ("registry", "quarantine")
    for model in apps.get_app_config(app).get_models()
]  # fmt: skip


@pytest.fixture
def register():
    """A register with a row of many kinds, texts that could be mistaken for marks among them."""
    room = make.enclosure("Q '1' %s \\ \"x\"", unit=make.unit("Rack ä☃", role="quarantine"))
    animals = [qmake.newcomer(f"EA-{n}", room) for n in (1, 2, 3)]
    isolation = qmake.isolation(animals, name="Box")
    qmake.result(qmake.sample(animals=animals[:2]), "positive")
    q.Course.objects.create(isolation=isolation, what="a bath", start=qmake.DAY)
    make.departure(animals[2], kind="death")
    m.Observation.objects.create(
        animal=animals[0], kind="weight", start=qmake.DAY, grams=Decimal("2.345")
    )
    dam = make.animal("dam", cleared=True)
    q.Clearance.objects.update(evidence={"listed": [["a", 0.1]], "zero": "2026-01-01"})
    clutch = make.clutch("K1", enclosure=room, found_on=date(2025, 6, 1))
    for sire in animals:
        make.parent(clutch, "sire", sire)
    m.Candidate.objects.update(weight=0.1 + 0.2)
    make.young(clutch, "P-01")
    dam.sex_findings.create(sex="female", basis="laid", day=qmake.DAY)
    return animals


def alike(make_question):
    """Hold what one question has alone against what it has in company."""
    alone, beside = list(make_question()), make_question()
    fetch(m.Taxon.objects.all(), beside, m.Stay.objects.filter(pk__in=[]))
    assert beside._result_cache is not None
    assert [told(row) for row in beside] == [told(row) for row in alone]
    return alone


def told(row):
    """Return all a row holds, models with the values of their fields and of what they select."""
    if not hasattr(row, "_meta"):
        return type(row), row
    values = {f.attname: getattr(row, f.attname) for f in row._meta.concrete_fields}
    related = row._state.fields_cache
    types = {name: type(value) for name, value in values.items()}
    return values, types, {name: one and told(one) for name, one in related.items()}


@pytest.mark.parametrize("model", OURS, ids=lambda model: model.__name__)
def test_every_model_comes_with_the_same_values_of_the_same_types(register, model):
    alike(model.objects.all)
    alike(lambda: model.objects.order_by("-pk"))


def test_numbers_dates_and_kept_evidence_are_not_rounded_or_changed(register):
    (weight,) = alike(lambda: m.Observation.objects.values_list("grams", flat=True))
    assert weight == Decimal("2.345")
    assert 0.1 + 0.2 in alike(lambda: m.Candidate.objects.values_list("weight", flat=True))
    assert {"listed": [["a", 0.1]], "zero": "2026-01-01"} in alike(
        lambda: q.Clearance.objects.values_list("evidence", flat=True)
    )


QUESTIONS = {
    "related": lambda: m.Stay.objects.select_related("enclosure__unit", "animal__taxon", "clutch"),
    "named": lambda: m.Stay.objects.values_list("pk", "end", "entered_at", named=True),
    "values": lambda: m.Stay.objects.order_by("-enclosure__code", "pk").values("animal__code"),
    "counted": lambda: m.Animal.objects.defer("note").annotate(n=Count("stays")).order_by("code"),
    "distinct": lambda: m.Animal.objects.filter(samples__isnull=False).distinct(),
    "annotated": lambda: m.Animal.objects.annotate(
        held=Exists(q.Membership.objects.filter(animal=OuterRef("pk"))), of=F("taxon__name")
    ),
    "union": lambda: (
        m.Animal.objects.order_by()
        .values_list("pk")
        .union(m.Stay.objects.order_by().values_list("pk"))
        .order_by("id")
    ),
    "marks": lambda: m.Enclosure.objects.filter(code__contains="%").order_by("code")[:2],
    "sliced": lambda: m.Animal.objects.order_by("code")[1:3],
}


@pytest.mark.parametrize("question", QUESTIONS)
def test_what_a_question_selects_and_sorts_is_kept(register, question):
    assert alike(QUESTIONS[question])


def test_one_statement_asks_all_and_nothing_is_asked_twice(register, django_assert_num_queries):
    animals, stays = m.Animal.objects.all(), m.Stay.objects.prefetch_related("animal")
    nobody = m.Animal.objects.filter(pk__in=[])
    with django_assert_num_queries(1):
        fetch(animals, stays, nobody)
    with django_assert_num_queries(1):  # the prefetch
        assert len(animals) == 5
        assert list(nobody) == []
        assert {stay.animal for stay in stays if stay.animal_id} <= set(animals)
    with django_assert_num_queries(0):
        fetch(animals, nobody)


def test_a_question_asked_again_is_worded_once_and_sees_what_was_written(register, monkeypatch):
    worded, wordings = [], together._worded
    monkeypatch.setattr(together, "_worded", lambda q: worded.append(q) or wordings(q))
    always = m.Animal.objects.select_related("taxon").order_by("code")
    (before,) = fetch(again(always))
    assert [told(row) for row in before] == [told(row) for row in always.all()]
    late = make.animal("later", cleared=True)
    (after,) = fetch(again(always))
    assert {*after} - {*before} == {late}
    assert len(worded) == 1
    assert always._result_cache is None


def test_what_is_made_narrower_of_a_question_asked_again_is_another_question(register):
    always = m.Animal.objects.order_by("code")
    fetch(again(always))
    (narrow,) = fetch(again(always).filter(code="dam"))
    assert [animal.code for animal in narrow] == ["dam"]
