"""Clutches put together on their page, from their enclosure, and in the administration."""

from datetime import date

import pytest
from django.urls import reverse

from registry.laying import count_stage
from registry.models import Clutch
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True, staff=True))
    return client


@pytest.fixture
def tub():
    """Return a tub in which two clutches stand, one of 6 and one of 2."""
    tub = make.enclosure("T1")
    for code, sire, count in (("K1", "A", 6), ("K2", "B", 2)):
        clutch = make.clutch(code)
        make.stay(clutch, tub)
        make.parent(clutch, "sire", make.animal(sire))
        count_stage(clutch, "hatched", make.DAY, count, make.user())
    return tub


def typed(tub, **changes):
    return {"clutches": "K1, K2", "enclosure": tub.pk, "day": "2026-03-05"} | changes


def said(answer):
    return " ".join(text for some in answer.context["form"].errors.values() for text in some)


def test_the_enclosure_leads_to_it_with_its_clutches(keeper, tub):
    page = keeper.get(reverse("enclosure-show", args=[tub.pk])).content.decode()
    way = f"{reverse('clutch-mix')}?enclosure={tub.pk}&amp;clutches=K1,K2"
    assert way in page
    form = keeper.get(way.replace("&amp;", "&")).context["form"]
    assert (form["clutches"].value(), form["enclosure"].value()) == ("K1,K2", str(tub.pk))


def test_what_it_will_do_is_shown_before_it_is_done(keeper, tub):
    shown = keeper.post(reverse("clutch-mix"), typed(tub) | {"show": "1"})
    assert "of K1 (75 %)" in shown.content.decode()
    assert not Clutch.objects.filter(mixed=True).exists()
    done = keeper.post(reverse("clutch-mix"), typed(tub) | {"do": "1"}, follow=True)
    page = done.content.decode()
    for part in ("Clutches reared together in it", "75 %", "sire of K1: A", "at most 8 left in it"):
        assert part in page


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"clutches": "K1"}, "two different"),
        ({"clutches": "K1, K7"}, "K7 is not on record"),
        ({"clutches": "x" * 100_000}, "at most"),
        ({"weights": "6"}, "2 clutches, but 1 numbers"),
        ({"weights": "6, -1"}, "Whole numbers"),
        ({"weights": "0, 0"}, "above it"),
        ({"code": "K1"}, "in use already"),
        ({"day": "2999-01-01"}, "still to come"),
        ({"day": "2026-03-01"}, "found only on"),
        ({"enclosure": "x"}, "valid choice"),
    ],
)
def test_bad_input_gets_a_sentence_and_is_kept(keeper, tub, changes, sentence):
    answer = keeper.post(reverse("clutch-mix"), typed(tub, **changes) | {"do": "1"})
    assert sentence in said(answer)
    assert answer.context["form"]["clutches"].value() == (typed(tub) | changes)["clutches"]
    assert not Clutch.objects.filter(mixed=True).exists()


def test_a_share_is_corrected_and_withdrawn_on_its_page(keeper, tub):
    keeper.post(reverse("clutch-mix"), typed(tub, weights="1, 1", code="M1") | {"do": "1"})
    mix = Clutch.objects.get(code="M1")
    part = mix.parts.get(clutch__code="K1")
    page = reverse("fact-correct", args=["registry.clutchpart", part.pk])
    refused = keeper.post(page, {"weight": "-1", "why": "x", "do": "1"})
    assert "at least 0" in said(refused)
    done = keeper.post(page, {"weight": "3", "why": "Counted again.", "do": "1"}, follow=True)
    assert "75 %" in done.content.decode()
    assert "Counted again." in done.content.decode()
    part = mix.parts.current().get(clutch__code="K2")
    page = reverse("fact-withdraw", args=["registry.clutchpart", part.pk])
    done = keeper.post(page, {"why": "Not in it.", "do": "1"}, follow=True)
    assert "100 %" in done.content.decode()


def test_young_of_it_show_both_and_the_clutches_lead_on(keeper, tub):
    keeper.post(reverse("clutch-mix"), typed(tub, code="M1") | {"do": "1"})
    young = make.young(Clutch.objects.get(code="M1"), "P")
    page = " ".join(keeper.get(reverse("animal-show", args=[young.pk])).content.decode().split())
    for part in ("if it is of clutch", "(75 %)", "in which several were reared together"):
        assert part in page
    k1 = Clutch.objects.get(code="K1")
    page = keeper.get(reverse("clutch-show", args=[k1.pk])).content.decode()
    assert "Go on in M1" in page
    refused = keeper.post(
        reverse("clutch-count", args=[k1.pk]), {"stage": "hatched", "day": "2026-03-09"}
    )
    assert "enter it for M1" in said(refused)
    for name in ("pedigree-show", "kin-show", "pairing-mates", "animal-papers", "animal-parents"):
        assert keeper.get(reverse(name, args=[young.pk])).status_code == 200


def test_the_administration_goes_through_the_door(keeper, tub):
    way = reverse("admin:registry_clutchpart_add")
    refused = keeper.post(way, typed(tub, day="2026-03-01"))
    assert "found only on" in refused.content.decode()
    assert keeper.post(way, typed(tub)).status_code == 302
    (mix,) = Clutch.objects.filter(mixed=True)
    assert mix.found_on == date(2026, 3, 5)


def test_it_needs_the_right(client, tub):
    client.force_login(make.user("helper", rights=["registry.place_animal"]))
    assert client.get(reverse("clutch-mix")).status_code == 403
    assert (
        "clutches=K1" not in client.get(reverse("enclosure-show", args=[tub.pk])).content.decode()
    )


def test_its_clutch_is_said_on_its_page(keeper, tub):
    keeper.post(reverse("clutch-mix"), typed(tub, code="M1") | {"do": "1"})
    young = make.young(Clutch.objects.get(code="M1"), "P")
    way = reverse("animal-clutch", args=[young.pk])
    assert way in keeper.get(reverse("animal-show", args=[young.pk])).content.decode()
    told = {"clutch": Clutch.objects.get(code="K2").pk, "basis": "dna", "day": "2026-08-01"}
    for wrong in ({"clutch": 999}, {"basis": "x"}, {"day": "2026-03-02"}, {"day": "2999-01-01"}):
        assert said(keeper.post(way, told | wrong))
    page = keeper.post(way, told, follow=True).content.decode()
    assert "Of clutch K2 (DNA)." in page
    assert "if it is of clutch" not in page
    assert keeper.get(reverse("animal-clutch", args=[make.animal().pk])).status_code == 404
