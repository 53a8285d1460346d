"""Lines counted on a day: who lives, who can breed, what is left, and what lets a line die out."""

from datetime import date, timedelta

import pytest

from registry.census import Census
from registry.lines import Line, Tally, lines_on
from registry.models import Missing
from tests import make

from .umbral import line_of, umbral

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)
ONE = timedelta(days=1)


def the_line(on=DAY):
    """Return the tally of the only line."""
    (tally,) = lines_on(on)
    return tally


def sentences(tally):
    """Return why a line is dying out."""
    return [sentence for _, sentence in tally.dangers]


def tally(**more):
    """Return a line that is well: two pairs, young this year."""
    made = {
        "line": Line(taxon=make.taxon()),
        "on": DAY,
        "living": (2, 2, 0),
        "able": (2, 2, 0),
        "ever": 4,
        "founders": 4,
        "left": 4,
        "last_young": DAY - 100 * ONE,
        "since": date(2020, 1, 1),
    }
    return Tally(**made | more)


def test_the_living_are_counted_by_sex():
    umbral()
    found = the_line()
    assert (found.living, found.able) == ((2, 1, 3), (2, 1, 3))
    assert (found.founders, found.left) == (3, 3)


@pytest.mark.parametrize(("days", "able"), [(-1, (1, 0, 0)), (0, (2, 0, 0)), (1, (2, 0, 0))])
def test_an_animal_can_breed_from_the_age_of_maturity_on(days, able):
    make.animal(sex="male", born=date(2020, 1, 1))
    make.animal(sex="male", born=DAY - 365 * ONE)
    assert the_line(DAY + days * ONE).able == able


@pytest.mark.parametrize(("days", "count"), [(-1, 1), (0, 2), (1, 2)])
def test_an_animal_counts_from_the_day_it_came(days, count):
    make.animal()
    make.animal(here_since=DAY)
    assert the_line(DAY + days * ONE).count == count


@pytest.mark.parametrize("kind", ["death", "sale", "loan"])
@pytest.mark.parametrize(("days", "count"), [(-1, 2), (0, 1), (1, 1)])
def test_an_animal_no_longer_counts_on_the_day_it_dies_or_leaves(kind, days, count):
    make.animal()
    make.departure(make.animal(), kind=kind, day=DAY)
    assert the_line(DAY + days * ONE).count == count


@pytest.mark.parametrize(("days", "count"), [(6, 2), (7, 1), (8, 1)])
def test_an_animal_missing_for_seven_days_counts_as_dead(days, count):
    make.animal()
    Missing.objects.create(animal=make.animal(), day=DAY)
    assert the_line(DAY + days * ONE).count == count


@pytest.mark.parametrize(("days", "count"), [(19, 1), (20, 2)])
def test_an_animal_found_again_counts_again(days, count):
    make.animal()
    Missing.objects.create(animal=make.animal(), day=DAY, found_on=DAY + 20 * ONE)
    assert the_line(DAY + days * ONE).count == count


def test_a_founder_is_lost_when_it_is_dead_without_living_descendants():
    animals = umbral(sires=["A"])
    make.departure(animals["B"], kind="death", day=DAY)
    assert (the_line().founders, the_line().left) == (3, 2)


def test_a_dead_founder_is_left_in_its_young():
    animals = umbral(sires=["A"])
    make.departure(animals["A"], kind="death", day=DAY)
    assert (the_line().founders, the_line().left) == (3, 3)


def test_unknown_locality_is_a_line_of_its_own():
    umbral()
    make.animal(taxon=make.taxon("Ranitomeya variabilis"), locality=None)
    assert {t.line.place for t in lines_on(DAY)} == {"Cerro Umbral", "unknown locality"}


def test_an_animal_that_never_was_here_makes_no_line():
    make.animal(arrived=False)
    assert lines_on(DAY) == []


def test_lines_of_another_taxon_are_left_out_where_one_is_asked():
    umbral()
    other = make.animal()
    assert [t.line.taxon for t in lines_on(DAY, other.taxon)] == [other.taxon]


def test_a_line_that_is_well_has_no_dangers():
    assert not tally().is_dying


@pytest.mark.parametrize(
    ("living", "sentence"),
    [
        ((1, 0, 0), "One animal is left."),
        ((3, 0, 0), "No pair is possible: all 3 are males."),
        ((0, 2, 0), "No pair is possible: all 2 are females."),
    ],
)
def test_a_line_without_a_pair_is_dying(living, sentence):
    assert sentences(tally(living=living, able=living, ever=sum(living))) == [sentence]


@pytest.mark.parametrize("living", [(0, 0, 2), (1, 0, 1), (0, 1, 1), (1, 1, 0)])
def test_two_that_may_differ_in_sex_are_a_possible_pair(living):
    assert sentences(tally(living=living, able=living, ever=2)) == []


def test_a_line_of_young_only_waits_for_them():
    said = sentences(tally(living=(0, 0, 9), able=(0, 0, 0), ever=9))
    assert said == ["No pair is possible until the young are grown; none can breed."]


@pytest.mark.parametrize(("days", "dying"), [(-1, False), (0, True), (1, True)])
def test_a_line_is_dying_three_years_after_the_last_young(days, dying):
    found = tally(last_young=date(2023, 3, 2), on=DAY + days * ONE)
    assert found.is_dying is dying
    if dying:
        assert sentences(found) == ["No young for 3 years: the last was born 2 Mar 2023."]


@pytest.mark.parametrize(("days", "dying"), [(-1, False), (0, True), (1, True)])
def test_a_line_is_dying_that_had_no_young_in_three_years(days, dying):
    found = tally(last_young=None, since=date(2023, 3, 2), on=DAY + days * ONE)
    assert sentences(found) == (["No young in the 3 years it has been here."] if dying else [])


@pytest.mark.parametrize(("count", "dying"), [(4, True), (5, False)])
def test_few_that_are_left_of_more_are_in_danger(count, dying):
    assert tally(living=(1, count - 1, 0), ever=9).is_dying is dying
    assert not tally(living=(1, count - 1, 0), ever=count).is_dying


def test_dying_lines_come_first_the_gravest_before_the_others_and_those_gone_last():
    well = [tally(living=(3, 3, 0)), tally(living=(5, 5, 0))]
    grave = tally(living=(1, 0, 0), able=(1, 0, 0))
    tired = tally(last_young=date(2020, 1, 1))
    gone = tally(living=(0, 0, 0), able=(0, 0, 0))
    shuffled = [gone, *well, tired, grave]
    assert sorted(shuffled, key=lambda t: t.rank)[:2] == [grave, tired]
    assert sorted(shuffled, key=lambda t: t.rank)[-1] == gone


def test_a_line_nobody_is_left_of_is_gone_and_not_dying():
    make.departure(make.animal(), kind="death", day=DAY)
    found = the_line()
    assert (found.count, found.ever, found.is_dying) == (0, 1, False)


@pytest.mark.parametrize("days", [0, 400, 800])
def test_the_list_and_the_line_itself_count_the_same(days):
    animals = umbral()
    make.departure(animals["B"], kind="death", day=DAY)
    Missing.objects.create(animal=animals["Q"], day=DAY)
    make.arrival([animals["R"]], day=DAY, kind="return")
    make.departure(animals["R"], kind="loan", day=DAY - ONE)
    on = DAY - days * ONE
    assert Census(line_of(animals["A"])).tally(on) == the_line(on)


def test_the_list_takes_as_many_queries_for_many_lines_as_for_one(django_assert_max_num_queries):
    umbral()
    with django_assert_max_num_queries(12) as one:
        lines_on(DAY)
    for name in ("Grey Mill", "Alder Ford", "Low Fen"):
        make.animal(locality=make.locality(name))
    with django_assert_max_num_queries(len(one)):
        assert len(lines_on(DAY)) == 4
