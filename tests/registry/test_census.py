"""What a line keeps of its founders, on any day and over the years."""

from datetime import date, timedelta

import pytest

from registry.census import Census
from registry.models import Missing
from tests import make

from .umbral import MADE, line_of, umbral

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)
ONE = timedelta(days=1)


def figures(collected):
    """Return gene diversity and founder genome equivalents as they are printed."""
    return round(collected.gene_diversity, 3), round(collected.founder_genome_equivalents, 2)


def census(animals):
    """Return the census of the line of some animals."""
    return Census(line_of(next(iter(animals.values()))))


def test_the_six_of_the_male_who_laid():
    """While the sire is one of two, everybody of the founders may have bred."""
    kept = census(umbral()).kept(DAY)
    assert figures(kept.living) == (0.799, 2.48)
    assert kept.idle == ()
    assert kept.proven is kept.living


def test_once_the_sire_is_settled_the_other_is_counted_and_left_out_by_turns():
    animals = umbral(sires=["A"])
    kept = census(animals).kept(DAY)
    assert kept.living.gene_diversity == pytest.approx(19 / 24, abs=1e-12)
    assert figures(kept.living) == (0.792, 2.4)
    assert kept.idle == (animals["B"],)
    assert figures(kept.proven) == (0.72, 1.79)


def test_young_that_have_not_bred_are_counted_either_way():
    """Only founders are left out: the genes of the young are their parents'."""
    kept = census(umbral(sires=["A"])).kept(DAY)
    assert len(kept.living.mean_kinships) == 6
    assert len(kept.proven.mean_kinships) == 5


def test_eggs_that_came_to_nothing_are_no_young():
    idle = make.animal("I")
    clutch = make.clutch("K9")
    make.parent(clutch, "dam", idle)
    assert Census(line_of(idle)).idle(DAY) == [idle]


def test_young_of_another_line_count_as_young():
    one, other = make.animal("M"), make.animal("F", locality=make.locality("Alder Ford"))
    clutch = make.clutch("K9", found_on=MADE)
    make.parent(clutch, "sire", one)
    make.parent(clutch, "dam", other)
    make.young(clutch, locality=make.locality("mixed Alder Ford x Grey Mill"))
    assert Census(line_of(one)).idle(DAY) == []
    assert Census(line_of(other)).idle(DAY) == []


@pytest.mark.parametrize(("days", "idle"), [(-1, True), (0, False), (1, False)])
def test_a_founder_has_bred_from_the_day_its_young_was_born(days, idle):
    animals = umbral(sires=["A"])
    born = animals["P"].born
    there = census(animals).idle(born + days * ONE)
    assert (animals["A"] in there) is idle


def test_withdrawn_parents_do_not_count():
    animals = umbral(sires=["A"])
    for code in ("K1", "K2"):
        animals[code].descents.get(role="sire").withdrawn(by=make.user(), why="A slip.")
    assert animals["A"] in census(animals).idle(DAY)


def test_nobody_has_no_figures():
    animal = make.animal()
    make.departure(animal, kind="death", day=DAY)
    kept = Census(line_of(animal)).kept(DAY)
    assert (kept.living, kept.proven) == (None, None)


def test_founders_that_never_bred_alone_leave_nobody_to_count():
    kept = Census(line_of(make.animal())).kept(DAY)
    assert figures(kept.living) == (0.5, 1.0)
    assert kept.proven is None


def test_a_missing_parent_flatters_and_the_traced_share_says_so():
    animals = umbral(sires=["A"])
    known = census(animals).kept(DAY).living
    for code in ("K1", "K2"):
        animals[code].descents.get(role="sire").withdrawn(by=make.user(), why="A slip.")
    flattered = census(animals).kept(DAY).living
    assert known.traced == 1
    assert flattered.gene_diversity > known.gene_diversity
    assert flattered.traced == pytest.approx((3 + 3 * 0.5) / 6)


@pytest.mark.parametrize(("days", "count"), [(-1, 6), (0, 5), (1, 5)])
def test_the_dead_are_counted_up_to_the_day_before(days, count):
    animals = umbral()
    make.departure(animals["B"], kind="death", day=DAY)
    assert len(census(animals).here(DAY + days * ONE)) == count


@pytest.mark.parametrize(("days", "count"), [(6, 6), (7, 5), (8, 5)])
def test_the_missing_are_counted_for_seven_days(days, count):
    animals = umbral()
    Missing.objects.create(animal=animals["B"], day=DAY)
    assert len(census(animals).here(DAY + days * ONE)) == count


def test_every_year_has_a_point_and_the_running_one_stands_at_the_day_asked():
    found = census(umbral()).years(DAY)
    assert found == [*(date(year, 12, 31) for year in range(2020, 2026)), DAY]


def test_over_the_years_each_point_counts_who_was_here_then():
    animals = umbral()
    make.departure(animals["A"], kind="death", day=date(2024, 6, 1))
    counts = [len(k.living.mean_kinships) for k in census(animals).over_the_years(DAY)]
    assert counts == [3, 3, 6, 6, 5, 5, 5]


def test_a_line_that_began_long_ago_is_followed_back_sixty_years():
    old = make.animal(here_since=date(1903, 1, 1))
    assert len(Census(line_of(old)).years(DAY)) == 61


def test_the_rarest_genes_come_first():
    members = census(umbral(sires=["A"])).members(DAY)
    assert [m.animal.code for m in members] == ["B", "A", "C", "P", "Q", "R"]
    assert members[0].mean_kinship == pytest.approx(0.5 / 6)
    assert members[1].mean_kinship == pytest.approx((0.5 + 3 * 0.25) / 6)


def test_figures_take_no_more_queries_for_more_animals(django_assert_max_num_queries):
    animals = umbral()
    clutch = animals["K2"]
    for _ in range(20):
        make.young(clutch, locality=animals["A"].locality)
    with django_assert_max_num_queries(13):
        found = census(animals)
        found.tally(DAY)
        found.over_the_years(DAY)
        found.members(DAY)
