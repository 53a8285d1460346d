"""A finding of sex is entered through one door, on a day on which it can have been made."""

from datetime import UTC, date, datetime

import pytest

from registry.finding import WrongSexForBasis, find_sex
from registry.lifetime import NotOnThatDay
from registry.models import SexFinding
from tests import make

pytestmark = pytest.mark.django_db
NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)


def find(animal, sex="male", basis="calling", day=make.DAY, at=NOON):
    return find_sex(animal, sex, basis, day, make.user(), at=at)


def test_a_finding_is_kept_with_who_entered_it_and_when():
    finding = find(make.animal())
    assert (finding.sex, finding.basis, finding.day) == ("male", "calling", make.DAY)
    assert finding.entered_at == NOON
    assert finding.entered_by is not None


@pytest.mark.parametrize(("sex", "basis"), [("female", "calling"), ("male", "laid")])
def test_males_call_and_females_lay(sex, basis):
    with pytest.raises(WrongSexForBasis, match="Calling shows a male"):
        find(make.animal(), sex=sex, basis=basis)
    assert not SexFinding.objects.exists()


@pytest.mark.parametrize(("day", "allowed"), [(1, False), (2, True), (3, True)])
def test_nothing_is_found_before_birth(day, allowed):
    animal = make.animal(born=date(2026, 3, 2), here_since=date(2026, 3, 2))
    if allowed:
        assert find(animal, basis="dna", day=date(2026, 3, day))
    else:
        with pytest.raises(NotOnThatDay, match="was not born on 1 Mar 2026"):
            find(animal, basis="dna", day=date(2026, 3, day))


@pytest.mark.parametrize(
    ("precision", "first"),
    [("month", date(2026, 3, 1)), ("year", date(2026, 1, 1)), ("about", date(2026, 2, 13))],
)
def test_an_inexact_birth_rules_out_only_what_is_certain(precision, first):
    animal = make.animal(born=date(2026, 3, 15), born_precision=precision)
    assert find(animal, basis="dna", day=first)
    with pytest.raises(NotOnThatDay):
        find(animal, basis="dna", day=date.fromordinal(first.toordinal() - 1))


@pytest.mark.parametrize(("day", "allowed"), [(9, True), (10, True), (11, False)])
def test_nothing_is_found_ahead(day, allowed):
    animal = make.animal()
    if allowed:
        assert find(animal, day=date(2026, 3, day))
    else:
        with pytest.raises(NotOnThatDay, match="still to come"):
            find(animal, day=date(2026, 3, day))


@pytest.mark.parametrize(("day", "allowed"), [(1, True), (2, True), (3, False)])
def test_the_dead_do_not_call(day, allowed):
    animal = make.animal()
    make.departure(animal, kind="death")
    if allowed:
        assert find(animal, day=date(2026, 3, day))
    else:
        with pytest.raises(NotOnThatDay, match="died on 2 Mar 2026"):
            find(animal, day=date(2026, 3, day))


def test_a_dead_animal_can_still_be_sexed_by_dna():
    animal = make.animal()
    make.departure(animal, kind="death")
    assert find(animal, sex="female", basis="dna", day=date(2026, 3, 5))
