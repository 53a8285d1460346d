"""Whom an animal may be paired with, and in which order."""

from datetime import date

import pytest

from registry import mates as m
from tests import make

pytestmark = pytest.mark.django_db
ON = date(2026, 3, 2)


@pytest.fixture
def family():
    """A proven pair, one grown daughter, and an unrelated female."""
    sire, dam = make.animal("S", sex="male"), make.animal("D", sex="female")
    clutch = make.clutch(found_on=date(2023, 1, 1))
    make.parent(clutch, "sire", sire)
    make.parent(clutch, "dam", dam)
    daughter = make.young(clutch, "DA", locality=sire.locality, sex="female")
    stranger = make.animal("X", sex="female")
    return {"S": sire, "D": dam, "DA": daughter, "X": stranger}


def ranked(animal, on=ON):
    """Return the codes of the mates, best first."""
    return [mate.animal.code for mate in m.mates(animal, m.candidates_for(animal, on), on)]


def test_the_unrelated_come_before_the_daughter(family):
    """A daughter is asked about, so she is last; of the unrelated the rarer line is first."""
    assert ranked(family["S"]) == ["X", "D", "DA"]


def test_a_known_animal_of_the_same_sex_is_no_candidate(family):
    """Two strong males cannot breed."""
    make.animal("M2", sex="male")
    assert "M2" not in ranked(family["S"])


def test_an_unsexed_animal_is_a_candidate(family):
    """It may be a female."""
    make.animal("U")
    assert "U" in ranked(family["S"])


def test_a_mate_carries_both_figures_and_what_is_traced(family):
    """A daughter's young by her sire would have F 1/4, and she is traced throughout."""
    found = m.mates(family["S"], [family["DA"]], ON)[0]
    assert (found.expected, found.worst, found.traced) == (0.25, 0.25, 1)
    assert "full siblings" in found.kinship_words()


@pytest.mark.parametrize(
    ("day", "there"),
    [(date(2024, 4, 9), False), (date(2024, 4, 10), True), (date(2024, 4, 11), True)],
)
def test_young_are_candidates_from_maturity_on(family, day, there):
    """Born 11 Apr 2023, mature at 365 days: the day before is too early."""
    family["DA"].born = date(2023, 4, 11)
    family["DA"].save()
    assert ("DA" in ranked(family["S"], day)) is there


def test_without_records_nobody_is_called_unrelated():
    """A captive-bred animal nobody told the parents of is no relation on record."""
    assert m.relation_words(0, 0, 0.5) == "no relation on record, 50 % traced"
    assert m.relation_words(0, 0, 1) == "unrelated"


def test_the_dead_and_the_sold_are_no_candidates(family):
    """Only who is here on the day counts."""
    make.departure(family["X"], day=date(2026, 3, 1))
    assert "X" not in ranked(family["S"])
    assert "X" in ranked(family["S"], date(2026, 2, 28))
