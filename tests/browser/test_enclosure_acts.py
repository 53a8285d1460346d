"""What a keeper does at an enclosure, with the keys alone and where no script runs."""

import pytest
from django.urls import reverse

from registry.models import (
    Clutch,
    Departure,
    Disinfection,
    Enclosure,
    Observation,
    Stay,
    ThingsMoved,
)
from tests import addresses

from .hands import Keys, Pointer

pytestmark = pytest.mark.browser
BY_HAND = pytest.mark.parametrize(
    ("hands", "scripts"), [(Pointer, False), (Keys, True)], ids=["without scripts", "keys alone"]
)


ANY_HAND = pytest.mark.parametrize(
    ("hands", "scripts"),
    [(Pointer, True), (Pointer, False), (Keys, True)],
    ids=["pointer", "without scripts", "keys alone"],
)


def press(hand, name):
    """Press the button of a name."""
    hand.press(hand.page.get_by_role("button", name=name, exact=True))


def act(hand, name):
    """Follow the link of an act."""
    hand.press(hand.page.get_by_role("link", name=name, exact=True).first)


def into_f16(page):
    """Return how a form calls the empty enclosure."""
    return page.locator("main form option", has_text="F16").last.inner_text()


def said(hand):
    """Return what the page says was done."""
    return hand.page.locator(".messages").inner_text()


@BY_HAND
def test_a_round_at_one_enclosure(opened, room, hands, scripts):
    """Eggs, a plant carried on, the tank cleaned, one weighed and moved: all on record."""
    tank = Enclosure.objects.get(code="F13")
    hand = hands(opened(reverse("enclosure-show", args=[tank.pk]), scripts=scripts))
    page = hand.page

    act(hand, "Laid")
    hand.write(page.get_by_label("How many"), "5")
    if page.get_by_role("button", name="Show its parents").count():
        press(hand, "Show its parents")
    press(hand, "Enter the clutch")
    laid = Clutch.objects.filter(enclosure=tank).latest("pk")
    assert laid.stages.get().count == 5

    hand.page.goto(page.url.partition("/clutches/")[0] + reverse("enclosure-show", args=[tank.pk]))
    act(hand, "Things moved")
    hand.choose(page.locator("[name=target]"), into_f16(page))
    hand.write(page.locator("[name=what]"), "a bromeliad")
    press(hand, "Show what this will do")
    press(hand, "Save")
    assert ThingsMoved.objects.get(source=tank).target.code == "F16"

    act(hand, "Disinfected")
    hand.write(page.locator("[name=agent]"), "by the label")
    press(hand, "Save")
    assert Disinfection.objects.filter(enclosure=tank).count() == 1
    assert "disinfected" in said(hand)

    act(hand, "RI-029")
    act(hand, "Weighed")
    hand.write(page.locator("[name=grams]"), "0.71")
    hand.press(page.locator("main form button").first)
    assert Observation.objects.filter(animal__code="RI-029", kind="weight").count() == 1
    if "/animals/" not in page.url:
        act(hand, "RI-029")
    act(hand, "Move")
    hand.choose(page.locator("[name=enclosure]"), into_f16(page))
    press(hand, "Show what this will do")
    press(hand, "Move")
    assert Stay.objects.current().get(animal__code="RI-029", end=None).enclosure.code == "F16"


@ANY_HAND
def test_young_are_found_one_dies_and_one_moves_on(opened, room, hands, scripts):
    """From the page of the enclosure, each act to its end and on record."""
    tank = Enclosure.objects.get(code="F13")
    at = reverse("enclosure-show", args=[tank.pk])
    hand = hands(opened(at, scripts=scripts))
    page, site = hand.page, hand.page.url.removesuffix(at)
    first, second = [s.animal for s in tank.stays.current().filter(end=None, animal__isnull=False)][
        :2
    ]

    act(hand, "Found young")
    hand.write(page.get_by_label("How many"), "3")
    press(hand, "Enter the clutch")
    young = Clutch.objects.filter(enclosure=tank).latest("pk")
    assert young.stages.get(stage="metamorphosed").count == 3

    page.goto(site + at)
    act(hand, "Moved")
    hand.press(page.get_by_role("link", name=second.code).last)
    assert second.code in page.locator("h1").inner_text()
    hand.press(page.get_by_role("button", name="Into F16"))
    assert Stay.objects.current().get(animal=second, end=None).enclosure.code == "F16"

    page.goto(site + at)
    act(hand, "Died")
    if page.get_by_role("link", name=first.code).count():
        hand.press(page.get_by_role("link", name=first.code).last)
    press(hand, "Enter that it died")
    assert Departure.objects.current().get(animal=first).kind == "death"
    assert not first.stays.current().filter(end=None).exists()


def test_the_search_is_one_key_away(opened, room):
    """The stroke goes to the search from anywhere but a field; the code leads to the animal."""
    page = opened(reverse("line-list"))
    page.keyboard.press("/")
    page.keyboard.type("RI-025")
    page.keyboard.press("Enter")
    page.wait_for_url("**/animals/*/")
    assert page.locator("h1").inner_text() == "RI-025"


def test_a_pedigree_is_walked_by_key(opened, room):
    """Enter on an animal in the picture opens it; plus, minus and arrows change what is seen."""
    hand = Keys(opened(addresses.address("pedigree-show")))
    frame = hand.page.locator(".picture")
    wide = frame.locator("svg").bounding_box()["width"]
    hand.come_to(frame)
    hand.keys.press("+")
    assert frame.locator("svg").bounding_box()["width"] > wide
    hand.press(frame.locator("a").first)
    assert "/animals/" in hand.page.url


def test_a_picture_can_be_had_alone(opened, room):
    """Without scripts a link leads to the picture at its full size, and it says nothing amiss."""
    for name in ("pedigree-two", "quarantine:trace"):
        page = opened(addresses.address(name), scripts=False)
        complaints = []
        page.on("console", lambda message, kept=complaints: kept.append(message))
        page.get_by_role("link", name="The picture alone").click()
        assert page.locator("svg").count()
        assert [c.text for c in complaints if "favicon" not in c.location["url"]] == []
