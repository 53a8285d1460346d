"""A clutch is entered whole, its counts fall down the stages, and nobody leaves it twice."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError

from registry.housing import housing_of
from registry.laying import (
    CountRefused,
    count_stage,
    end_clutch,
    enter_clutch,
    is_running,
    lose,
    remaining,
)
from registry.lifetime import NotOnThatDay
from registry.models import Clutch, Pairing, Stay
from registry.objections import Stopped
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)


def day(n):
    return date(2026, 3, n)


def found(enclosure, code="K1", **more):
    more = {"found_on": make.DAY, "laid": make.DAY, "found_as": "laid"} | more
    return Clutch(code=code, taxon=make.taxon(), enclosure=enclosure, **more)


def pair():
    m, f = make.animal("M", sex="male"), make.animal("F", sex="female")
    tank = make.enclosure()
    make.stay(m, tank)
    make.stay(f, tank)
    return m, f, tank


def test_a_clutch_is_entered_with_its_place_its_count_and_its_parents():
    m, f, tank = pair()
    cup = make.enclosure("cup 1")
    clutch = found(tank)
    proposed = housing_of(clutch)
    enter_clutch(
        clutch, into=cup, parents=proposed.statements(), note=proposed.words(), count=5,
        by=make.user(), at=NOON,
    )  # fmt: skip
    assert clutch.stays.get().enclosure == cup
    assert clutch.stages.get().count == 5
    sire = clutch.descents.get(role="sire")
    assert (sire.candidates.get().animal, sire.basis) == (m, "housed")
    assert clutch.descents.get(role="dam").candidates.get().animal == f
    assert sire.note == "Begun between 2 Mar 2026 and 2 Mar 2026; in " + f"{tank} then: F and M."


def test_a_known_pair_in_force_is_named_with_its_clutch():
    m, f, tank = pair()
    pairing = Pairing.objects.create(first=f, second=m, planned_on=day(1), began_on=day(1))
    clutch = found(tank)
    enter_clutch(
        clutch, into=tank, parents=housing_of(clutch).statements(), by=make.user(), at=NOON
    )
    assert clutch.pairing == pairing


def test_a_refused_clutch_leaves_nothing_behind():
    near = make.animal(taxon=make.taxon("Dendrobates leucomelas"))
    tank = make.enclosure()
    make.stay(near, tank)
    with pytest.raises(Stopped, match="could cross"):
        enter_clutch(found(tank), into=tank, by=make.user(), at=NOON)
    assert not Clutch.objects.exists()
    assert not Stay.objects.filter(clutch__isnull=False).exists()


def test_a_code_in_use_is_refused():
    make.clutch("K1")
    tank = make.enclosure()
    with pytest.raises(ValidationError):
        enter_clutch(found(tank), into=tank, by=make.user(), at=NOON)


@pytest.mark.parametrize(("on", "allowed"), [(9, True), (10, True), (11, False)])
def test_a_clutch_is_not_found_ahead(on, allowed):
    tank = make.enclosure()
    clutch = found(tank, found_on=day(on))
    if allowed:
        assert enter_clutch(clutch, into=tank, by=make.user(), at=NOON)
    else:
        with pytest.raises(NotOnThatDay):
            enter_clutch(clutch, into=tank, by=make.user(), at=NOON)


def count(clutch, stage, number, on=3):
    return count_stage(clutch, stage, day(on), number, make.user(), at=NOON)


@pytest.mark.parametrize(("number", "allowed"), [(9, True), (10, True), (11, False)])
def test_counts_fall_down_the_stages(number, allowed):
    clutch = make.clutch()
    count(clutch, "laid", 10)
    if allowed:
        assert count(clutch, "hatched", number)
    else:
        with pytest.raises(CountRefused, match="10 laid on 3 Mar 2026"):
            count(clutch, "hatched", number)


@pytest.mark.parametrize(("number", "allowed"), [(3, False), (4, True), (5, True)])
def test_an_earlier_stage_is_not_fewer_than_a_later_one(number, allowed):
    clutch = make.clutch()
    count(clutch, "metamorphosed", 4)
    if allowed:
        assert count(clutch, "hatched", number)
    else:
        with pytest.raises(CountRefused, match="4 metamorphosed"):
            count(clutch, "hatched", number)


def test_more_may_reach_a_stage_from_day_to_day_but_never_fewer():
    clutch = make.clutch()
    count(clutch, "metamorphosed", 3, on=4)
    assert count(clutch, "metamorphosed", 5, on=6)
    with pytest.raises(CountRefused, match="does not fall"):
        count(clutch, "metamorphosed", 4, on=7)
    with pytest.raises(CountRefused, match="does not fall"):
        count(clutch, "metamorphosed", 4, on=3)


def test_an_unknown_count_is_allowed_and_a_corrected_one_no_longer_counts():
    clutch = make.clutch()
    assert count(clutch, "laid", None).count is None
    slip = count(clutch, "fertile", 3)
    slip.corrected(by=make.user(), why="Counted again.", count=8)
    assert count(clutch, "hatched", 7)


@pytest.mark.parametrize(("on", "allowed"), [(1, False), (2, True), (10, True), (11, False)])
def test_a_clutch_is_counted_from_its_finding_to_today(on, allowed):
    clutch = make.clutch()
    if allowed:
        assert count(clutch, "laid", 3, on=on)
    else:
        with pytest.raises(NotOnThatDay):
            count(clutch, "laid", 3, on=on)


@pytest.mark.parametrize(("number", "allowed"), [(0, False), (1, True), (4, True), (5, False)])
def test_no_more_are_lost_than_are_left(number, allowed):
    clutch = make.clutch()
    count(clutch, "laid", 6)
    lose(clutch, 2, "mould", day(4), make.user(), at=NOON)
    if allowed:
        lose(clutch, number, "mould", day(5), make.user(), at=NOON)
        assert remaining(clutch) == 4 - number
    else:
        with pytest.raises(CountRefused, match="There are 4 left"):
            lose(clutch, number, "mould", day(5), make.user(), at=NOON)


def test_without_any_count_nothing_is_known_of_what_is_left():
    assert remaining(make.clutch()) is None


def test_a_clutch_ends_where_it_stood():
    clutch, tank = make.clutch(found_on=day(2)), make.enclosure()
    make.stay(clutch, tank, start=day(2))
    end_clutch(clutch, day(5), make.user(), at=NOON)
    assert is_running(clutch, day(5) - timedelta(days=1))
    assert not is_running(clutch, day(5))
