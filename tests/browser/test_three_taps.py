"""The daily acts on a phone, from an enclosure: three taps each, only a count is typed."""

import pytest
from django.utils import timezone

from registry.models import (
    Clutch,
    Departure,
    OneOfThese,
    RegisterLine,
    SexFinding,
    StageCount,
    Stay,
)
from tests import make
from tests.browser.conftest import PHONE

pytestmark = pytest.mark.browser


class Phone:
    """A phone in a wet hand: every tap is counted from the page of an enclosure on."""

    def __init__(self, opened, enclosure):
        self.enclosure = enclosure
        self.page = opened(f"/enclosures/{enclosure.pk}/", size=PHONE)
        self.home, self.taps = self.page.url, 0

    def start(self):
        """Go to the page of the enclosure, as its label does."""
        self.page.goto(self.home)
        self.taps = 0

    def tap(self, role, name, exact=True):
        """Tap what is called so; it lies on the screen and is large enough for a finger."""
        thing = self.page.locator("main").get_by_role(role, name=name, exact=exact).first
        box = thing.bounding_box()
        assert box["height"] >= 40, name
        assert box["x"] >= 0, name
        assert box["x"] + box["width"] <= PHONE["width"], name
        with self.page.expect_navigation():
            thing.tap()
        self.taps += 1

    def count(self, number):
        """Tap into the field for the count, and type it."""
        field = self.page.get_by_label("How many")
        field.tap()
        field.fill(str(number))
        self.taps += 1

    @property
    def text(self):
        """What the page says."""
        return self.page.locator("main").inner_text()


@pytest.fixture
def room(keeper):
    """A group that nobody tells apart, in E10; somebody who bought before; an empty tank."""
    kind = make.taxon("Epipedobates anthonyi", grouping="group")
    tank = make.enclosure("E10")
    make.enclosure("E11")
    for code in ("A", "B", "C", "D"):
        make.stay(make.animal(code, taxon=kind), tank)
    make.finding(make.m.Animal.objects.get(code="A"), sex="female", basis="laid")
    make.departure(make.animal("Z", taxon=kind), receiver=make.party("Juniper Hallorane"))
    return tank


def heard_calling(phone):
    """Heard calling, one of these, saved; what it means is on the page before."""
    phone.start()
    phone.tap("link", "Heard calling")
    phone.tap("link", "One of these", exact=False)
    assert "no sex changes before" in phone.text
    phone.tap("button", "Enter that it called")
    event = OneOfThese.objects.get(what="calling")
    assert [a.code for a in event.among()] == ["B", "C", "D"]
    assert phone.taps == 3


def heard_by_name(phone):
    """B called: a finding, with what it raises shown before."""
    phone.start()
    phone.tap("link", "Heard calling")
    phone.tap("link", "B unsexed")
    assert "What this will do" in phone.text
    phone.tap("button", "Enter that it called")
    assert SexFinding.objects.get(animal__code="B").basis == "calling"
    assert phone.taps == 3


def laid(phone):
    """Laid, the count, saved; its possible parents are on the page before."""
    phone.start()
    phone.tap("link", "Laid")
    assert "What this will do" in phone.text
    assert "Parents, either way round" in phone.text
    phone.count(12)
    phone.tap("button", "Enter the clutch")
    clutch = Clutch.objects.get()
    assert clutch.stages.get().count == 12
    assert clutch.descents.current().exists()
    assert phone.taps == 3


def hatched(phone):
    """Hatched, the count, saved: of the one clutch that stands there nothing is asked."""
    phone.start()
    phone.tap("link", "Hatched")
    phone.count(9)
    phone.tap("button", "Save")
    assert StageCount.objects.get(stage="hatched").count == 9
    assert phone.taps == 3


def found_young(phone):
    """Found young, the count, saved."""
    phone.start()
    phone.tap("link", "Found young")
    assert "What this will do" in phone.text
    phone.count(2)
    phone.tap("button", "Enter the clutch")
    assert StageCount.objects.filter(stage="metamorphosed").get().count == 2
    assert phone.taps == 3


def died_among_look_alikes(phone):
    """Died, one of these, saved: the count goes down, nobody is recorded dead."""
    phone.start()
    phone.tap("link", "Died")
    phone.tap("link", "One of these", exact=False)
    assert "One fewer is counted" in phone.text
    phone.tap("button", "Enter that it died")
    assert not Departure.objects.filter(kind="death").exists()
    assert OneOfThese.objects.get(what="death").animals.count() == 4
    assert "less 1" in phone.text  # a male, a female, two unsexed: which column, nobody knows
    assert RegisterLine.objects.filter(kind="death").get().codes == "one of A, B, C, D"
    assert phone.taps == 3


def sold(phone):
    """Sold, which one, to whom: the receiver of the last sale is one tap."""
    phone.start()
    phone.tap("link", "Sold")
    phone.tap("link", "A female (laid eggs)")
    assert "Its stay in E10 ends" in phone.text
    phone.tap("button", "To Juniper Hallorane", exact=False)
    went = Departure.objects.get(animal__code="A")
    assert (went.kind, went.receiver.name) == ("sale", "Juniper Hallorane")
    assert phone.taps == 3


def swabbed(phone):
    """Swabbed, for what, saved: all that are there are ticked."""
    phone.start()
    phone.tap("link", "Swabbed")
    phone.page.get_by_label("Bd PCR").first.tap()
    phone.taps += 1
    phone.tap("button", "Save")
    assert make.m.Animal.objects.get(code="B").samples.count() == 1
    assert phone.taps == 3


def moved(phone):
    """Moved, who, where to: what stands against each place is under it."""
    phone.start()
    phone.tap("link", "Moved")
    phone.tap("link", "D unsexed")
    assert "unless it was the one that died" in phone.text
    phone.tap("button", "Into E11", exact=False)
    stay = Stay.objects.current().get(animal__code="D", end__isnull=True)
    assert (stay.enclosure.code, stay.start) == ("E11", timezone.localdate())
    assert phone.taps == 3


@pytest.mark.parametrize("scripts", [True, False])
def test_a_day_in_the_room_takes_three_taps_an_act(opened, room, scripts):
    """Each act is saved with what it will do on the page before, with and without JavaScript."""
    phone = Phone(lambda path, **how: opened(path, scripts=scripts, **how), room)
    for act in (
        heard_calling,
        heard_by_name,
        laid,
        hatched,
        found_young,
        died_among_look_alikes,
        sold,
        swabbed,
        moved,
    ):
        act(phone)
