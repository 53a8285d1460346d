"""Disinfecting an enclosure and carrying things between two are entered once they happened."""

from datetime import UTC, date, datetime

import pytest

from registry.lifetime import NotOnThatDay
from registry.objections import note
from registry.tending import Carrying, carry, disinfect, objections
from tests import make

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)


def load(day=make.DAY):
    return Carrying(day=day, source=make.enclosure(), target=make.enclosure(), what="a plant")


@pytest.mark.parametrize(("day", "allowed"), [(9, True), (10, True), (11, False)])
def test_neither_is_entered_ahead(day, allowed):
    if allowed:
        assert disinfect(make.enclosure(), date(2026, 3, day), make.user(), at=NOON)
        assert carry(load(date(2026, 3, day)), make.user(), at=NOON)
        return
    with pytest.raises(NotOnThatDay):
        disinfect(make.enclosure(), date(2026, 3, day), make.user(), at=NOON)
    with pytest.raises(NotOnThatDay):
        carry(load(date(2026, 3, day)), make.user(), at=NOON)


def test_what_the_rules_note_is_shown_before_things_are_carried(settings):
    settings.CARRYING_RULES = ["tests.registry.test_tending.things_carry_over"]
    carrying = load()
    animal = make.animal("D-01")
    make.stay(animal, carrying.target)
    (noted,) = objections(carrying)
    assert noted.message == "D-01 is in reach."
    assert noted.rule == "things_carry_over"


def things_carry_over(carrying):
    for animal in carrying.herd.animals.values():
        yield note(f"{animal} is in reach.", animal)
