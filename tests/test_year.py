"""After a year through the doors the register is sound, and what is unsound is noticed.

Eight pairs are kept here; `KINWARD_YEAR_PAIRS=40` keeps a room of sixty enclosures, in minutes.
"""

import os

import pytest
from django.db import models, transaction
from django.utils import timezone

from registry import models as m
from tests import make
from tests import year_checks as checks
from tests.year import OFTEN, Year

pytestmark = pytest.mark.django_db
PAIRS = int(os.environ.get("KINWARD_YEAR_PAIRS", 8))
LINES = models.QuerySet(m.RegisterLine)  # goes round what keeps lines as they were written


@pytest.fixture(scope="module")
def kept(django_db_setup, django_db_blocker):
    """The year, kept once for all tests of this file."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield Year(pairs=PAIRS).keep()
        transaction.set_rollback(True)


@pytest.fixture
def said(kept):
    """Return what the checks say after something was broken, and that they said nothing before."""

    def after(breaks):
        breaks()
        return " ".join(checks.problems(kept.today))

    return after


def test_a_year_through_the_doors_leaves_the_register_sound(kept):
    """Whatever was refused, every check holds; and the year was as full as a year is."""
    assert checks.problems(kept.today) == []
    young = m.Animal.objects.filter(clutch__isnull=False).count()
    sold = m.Departure.objects.current().filter(kind="sale").count()
    assert 4 * PAIRS <= m.Clutch.objects.count() <= 6 * PAIRS
    assert 15 * PAIRS <= young <= 30 * PAIRS
    assert 4 * PAIRS <= sold <= 10 * PAIRS
    assert [act.__name__ for act in OFTEN if not kept.done[act.__name__]] == []


def test_the_same_seed_brings_the_same_year(kept):
    """What is to happen on which day is the same for one seed, and other for another."""

    def agenda(seed):
        with transaction.atomic():
            year = Year(seed, pairs=4, prefix=f"{seed}.").keep(2)
            told = {day: [act.__name__ for act, _ in acts] for day, acts in year.agenda.items()}
            transaction.set_rollback(True)
        return told

    assert agenda(1) == agenda(1) != agenda(2)


def test_a_count_that_rises_is_noticed(kept, said):
    row = m.StageCount.objects.current().filter(stage="metamorphosed").first()
    rows = m.StageCount.objects.filter(pk=row.pk)
    assert f"{row.clutch}: 99 metamorphosed of" in said(lambda: rows.update(count=99))


def test_young_without_parents_are_noticed(kept, said):
    young = m.Animal.objects.filter(clutch__isnull=False).first()
    rows = m.Descent.objects.filter(clutch=young.clutch, role="sire")
    text = said(lambda: rows.update(superseded_at=timezone.now()))
    assert f"{young} has no sire, and nothing says why." in text


def test_a_gap_in_the_lines_is_noticed(kept, said):
    line = LINES.filter(holding=kept.holding).order_by("number")[7]
    text = said(lambda: LINES.filter(pk=line.pk).update(number=1_000_000))
    assert "Lantern Row: the lines are numbered" in text


def test_a_line_out_of_its_month_is_noticed(kept, said):
    line = LINES.filter(holding=kept.holding).order_by("number")[7]
    text = said(lambda: LINES.filter(pk=line.pk).update(entered_at=timezone.now()))
    assert "lines of one month stand among those of another" in text


def test_a_line_that_counts_wrongly_is_noticed(kept, said):
    line = LINES.filter(holding=kept.holding, kind="birth").first()
    text = said(lambda: LINES.filter(pk=line.pk).update(change=line.change + 1))
    assert "Lantern Row: the lines come to" in text


def test_one_in_two_places_is_noticed(kept, said):
    stay = m.Stay.objects.current().filter(end=None, animal__isnull=False).first()
    day = kept.today
    text = said(lambda: make.stay(stay.animal, kept.homes[0], start=day, end=day))
    assert f"{stay} goes on while {stay.animal} in {kept.homes[0]}" in text


def test_one_dead_that_lives_somewhere_is_noticed(kept, said):
    dead = m.Departure.objects.current().filter(kind="death").first()
    text = said(lambda: make.stay(dead.animal, kept.homes[0], start=kept.today))
    assert f"and died on {dead.day}." in text
    assert "and was not here." in text


def test_one_that_left_without_a_line_is_noticed(kept, said):
    one = m.Stay.objects.current().filter(end=None, animal__isnull=False).first().animal
    text = said(lambda: make.departure(one, day=kept.today, kind="death"))
    assert "Lantern Row: the lines come to" in text
    assert f"and died on {kept.today}." in text
