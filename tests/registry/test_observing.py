"""What is seen of an animal is entered for a day on which it was here to be seen."""

from datetime import UTC, date, datetime

import pytest

from registry.lifetime import NotOnThatDay
from registry.observing import observe, open_signs, sign_gone
from tests import make

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)


def see(animal, kind="ate", day=make.DAY, **more):
    return observe(animal, kind, day, make.user(), at=NOON, **more)


@pytest.mark.parametrize(("day", "allowed"), [(1, False), (2, True), (3, True)])
def test_an_animal_is_seen_from_its_arrival_on(day, allowed):
    animal = make.animal(here_since=date(2026, 3, 2))
    if allowed:
        assert see(animal, day=date(2026, 3, day))
    else:
        with pytest.raises(NotOnThatDay, match="is here only from"):
            see(animal, day=date(2026, 3, day))


@pytest.mark.parametrize("kind", ["sale", "death"])
@pytest.mark.parametrize(("day", "allowed"), [(1, True), (2, True), (3, False)])
def test_an_animal_is_seen_up_to_the_day_it_left(kind, day, allowed):
    animal = make.animal()
    make.departure(animal, kind=kind)
    if allowed:
        assert see(animal, day=date(2026, 3, day))
    else:
        with pytest.raises(NotOnThatDay):
            see(animal, day=date(2026, 3, day))


@pytest.mark.parametrize(("day", "allowed"), [(9, True), (10, True), (11, False)])
def test_nothing_is_seen_ahead(day, allowed):
    animal = make.animal()
    if allowed:
        assert see(animal, kind="weight", grams="4.2", day=date(2026, 3, day))
    else:
        with pytest.raises(NotOnThatDay):
            see(animal, kind="weight", grams="4.2", day=date(2026, 3, day))


def test_a_sign_is_open_until_it_is_recorded_gone():
    animal = make.animal()
    sign = see(animal, kind="sign", text="thin")
    assert list(open_signs(animal)) == [sign]
    person = make.user()
    sign_gone(sign, date(2026, 3, 4), person, at=NOON)
    sign.refresh_from_db()
    assert (sign.end, sign.ended_by, sign.ended_at) == (date(2026, 3, 4), person, NOON)
    assert not open_signs(animal).exists()


@pytest.mark.parametrize(("day", "allowed"), [(1, False), (2, True), (10, True), (11, False)])
def test_a_sign_goes_between_the_day_it_was_seen_and_today(day, allowed):
    sign = see(make.animal(), kind="sign", text="thin")
    if allowed:
        assert sign_gone(sign, date(2026, 3, day), make.user(), at=NOON)
    else:
        with pytest.raises(NotOnThatDay):
            sign_gone(sign, date(2026, 3, day), make.user(), at=NOON)
