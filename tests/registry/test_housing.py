"""Parents from housing: who was there in the window, mature and alive, of a fitting sex."""

from datetime import date, timedelta

import pytest

from registry.conception import Window
from registry.herd import Herd
from registry.housing import housing, housing_of
from registry.parentage import state_parents
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.DAY
ONE = timedelta(days=1)


def housed(*, taxon=None, first=DAY, last=DAY, enclosure=None):
    return housing(enclosure, taxon or make.taxon(), Window(first=first, last=last))


def codes(animals):
    return [a.code for a in animals]


def in_tank(*animals, **more):
    tank = make.enclosure()
    for animal in animals:
        make.stay(animal, tank, **more)
    return tank


def test_one_male_and_one_female_are_certain_parents():
    m, f = make.animal("M", sex="male"), make.animal("F", sex="female")
    found = housed(enclosure=in_tank(m, f))
    assert found.statements() == [("sire", [(m, 1)]), ("dam", [(f, 1)])]


def test_several_are_one_of_with_equal_weights():
    m1, m2 = make.animal("M1", sex="male"), make.animal("M2", sex="male")
    f = make.animal("F", sex="female")
    found = housed(enclosure=in_tank(m1, m2, f))
    assert found.statements() == [("sire", [(m1, 0.5), (m2, 0.5)]), ("dam", [(f, 1)])]


def test_two_unsexed_alone_together_are_a_pair_either_way():
    x, y = make.animal("X"), make.animal("Y")
    tank = in_tank(x, y)
    clutch = make.clutch(enclosure=tank)
    ((role, candidates),) = housing_of(clutch).statements()
    assert (role, candidates) == ("pair", [(x, y, 0.5), (y, x, 0.5)])
    state_parents(clutch, role, candidates, "housed", DAY, make.user())
    p, q = make.young(clutch, "P"), make.young(clutch, "Q")
    assert Herd([p, q]).kinship(p, q)[0] == pytest.approx(1 / 4)
    assert 2 * Herd([p]).kinship(p, p)[0] - 1 == 0


def test_a_weak_sex_rules_nobody_out():
    a = make.animal("A", sex="male", basis="calling")
    b = make.animal("B", sex="male", basis="looks")
    c = make.animal("C", sex="female", basis="laid")
    found = housed(enclosure=in_tank(a, b, c))
    assert codes(found.sires) == ["A", "B"]
    assert codes(found.dams) == ["B", "C"]
    assert found.seen(dam=c).statements() == [("sire", [(a, 0.5), (b, 0.5)]), ("dam", [(c, 1)])]


@pytest.mark.parametrize(("start", "there"), [(-1, True), (0, True), (1, False)])
def test_who_came_after_the_last_day_is_left_out(start, there):
    tank = in_tank(make.animal("M", sex="male"), start=DAY + start * ONE)
    assert bool(housed(enclosure=tank).sires) is there


@pytest.mark.parametrize(("end", "there"), [(-1, False), (0, False), (1, True)])
def test_who_had_left_before_the_first_day_is_left_out(end, there):
    tank = in_tank(make.animal("M", sex="male"), end=DAY + end * ONE)
    assert bool(housed(enclosure=tank).sires) is there


def test_one_there_for_a_part_of_the_first_day_counts():
    tank = in_tank(make.animal("M", sex="male"), start=DAY, end=DAY)
    assert housed(enclosure=tank).sires


@pytest.mark.parametrize(("age", "there"), [(364, False), (365, True), (366, True)])
def test_the_immature_are_left_out(age, there):
    tank = in_tank(make.animal("M", sex="male", born=DAY - age * ONE))
    assert bool(housed(enclosure=tank).sires) is there


@pytest.mark.parametrize(("died", "there"), [(-1, False), (0, True), (1, True)])
def test_the_dead_are_left_out(died, there):
    animal = make.animal("M", sex="male")
    tank = in_tank(animal)
    make.departure(animal, kind="death", day=DAY + died * ONE)
    assert bool(housed(enclosure=tank).sires) is there


@pytest.mark.parametrize(("end", "there"), [(-31, False), (-30, False), (-29, True)])
def test_stored_sperm_opens_the_window_earlier(end, there):
    taxon = make.taxon("Storing taxon", stored_sperm_days=30)
    tank = in_tank(make.animal("M", sex="male", taxon=taxon), end=DAY + end * ONE)
    assert bool(housed(enclosure=tank, taxon=taxon).sires) is there


def test_another_taxon_is_a_parent_only_where_it_could_cross():
    near = make.animal("N", taxon=make.taxon("Dendrobates leucomelas"))
    far = make.animal("R", taxon=make.taxon("Epipedobates anthonyi"))
    assert codes(housed(enclosure=in_tank(near, far)).sires) == ["N"]


def test_nobody_there_gives_no_statement_and_says_so():
    found = housed(enclosure=make.enclosure("E9"))
    assert found.statements() == []
    assert found.words() == ("Nobody on record was in E9 between 2 Mar 2026 and 2 Mar 2026.")


def test_one_unsexed_alone_gives_no_statement():
    assert housed(enclosure=in_tank(make.animal("X"))).statements() == []


@pytest.mark.parametrize(
    ("found_as", "seen", "first", "last"),
    [
        ("laid", True, 0, 0),
        ("laid", False, 60, 0),
        ("hatched", True, 21, 7),
        ("hatched", False, 81, 7),
        ("metamorphosed", True, 112, 84),
        ("metamorphosed", False, 172, 84),
    ],
)
def test_the_window_follows_the_figures_of_the_taxon(found_as, seen, first, last):
    clutch = make.clutch(laid=None, found_as=found_as, began_seen=seen)
    window = housing_of(clutch).window
    assert window == Window(first=DAY - first * ONE, last=DAY - last * ONE)


def test_a_known_day_of_laying_is_the_window():
    clutch = make.clutch(found_as="hatched", laid=date(2026, 2, 1), laid_precision="month")
    assert housing_of(clutch).window == Window(first=date(2026, 2, 1), last=date(2026, 2, 28))
