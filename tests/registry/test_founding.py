"""The founders of a line: where they came from, and what is left of them."""

from datetime import date

import pytest

from registry.census import Census
from registry.founding import BRED_HERE, by_source, founders_of
from registry.models import SourceGroup
from tests import make

from .umbral import MADE, line_of, umbral

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)


def founders(animal, on=DAY):
    """Return the founders of the line of an animal by what they are called."""
    census = Census(line_of(animal))
    return {f.words: f for f in founders_of(census, on, census.kept(on))}


def captive(code, **more):
    """Return a captive-bred animal that came from a breeder."""
    return make.animal(code, source_code="C", **more)


def test_shares_are_of_the_living_and_sum_to_one():
    found = founders(umbral(sires=["A"])["A"])
    assert {k: round(f.share * 12, 6) for k, f in found.items()} == {"A": 5, "B": 2, "C": 5}
    assert {k: round(f.proven * 10, 6) for k, f in found.items()} == {"A": 5, "B": 0, "C": 5}


def test_a_founder_without_living_descendants_is_listed_as_lost():
    animals = umbral(sires=["A"])
    make.departure(animals["B"], kind="death", day=DAY)
    found = founders(animals["A"])
    assert (found["B"].is_lost, found["B"].state) == (True, "dead")
    assert not found["A"].is_lost


def test_a_dead_founder_is_there_in_its_young():
    animals = umbral(sires=["A"])
    make.departure(animals["A"], kind="death", day=DAY)
    found = founders(animals["P"])
    assert (found["A"].state, round(found["A"].share * 10, 6)) == ("dead", 3)


@pytest.mark.parametrize(
    ("kind", "state"), [("sale", "gone (sale)"), ("loan", "gone (loan)"), ("death", "dead")]
)
def test_it_is_said_where_a_founder_is(kind, state):
    animals = umbral()
    make.departure(animals["C"], kind=kind, day=DAY)
    found = founders(animals["A"])
    assert (found["A"].state, found["C"].state) == ("here", state)


def test_founders_are_summed_up_by_whom_they_came_from():
    breeder, dealer = make.party("Isolde Querrin"), make.party("Brackenmoor Terraristics")
    for number, supplier in enumerate([breeder, breeder, dealer]):
        make.arrival([make.animal(f"W-{number}", arrived=False)], supplier=supplier)
    lost = make.animal("W-9", arrived=False)
    make.arrival([lost], supplier=dealer)
    make.departure(lost, kind="death", day=DAY)
    found = by_source(founders(lost).values())
    assert [(s.name, s.founders, s.left, round(s.share, 3)) for s in found] == [
        ("Isolde Querrin", 2, 2, 0.667),
        ("Brackenmoor Terraristics", 2, 1, 0.333),
    ]


def test_founders_nobody_saw_are_called_by_their_source():
    group = SourceGroup.objects.create(name="Querrin's stock", belief="counted", sires=1, dams=2)
    bred = captive("Z-1", source_group=group)
    captive("Z-2", source_group=group)
    found = founders(bred)
    assert {k: round(f.share, 3) for k, f in found.items()} == {
        "unseen sire 1 of Querrin's stock": 0.5,
        "unseen dam 1 of Querrin's stock": 0.25,
        "unseen dam 2 of Querrin's stock": 0.25,
    }
    assert {f.source for f in found.values()} == {str(bred.arrivals.get().supplier)}


def test_of_a_captive_bred_animal_with_nothing_said_four_founders_stand_behind():
    bred = captive("Z-1")
    assert set(founders(bred)) == {
        f"unseen {side} {number} of Z-1" for side in ("sire", "dam") for number in (1, 2)
    }


def test_a_missing_parent_is_called_by_its_young():
    dam = make.animal("D")
    clutch = make.clutch("K9", found_on=MADE)
    make.parent(clutch, "dam", dam)
    make.young(clutch, "Y", locality=dam.locality)
    found = founders(dam)
    assert found["unknown sire of Y"].source == BRED_HERE
    assert found["unknown sire of Y"].share == 0.25


def test_an_outsider_is_called_by_the_statement_that_leaves_room_for_it():
    sire, dam = make.animal("S"), make.animal("D")
    clutch = make.clutch("K9", found_on=MADE)
    make.parent(clutch, "sire", sire, weights=[0.75])
    make.parent(clutch, "dam", dam)
    make.young(clutch, "Y", locality=dam.locality)
    found = founders(dam)
    assert round(found["a sire nobody named, of K9"].share * 24, 6) == 1


def test_a_founder_that_came_later_is_not_listed_before():
    animals = umbral()
    make.animal("N", here_since=DAY, taxon=animals["A"].taxon, locality=animals["A"].locality)
    assert "N" not in founders(animals["A"], date(2026, 3, 1))
    assert "N" in founders(animals["A"], DAY)
