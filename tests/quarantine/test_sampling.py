"""Which samples of a test count, day by day, and that no other choice would be earlier."""

from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quarantine.sampling import Plan, Window, counts, free_from, pick, plan


def window(negatives=1, gap=0, first_from=0, last_from=0, today=0, laboratory=7, washouts=()):
    return Window(
        negatives=negatives,
        gap=gap,
        first_from=first_from,
        last_from=last_from,
        laboratory=laboratory,
        today=today,
        washouts=washouts,
    )


@pytest.mark.parametrize(("day", "picked"), [(13, []), (14, [14]), (15, [15])])
def test_the_first_sample_is_from_its_day_on(day, picked):
    assert pick([day], window(first_from=14, last_from=14)) == picked


@pytest.mark.parametrize(("day", "picked"), [(44, [0]), (45, [0, 45]), (46, [0, 46])])
def test_the_last_sample_is_from_its_day_on(day, picked):
    assert pick([0, day], window(2, 14, 0, 45)) == picked


@pytest.mark.parametrize(("day", "picked"), [(13, [0]), (14, [0, 14]), (15, [0, 15])])
def test_samples_keep_their_gap(day, picked):
    assert pick([0, day], window(2, 14)) == picked


def test_all_but_the_last_are_picked_as_early_as_the_gap_allows():
    assert pick([0, 5, 14, 20, 28, 40], window(3, 14, 0, 30)) == [0, 14, 40]


def test_the_only_sample_of_a_test_is_its_last():
    assert pick([14, 20], window(1, 0, 14, 20)) == [20]


def test_one_sample_is_not_two():
    assert pick([20], window(2, 1)) == [20]


@pytest.mark.parametrize(("day", "can"), [(9, True), (10, False), (24, False), (25, True)])
def test_no_sample_counts_in_a_washout_both_ends_included(day, can):
    assert counts(day, window(washouts=((10, 24),))) is can


def test_a_sample_due_in_a_washout_waits_for_its_end_and_for_the_next_that_overlaps():
    assert free_from(12, window(washouts=((20, 30), (10, 24)))) == 31
    assert free_from(9, window(washouts=((20, 30), (10, 24)))) == 9


def test_a_plan_takes_what_is_missing_on_the_first_days_allowed():
    assert plan((), window(2, 14, 3, 20, today=5)) == Plan(counted=0, to_come=(5, 20), ready=27)
    assert plan(((4, 5),), window(2, 14, 3, 20, today=5)) == Plan(
        counted=1, to_come=(20,), ready=27
    )


def test_a_sample_waited_for_is_forecast_negative_and_not_counted():
    expected = Plan(counted=0, to_come=(), ready=12)
    assert plan(((4, 12),), window(today=5)) == expected


def test_of_the_results_waited_for_those_that_come_first_are_waited_for():
    waiting = ((0, 30), (2, 9), (3, 6))
    assert plan(waiting, window(2, 1, today=5)).ready == 9
    assert plan(waiting, window(1, today=5)).ready == 6


def test_a_test_met_is_ready_today():
    assert plan(((0, 5), (14, 20)), window(2, 14, today=20)) == Plan(
        counted=2, to_come=(), ready=20
    )


@st.composite
def trials(draw):
    small = st.integers(0, 6)
    negatives = draw(st.integers(1, 3))
    today = draw(st.integers(0, 14))
    first = draw(small)
    laboratory = draw(st.integers(1, 4))
    washouts = draw(st.lists(st.tuples(st.integers(0, 20), small), max_size=2))
    asked = window(
        negatives,
        draw(st.integers(1, 5)),
        first,
        first + draw(small),
        today=today,
        laboratory=laboratory,
        washouts=tuple((day, day + length) for day, length in washouts),
    )
    taken = draw(st.lists(st.tuples(st.integers(0, today), st.booleans()), max_size=5))
    samples = tuple(
        (day, today if told else max(day + laboratory, today + 1))
        for day, told in sorted(taken)
        if counts(day, asked)
    )
    return samples, asked


def meets(days, asked):
    """Say in the words of the rule whether these samples meet a test."""
    free = all(not first <= day <= last for day in days for first, last in asked.washouts)
    apart = all(b - a >= asked.gap for a, b in pairwise(days))
    return free and apart and days[0] >= asked.first_from and days[-1] >= asked.last_from


@settings(deadline=None)
@given(trials())
def test_no_choice_of_samples_is_ready_earlier(trial):
    """Compare with every choice among the samples taken and every day yet to come."""
    samples, asked = trial
    made = plan(samples, asked)
    future = ((day, day + asked.laboratory) for day in range(asked.today, asked.today + 65))
    options = sorted({*samples, *((d, k) for d, k in future if k < made.ready)})
    for chosen in combinations(options, asked.negatives):
        if max(known for _, known in chosen) < made.ready:
            assert not meets([day for day, _ in chosen], asked)


@settings(deadline=None)
@given(trials())
def test_the_plan_itself_meets_the_test_on_its_day(trial):
    samples, asked = trial
    made = plan(samples, asked)
    known = [day for day, known in samples if known <= made.ready]
    picked = pick([*known, *made.to_come], asked)
    assert len(picked) == asked.negatives
    assert meets(picked, asked)
    assert all(day >= asked.today for day in made.to_come)
