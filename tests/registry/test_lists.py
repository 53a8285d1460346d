"""Lists narrowed, kept as filters under names, and exported exactly as they are narrowed."""

import csv
from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from registry.models import Enclosure, Pairing, Paper, SavedFilter
from registry.saving import LISTS, plain_query
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate


@pytest.fixture
def owner():
    """Return somebody with every right."""
    return make.user("owner", superuser=True)


@pytest.fixture
def keeper(client, owner):
    """Return a browser in which they have signed in."""
    client.force_login(owner)
    return client


def table(answer):
    """Return the rows of an exported table, by heading."""
    text = b"".join(answer.streaming_content).decode().removeprefix("\ufeff")
    return list(csv.DictReader(text.splitlines()))


def told(keeper, page, export, key, **asked):
    """Return what a list shows and what it exports, which are the same things."""
    shown = keeper.get(reverse(page), asked)
    rows = [row[key] for row in table(keeper.get(reverse(export), asked))]
    return shown, rows


def pair(one, other, **more):
    """Return a pairing of two new animals."""
    first, second = make.animal(one, sex="male"), make.animal(other, sex="female")
    return Pairing.objects.create(first=first, second=second, **more)


def test_pairings_are_narrowed_and_exported_alike(keeper):
    past, ahead = TODAY() - timedelta(days=9), TODAY() + timedelta(days=9)
    pair("A-1", "A-2", planned_on=past)
    pair("B-1", "B-2", planned_on=past, began_on=past)
    pair("C-1", "C-2", planned_on=past, began_on=past, ended_on=past)
    pair("D-1", "D-2", planned_on=past, began_on=past, ended_on=ahead)
    cases = {
        "in force": ["A-1", "B-1", "D-1"], "planned": ["A-1"], "active": ["B-1", "D-1"],
        "ended": ["C-1"], "all": ["A-1", "B-1", "C-1", "D-1"],
    }  # fmt: skip
    for state, codes in cases.items():
        shown, rows = told(keeper, "pairing-list", "pairing-export", "first", state=state)
        assert sorted(rows) == codes
        assert sorted(p.pairing.first.code for p in shown.context["pairs"]) == codes
    for asked in ({"q": "b-2"}, {"q": "B-1", "taxon": make.taxon().pk}):
        assert told(keeper, "pairing-list", "pairing-export", "first", **asked)[1] == ["B-1"]
    other = make.locality("Nowhere").pk
    assert told(keeper, "pairing-list", "pairing-export", "first", locality=other)[1] == []


def test_enclosures_are_narrowed_and_exported_alike(keeper):
    apart = make.unit("Apart", role="quarantine")
    for code, unit in (("E1", None), ("E2", None), ("Q1", apart)):
        make.enclosure(code, unit=unit)
    make.enclosure("X1", retired_on=make.DAY)
    make.stay(make.animal("=D-01"), Enclosure.objects.get(code="E1"))
    cases = (
        ({}, ["E1", "E2", "Q1"]), ({"use": "lived in"}, ["E1"]), ({"use": "empty"}, ["E2", "Q1"]),
        ({"use": "out of use"}, ["X1"]), ({"use": "all"}, ["E1", "E2", "X1", "Q1"]),
        ({"role": "quarantine"}, ["Q1"]), ({"q": "e"}, ["E1", "E2"]),
        ({"taxon": make.taxon().pk}, ["E1"]), ({"unit": apart.pk, "use": "lived in"}, []),
    )  # fmt: skip
    for asked, codes in cases:
        shown, rows = told(keeper, "enclosure-list", "enclosure-export", "enclosure", **asked)
        assert rows == codes, asked
        there = [one.enclosure.code for _, some in shown.context["units"] for one in some]
        assert there == codes
    (row,) = table(keeper.get(reverse("enclosure-export"), {"use": "lived in"}))
    assert row["animals"] == "'=D-01", "nothing a person typed acts as a formula"


def test_papers_are_narrowed_and_exported_alike(keeper):
    def paper(number, **more):
        return Paper.objects.create(kind=more.pop("kind", "permit"), number=number, **more)

    soon = TODAY() + timedelta(days=10)
    paper("P1", valid_until=TODAY() - timedelta(days=1), issuer="Office of Frogs")
    paper("P2", valid_until=soon).animals.add(make.animal("D-01"))
    paper("P3", kind="invoice", ours=True, file="papers/a.pdf")
    cases = (
        ({}, {"P1", "P2", "P3"}), ({"valid": "over"}, {"P1"}), ({"valid": "soon"}, {"P2"}),
        ({"valid": "valid"}, {"P2", "P3"}), ({"q": "frogs"}, {"P1"}), ({"q": "d-01"}, {"P2"}),
        ({"ours": "yes"}, {"P3"}), ({"ours": "no", "kind": "invoice"}, set()),
        ({"file": "yes"}, {"P3"}), ({"file": "no"}, {"P1", "P2"}),
    )  # fmt: skip
    for asked, numbers in cases:
        shown, rows = told(keeper, "paper-list", "paper-export", "number", **asked)
        assert set(rows) == numbers == {p.number for p in shown.context["page"]}, asked


def test_batches_are_narrowed_and_exported_alike(keeper):
    early, late = date(2026, 1, 5), date(2026, 3, 2)
    qmake.isolation([qmake.newcomer("N-1", since=early)], name="One", opened=early)
    two = qmake.isolation([qmake.newcomer("N-2", since=late)], name="Two", opened=late)
    other = make.taxon("Mantella aurantiaca")
    done = qmake.newcomer("N-3", since=late, taxon=other)
    three = qmake.isolation([done], name="Three", opened=late, kind="exposed")
    make.clearance([done], day=late + timedelta(days=1), isolation=three, override=True,
                   veterinarian="Dr. Quill", grounds="seen")  # fmt: skip
    cases = (
        ({}, {"One", "Two", "Three"}), ({"state": "in isolation"}, {"One", "Two"}),
        ({"kind": "exposed"}, {"Three"}), ({"q": "o"}, {"One", "Two"}),
        ({"since": "2026-02-01"}, {"Two", "Three"}), ({"until": "5 Jan 2026"}, {"One"}),
        ({"taxon": other.pk}, {"Three"}), ({"protocol": two.version.protocol_id}, None),
    )  # fmt: skip
    for asked, names in cases:
        names = names or {"One", "Two", "Three"}
        shown, rows = told(
            keeper, "quarantine:batch-list", "quarantine:batch-export", "batch", **asked
        )
        assert set(rows) == names == {str(b.isolation) for b in shown.context["page"]}, asked


@pytest.mark.parametrize(
    ("page", "export", "asked"),
    [
        ("animal-list", "animal-export", {"taxon": "999"}),
        ("pairing-list", "pairing-export", {"state": "sleeping"}),
        ("enclosure-list", "enclosure-export", {"use": "haunted"}),
        ("paper-list", "paper-export", {"kind": "napkin"}),
        ("quarantine:batch-list", "quarantine:batch-export", {"since": "soon"}),
    ],
)
def test_a_filter_that_cannot_be_read_says_so_and_exports_nothing(keeper, page, export, asked):
    make.animal("D-01"), make.enclosure("E1")
    pair("A-1", "A-2", planned_on=TODAY())
    Paper.objects.create(kind="permit", number="P1")
    qmake.isolation([qmake.newcomer("N-1")])
    answer = keeper.get(reverse(export), asked, follow=True)
    assert answer.redirect_chain[0][0].startswith(reverse(page))
    assert 'class="errorlist"' in answer.text


@pytest.mark.parametrize(
    "export",
    ["pairing-export", "enclosure-export", "paper-export", "quarantine:batch-export"],
)
def test_only_whoever_may_export_does(client, export):
    client.force_login(make.user())
    assert client.get(reverse(export)).status_code == 403


def test_a_filter_is_kept_under_a_name_renamed_and_deleted(keeper, owner):
    make.animal("D-01", sex="male"), make.animal("D-02")
    page = keeper.get(reverse("animal-list"), {"sex": "male-sure", "page": "1", "q": ""})
    assert "Keep this filter under a name" in page.text
    asked = {"page": "animal-list", "query": "sex=male-sure&page=1&q="}
    assert keeper.get(reverse("filter-keep"), asked).status_code == 200
    answer = keeper.post(reverse("filter-keep"), asked | {"name": "Sure  males"}, follow=True)
    assert [row.animal.code for row in answer.context["rows"]] == ["D-01"]
    (kept,) = owner.saved_filters.all()
    assert (kept.name, kept.query) == ("Sure males", "sex=male-sure")
    page = keeper.get(reverse("animal-list"), {"sex": "male-sure"})
    assert f'<a href="{reverse("animal-list")}?sex=male-sure" aria-current="true">' in page.text
    assert "Keep this filter under a name" not in page.text, "it is kept already"

    keeper.post(reverse("filter-edit", args=[kept.pk]), {"name": "Males"})
    assert "Males" in keeper.get(reverse("filter-list")).text
    keeper.post(reverse("filter-delete", args=[kept.pk]))
    assert not SavedFilter.objects.exists()
    assert "None kept yet" in keeper.get(reverse("filter-list")).text


def test_names_are_refused_where_they_are_empty_or_taken(keeper, owner):
    SavedFilter.objects.create(user=owner, page="animal-list", name="Males", query="sex=male")
    asked = {"page": "animal-list", "query": "sex=female"}
    for name, said in (("", "required"), ("males", "already"), ("n" * 81, "at most 80")):
        assert said in keeper.post(reverse("filter-keep"), asked | {"name": name}).text
    assert (
        keeper.post(reverse("filter-keep"), asked | {"name": "x", "page": "//evil"}).status_code
        == 404
    )
    assert SavedFilter.objects.count() == 1
    keeper.post(reverse("filter-keep"), {"page": "paper-list", "name": "Males", "query": ""})
    assert SavedFilter.objects.count() == 2, "another list has names of its own"


def test_nobody_sees_or_touches_the_filters_of_somebody_else(client, owner):
    kept = SavedFilter.objects.create(user=owner, page="animal-list", name="Mine", query="sex=male")
    client.force_login(make.user(superuser=True))
    make.animal()
    assert "Mine" not in client.get(reverse("animal-list")).text
    assert client.post(reverse("filter-edit", args=[kept.pk]), {"name": "x"}).status_code == 404
    assert client.post(reverse("filter-delete", args=[kept.pk])).status_code == 404
    assert SavedFilter.objects.get().name == "Mine"


def test_what_is_kept_of_an_address_is_its_filter_and_no_more():
    assert plain_query("sex=male&page=3&q=&x=<b>&csrfmiddlewaretoken=1") == "sex=male&x=%3Cb%3E"
    assert all(reverse(page) for page in LISTS)
