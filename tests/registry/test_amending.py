"""What was entered wrong is corrected through the rules, and the first entry stays readable."""

from datetime import UTC, date, datetime

import pytest

from registry.amending import correct_departure, correct_move, take_back, take_back_departure
from registry.departing import depart
from registry.models import Departure, Stay
from registry.objections import ReasonsMissing, Stopped
from registry.placement import Placement, place
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
NOON = datetime(2026, 3, 20, 12, tzinfo=UTC)


def day(n):
    return date(2026, 3, n)


def move(animal, enclosure, start, until=None):
    placement = Placement(day=start, enclosure=enclosure, animals=(animal,), until=until)
    return place(placement, by=make.user(), at=NOON)[0]


def where(animal):
    rows = Stay.objects.current().filter(animal=animal).exclude(start__year=2020)
    return [(s.enclosure.code, s.start, s.end) for s in rows]


def moved(start=5, until=None):
    """Return an animal moved from E1 to E2, and that stay."""
    animal = make.animal("D-01")
    make.stay(animal, make.enclosure("E1"))
    return animal, move(animal, make.enclosure("E2"), day(start), until)


def test_a_move_that_never_was_leaves_the_animal_where_it_had_been():
    animal, stay = moved()
    take_back(stay, by=make.user(), why="It was D-02.", at=NOON)
    assert where(animal) == [("E1", day(5), None)]
    stay.refresh_from_db()
    assert stay.replaced_by.void
    assert stay.replaced_by.why == "It was D-02."


def test_taking_a_move_back_meets_the_rules_for_the_company_there_now():
    animal, stay = moved()
    other = make.animal(taxon=make.taxon("Dendrobates leucomelas"))
    make.stay(other, Stay.objects.get(animal=animal, start__year=2020).enclosure, start=day(6))
    with pytest.raises(Stopped, match="could cross"):
        take_back(stay, by=make.user(), why="It was D-02.", at=NOON)
    stay.refresh_from_db()
    assert stay.superseded_at is None


def test_a_first_stay_is_taken_back_to_nowhere():
    animal = make.animal()
    stay = move(animal, make.enclosure(), day(5))
    assert take_back(stay, by=make.user(), why="Not yet unpacked.", at=NOON) is None
    assert where(animal) == []


@pytest.mark.parametrize(
    ("on", "stays"),
    [
        (4, [("E3", day(4), None)]),
        (5, [("E3", day(5), None)]),
        (6, [("E1", day(5), day(6)), ("E3", day(6), None)]),
    ],
)
def test_a_move_is_put_right_to_another_day_and_enclosure(on, stays):
    animal, stay = moved()
    there = make.enclosure("E3")
    correct_move(stay, day=day(on), enclosure=there, by=make.user(), why="A slip.", at=NOON)
    assert where(animal) == stays


def test_a_correction_asks_what_a_move_would_ask():
    animal, stay = moved()
    full = make.enclosure("E3", room_for=0)
    with pytest.raises(ReasonsMissing, match="has room for 0"):
        correct_move(stay, day=day(5), enclosure=full, by=make.user(), why="A slip.", at=NOON)
    assert where(animal) == [("E2", day(5), None)]


def died(on=5):
    animal = make.animal("D-01")
    make.stay(animal, make.enclosure("E1"))
    return animal, depart(animal, day(on), "death", None, make.user(), at=NOON)


def test_a_departure_that_never_was_leaves_the_animal_where_it_had_been():
    animal, death = died()
    take_back_departure(death, by=make.user(), why="It was D-02.", at=NOON)
    assert where(animal) == [("E1", day(5), None)]
    assert not Departure.objects.current().exists()
    assert depart(animal, day(7), "death", None, make.user(), at=NOON)


@pytest.mark.parametrize(("on", "end"), [(4, day(4)), (5, day(5)), (6, day(6))])
def test_the_day_of_a_departure_is_put_right_and_the_stay_with_it(on, end):
    animal, death = died()
    new = correct_departure(
        death, {"day": day(on), "cause": "old age"}, by=make.user(), why="Misread.", at=NOON
    )
    assert (new.day, new.cause, new.replaces) == (day(on), "old age", death)
    ends = [s.end for s in Stay.objects.current().filter(animal=animal)]
    assert max(ends) == end
    assert None not in ends


@pytest.mark.parametrize(("on", "allowed"), [(19, True), (20, True), (21, False)])
def test_a_departure_is_not_put_right_to_a_day_still_to_come(on, allowed):
    _, death = died()
    if allowed:
        assert correct_departure(death, {"day": day(on)}, by=make.user(), why="x", at=NOON)
    else:
        with pytest.raises(Stopped, match="still to come"):
            correct_departure(death, {"day": day(on)}, by=make.user(), why="x", at=NOON)


def test_a_death_corrected_to_a_sale_names_the_receiver():
    _, death = died()
    with pytest.raises(Stopped, match="Name who received"):
        correct_departure(death, {"kind": "sale"}, by=make.user(), why="Sold.", at=NOON)
    sale = {"kind": "sale", "receiver": make.party()}
    assert correct_departure(death, sale, by=make.user(), why="Sold.", at=NOON).kind == "sale"
