"""What the template filters make of what the register holds."""

from datetime import UTC, date, datetime

import pytest
from django.utils import timezone

from registry.templatetags import words

DAY = date(2026, 10, 3)


@pytest.fixture
def today(monkeypatch):
    """Make today the 3rd of October 2026."""
    monkeypatch.setattr(timezone, "localdate", lambda: DAY)


@pytest.mark.parametrize(
    ("when", "said"),
    [
        (date(2026, 9, 21), "21 Sep 2026 (12 days ago)"),
        (date(2026, 10, 2), "2 Oct 2026 (yesterday)"),
        (date(2026, 10, 3), "3 Oct 2026 (today)"),
        (date(2026, 10, 4), "4 Oct 2026 (tomorrow)"),
        (date(2026, 10, 5), "5 Oct 2026 (in 2 days)"),
        (date(2027, 4, 20), "20 Apr 2027 (in 199 days)"),
        (date(2027, 4, 21), "21 Apr 2027 (in 7 months)"),
        (date(2024, 10, 4), "4 Oct 2024 (24 months ago)"),
        (date(2024, 10, 2), "2 Oct 2024 (2 years ago)"),
        (date(2023, 10, 4), "4 Oct 2023 (2 years ago)"),
    ],
)
def test_a_day_is_written_out_with_its_distance(today, when, said):
    assert words.day(when) == f'<time datetime="{when.isoformat()}">{said}</time>'


def test_no_day_is_nothing(today):
    assert words.day(None) == words.plain(None) == words.plain("") == ""


def test_the_distance_can_be_from_any_day():
    assert "(in 2 days)" in words.away(date(2026, 10, 5), DAY)


def test_a_moment_counts_on_its_local_day(settings):
    late = datetime(2026, 10, 2, 23, 30, tzinfo=UTC)
    with timezone.override("Europe/Amsterdam"):
        assert words.plain(late) == '<time datetime="2026-10-03">3 Oct 2026</time>'
        assert "3 Oct 2026, 01:30" in words.moment(late)


@pytest.mark.parametrize(
    ("precision", "said"),
    [
        ("day", '<time datetime="2026-10-03">3 Oct 2026</time>'),
        ("about", '<time datetime="2026-10-03">about 3 Oct 2026</time>'),
        ("month", '<time datetime="2026-10">Oct 2026</time>'),
        ("year", '<time datetime="2026">2026</time>'),
        ("unknown", "unknown"),
    ],
)
def test_a_date_is_told_no_more_exactly_than_it_is_known(precision, said):
    assert words.dated(DAY, precision) == said


def test_a_date_nobody_knows_is_unknown():
    assert words.dated(None, "day") == "unknown"


def test_a_figure_never_stands_alone():
    assert words.figure(0.125) == "0.125, as related as half-siblings"
    assert words.figure(0) == "0, no relation on record"
    assert words.figure(None) == ""


def test_a_level_that_is_none_is_not_hidden():
    with pytest.raises(KeyError):
        words.level_word("maybe")


def test_names_and_mappings():
    assert words.row(["A", "B", "C"]) == "A, B and C"
    assert words.either(["A", "B", "C"]) == "A, B or C"
    assert words.at({"k": "v"}, "k") == "v"
    assert words.at(None, "k") == ""
    assert words.share(0.999) == "99 %"
