"""The search box finds by any name or number."""

import pytest
from django.urls import reverse

from registry.models import Mark, Paper
from registry.searching import MOST, search
from tests import make

pytestmark = pytest.mark.django_db


def found(text):
    """Return what is found, `{kind: [names]}`."""
    return {kind.label: [hit.text for hit in kind.hits] for kind in search(text)}


def test_an_animal_is_found_by_code_name_and_mark():
    one = make.animal("D-01", name="Gilda")
    Mark.objects.create(animal=one, kind="supplier", value="S/77", day=make.DAY)
    for text in ("d-01", "gild", "s/77"):
        assert found(text)["Animals"] == ["D-01 “Gilda”"]


def test_a_corrected_mark_is_no_longer_found():
    one = make.animal("D-01")
    mark = Mark.objects.create(animal=one, kind="chip", value="985", day=make.DAY)
    mark.corrected(by=None, why="Misread.", value="986")
    assert "Animals" not in found("985")
    assert found("986")["Animals"] == ["D-01"]


def test_everything_that_has_a_name_is_found():
    animal = make.animal("Rio 1", locality=make.locality("Rio Candelo"))
    make.clutch("Rio K", enclosure=make.enclosure("Rio tank"))
    make.party("Rio imports")
    Paper.objects.create(kind="permit", number="RIO-7").animals.add(animal)
    assert found("  rio ") == {
        "Animals": ["Rio 1"],
        "Clutches": ["Rio K"],
        "Enclosures": ["Rio tank"],
        "Parties": ["Rio imports"],
        "Papers": ["permit RIO-7"],
        "Taxa and localities": ["Rio Candelo"],
    }


def test_every_hit_leads_somewhere(client):
    client.force_login(make.user(superuser=True))
    test_everything_that_has_a_name_is_found()
    for kind in search("rio"):
        for hit in kind.hits:
            assert client.get(hit.href).status_code == 200


def test_more_hits_than_are_shown_are_told_of():
    for n in range(MOST + 1):
        make.animal(f"D-{n:03}")
    (kind,) = search("D-0")
    assert len(kind.hits) == MOST
    assert kind.more


@pytest.mark.parametrize("text", ["", "   ", "%", "_", "'; drop table", "<script>", "x" * 5000])
def test_the_box_bears_anything(client, text):
    client.force_login(make.user())
    make.animal("D-01")
    page = client.get(reverse("search"), {"q": text})
    assert page.status_code == 200
    assert b'<script>"' not in page.content
    assert "Animals" not in found(text)


def test_a_code_typed_in_full_goes_straight_to_its_page(client):
    client.force_login(make.user())
    one = make.animal("D-01")
    make.animal("D-011")
    answer = client.get(reverse("search"), {"q": " d-01 "})
    assert answer["Location"] == reverse("animal-show", args=[one.pk])
