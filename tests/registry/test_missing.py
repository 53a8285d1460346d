"""Not found, found again, out and back: each on a day on which it can have been."""

from datetime import UTC, date, datetime

import pytest

from registry.lifetime import NotOnThatDay
from registry.missing import AlreadyMissing, ReasonWanted, find_again, go_out, miss, missing_now
from tests import make

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)


def day(n):
    return date(2026, 3, n)


def missed(on=2):
    return miss(make.animal(), day(on), make.user(), at=NOON)


def test_an_animal_is_missing_until_it_is_found_again():
    entry, tank = missed(), make.enclosure()
    assert missing_now(entry.animal) == entry
    find_again(entry, day(4), tank, make.user(), at=NOON)
    entry.refresh_from_db()
    assert (entry.found_on, entry.found_in, entry.found_at) == (day(4), tank, NOON)
    assert missing_now(entry.animal) is None


def test_an_animal_is_missed_once_at_a_time():
    entry = missed()
    with pytest.raises(AlreadyMissing, match="not found since 2 Mar 2026"):
        miss(entry.animal, day(3), make.user(), at=NOON)


@pytest.mark.parametrize(("on", "allowed"), [(9, True), (10, True), (11, False)])
def test_nothing_is_missed_ahead(on, allowed):
    if allowed:
        assert missed(on)
    else:
        with pytest.raises(NotOnThatDay):
            missed(on)


@pytest.mark.parametrize(("on", "allowed"), [(1, False), (2, True), (3, True), (11, False)])
def test_it_is_found_on_or_after_the_day_it_was_missed(on, allowed):
    entry, tank = missed(), make.enclosure()
    if allowed:
        assert find_again(entry, day(on), tank, make.user(), at=NOON)
    else:
        with pytest.raises(NotOnThatDay):
            find_again(entry, day(on), tank, make.user(), at=NOON)


@pytest.mark.parametrize(("on", "allowed"), [(1, True), (2, True), (3, False)])
def test_whoever_has_left_is_neither_missed_nor_out(on, allowed):
    animal = make.animal()
    make.departure(animal, day=day(2))
    acts = (
        lambda: miss(animal, day(on), make.user(), at=NOON),
        lambda: go_out(animal, day(on), "photographs", "Met nobody.", make.user(), at=NOON),
    )
    for act in acts:
        if allowed:
            assert act()
        else:
            with pytest.raises(NotOnThatDay):
                act()


def test_an_outing_says_why_it_is_no_arrival():
    animal = make.animal()
    with pytest.raises(ReasonWanted):
        go_out(animal, day(2), "a visit to the veterinarian", " ", make.user(), at=NOON)
    outing = go_out(
        animal, day(2), "a visit to the veterinarian", "Met nobody.", make.user(), at=NOON
    )
    assert outing.reason == "Met nobody."


@pytest.mark.parametrize(("moved_on", "until"), [(None, None), (8, day(8))])
def test_one_found_elsewhere_has_moved_there(moved_on, until):
    """From the day it was found, up to the next move on record."""
    entry, own, other = missed(), make.enclosure("A"), make.enclosure("B")
    make.stay(entry.animal, own, end=moved_on and day(moved_on))
    if moved_on:
        make.stay(entry.animal, make.enclosure("C"), start=day(moved_on))
    find_again(entry, day(4), other, make.user(), at=NOON)
    stay = entry.animal.stays.current().get(enclosure=other)
    assert (stay.start, stay.end) == (day(4), until)
    assert entry.animal.stays.current().get(enclosure=own).end == day(4)


def test_one_found_where_it_was_has_not_moved():
    """Its stay goes on."""
    entry, own = missed(), make.enclosure("A")
    stay = make.stay(entry.animal, own)
    find_again(entry, day(4), own, make.user(), at=NOON)
    assert entry.animal.stays.current().get() == stay
