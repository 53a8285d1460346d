"""Batches on a time line."""

from datetime import date, timedelta
from xml.etree import ElementTree

import pytest

from registry.charts.batches import Batch, Course, Happening, Mark
from registry.charts.canvas import UnsafeLink
from registry.charts.days import Days
from registry.charts.happenings import MARKS
from registry.charts.timeline import batch_timeline
from tests.registry.charts.make import NASTY
from tests.registry.charts.test_drawing import _classed, _words, assert_safe

OPENED, DAY = date(2026, 3, 2), date(2026, 5, 19)


def _batch(**facts):
    return Batch(**({"code": "Q1", "opened": OPENED, "zero": OPENED} | facts))


def _root(*batches, day=DAY):
    return assert_safe(batch_timeline(batches, day).svg)


def _bar(root, name):
    (bar,) = _classed(root, name)[:1]
    return float(bar.get("x")), float(bar.get("x")) + float(bar.get("width"))


def test_an_open_batch_ends_on_the_day_asked_and_goes_on_as_a_forecast():
    root = _root(_batch(best=date(2026, 5, 22)))
    today = float(_classed(root, "today")[0].get("d")[1:].split(",")[0])
    assert _bar(root, "bar")[1] == pytest.approx(today, abs=0.2)
    assert _bar(root, "forecast")[0] == pytest.approx(today, abs=0.2)
    assert _bar(root, "forecast")[1] > today
    assert _classed(root, "forecast")[0].get("stroke-dasharray")


def test_a_closed_batch_ends_on_the_day_it_closed():
    early, late = (_root(_batch(closed=date(2026, 5, day)), _batch()) for day in (1, 10))
    assert _bar(early, "bar")[1] < _bar(late, "bar")[1]
    assert len(_classed(early, "forecast")) == 0


def test_days_before_day_zero_are_hollow_and_days_since_are_solid():
    root = _root(_batch(zero=date(2026, 3, 20)))
    bar, solid = _bar(root, "bar"), _bar(root, "counted")
    assert bar[0] < solid[0] < solid[1] == pytest.approx(bar[1], abs=0.2)


@pytest.mark.parametrize("late", [-1, 0, 1])
def test_a_day_zero_about_the_day_asked_stays_within_the_picture(late):
    root = _root(_batch(zero=DAY + timedelta(days=late)))
    low, high = _bar(root, "counted")
    assert low <= high <= float(root.get("width"))


@pytest.mark.parametrize("kind", Happening)
def test_each_kind_of_happening_has_its_mark_and_its_line_in_the_legend(kind):
    root = _root(_batch(marks=(Mark(day=date(2026, 4, 1), kind=kind),)))
    assert kind.value in _words(root)
    assert len(_classed(root, kind.name.lower())) == 1


def test_no_two_kinds_look_alike():
    drawn = []
    for make in MARKS.values():
        parent = ElementTree.Element("g")
        make(parent)
        drawn.append(ElementTree.tostring(parent))
    assert len(set(drawn)) == len(Happening) == len(MARKS)


def test_like_marks_of_one_day_are_one_with_their_number():
    marks = (Mark(day=date(2026, 3, 16), kind=Happening.SAMPLE),) * 6
    root = _root(_batch(marks=marks))
    assert len(_classed(root, "sample")) == 1
    assert "6" in _words(root)


def test_marks_too_near_each_other_stand_one_above_the_other():
    marks = [Mark(day=date(2026, 4, 10), kind=kind) for kind in Happening]
    root = _root(_batch(marks=tuple(marks)))
    places = [mark.get("transform") for mark in _classed(root, "mark")]
    assert len(set(places)) == len(Happening)


def test_a_running_treatment_has_no_end_stroke():
    given, planned = (
        Course(first=date(2026, 4, 1), last=date(2026, 4, 11), running=running)
        for running in (False, True)
    )
    ended, running = (batch_timeline([_batch(courses=(c,))], DAY).svg for c in (given, planned))
    assert len(ended) > len(running)


def test_the_table_has_every_dated_fact_in_order():
    batch = _batch(
        zero=date(2026, 3, 20),
        best=date(2026, 5, 22),
        said="a result is waited for",
        marks=(Mark(day=date(2026, 3, 16), kind=Happening.SAMPLE, text="Bd"),),
        courses=(Course(first=date(2026, 4, 1), last=date(2026, 6, 1), running=True),),
    )
    assert batch_timeline([batch], DAY).rows == (
        ("Q1", "2 Mar 2026", "opened", ""),
        ("Q1", "16 Mar 2026", "sample taken", "Bd"),
        ("Q1", "20 Mar 2026", "day zero", "a result is waited for"),
        ("Q1", "1 Apr 2026", "first dose", ""),
        ("Q1", "22 May 2026", "best release day", ""),
        ("Q1", "1 Jun 2026", "last dose planned", ""),
    )


def test_each_batch_links_to_its_page_and_says_how_it_stands():
    root = _root(_batch(href="/quarantine/1", best=date(2026, 5, 22), said="A result is due."))
    (link,) = _classed(root, "batch")
    assert link.get("href") == "/quarantine/1"
    assert link.get("aria-label") == "Q1, opened 2 Mar 2026, best 22 May 2026. A result is due."
    with pytest.raises(UnsafeLink):
        _root(_batch(href="javascript:x"))


def test_no_batches_are_an_empty_line_with_the_day():
    assert "19 May 2026" in _words(_root())


@pytest.mark.parametrize("nasty", NASTY)
def test_whatever_is_typed_is_shown_as_text(nasty):
    marks = (Mark(day=OPENED, kind=Happening.DEATH, text=nasty),)
    _root(_batch(code=nasty, said=nasty, marks=marks))


@pytest.mark.parametrize("years", [0.05, 0.5, 1, 2, 5, 20, 120])
def test_never_more_than_a_dozen_months_are_written(years):
    first = date(1990, 1, 15)
    axis = Days.spanning([first, first + timedelta(days=int(365 * years))], left=0, wide=700)
    ticks = axis.ticks()
    assert len(ticks) <= 12
    assert all(0 <= axis.at(tick) <= 700 for tick in ticks)


def test_the_year_is_written_where_the_axis_begins_and_in_each_january():
    axis = Days.spanning([date(2025, 10, 20), date(2026, 3, 5)], left=0, wide=700)
    words = [told for _, told in axis.labels()]
    assert words == ["Nov 2025", "Dec", "Jan 2026", "Feb", "Mar"]


def test_the_first_and_the_last_day_there_are_can_be_drawn():
    assert len(Days.spanning([date.min, date.max], left=0, wide=700).ticks()) <= 12
