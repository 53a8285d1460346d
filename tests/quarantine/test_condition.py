"""Weight kept, seen to eat, no open sign: on the limit, just inside and just outside."""

from decimal import Decimal

import pytest

from quarantine.clock import known_on, true_on
from quarantine.readings import NotSeenToEat, WeightLost, WeightMissing
from tests.quarantine.evidence import (
    as_part,
    batch,
    dies,
    eats,
    joins,
    necropsy,
    on,
    plus,
    protocol,
    shows,
    split,
    under,
    weighs,
)

WEIGHT = protocol(min_days=0, weight_loss_percent=Decimal(10))
EATING = protocol(min_days=0, eaten_within_days=7)
NO_SIGN = protocol(min_days=0, no_open_sign=True)


@pytest.mark.parametrize(
    ("grams", "kept"), [("1.81", True), ("1.80", True), ("1.79", False), ("2.4", True)]
)
def test_the_limit_of_weight_loss_itself_is_allowed(grams, kept):
    facts = batch("M1", weighs("M1", "2 Mar", "2.00"), weighs("M1", "20 Mar", grams), rules=WEIGHT)
    assert true_on(facts, on("20 Mar")).possible is kept


def test_what_was_lost_is_told():
    facts = batch("M1", weighs("M1", "2 Mar", "2.0"), weighs("M1", "20 Mar", "1.5"), rules=WEIGHT)
    lost = WeightLost(member="M1", first=Decimal("2.0"), latest=Decimal("1.5"))
    assert true_on(facts, on("20 Mar")).unmet == (lost,)
    assert true_on(facts, on("19 Mar")).possible


def test_no_weight_at_all_is_unmet_where_weight_is_asked():
    assert true_on(batch(rules=WEIGHT), on("9 Mar")).unmet == (WeightMissing(member="M1"),)
    assert true_on(batch(), on("1 May")).possible


@pytest.mark.parametrize(("day", "kept"), [("1 Mar", True), ("2 Mar", False)])
def test_the_first_weight_is_that_of_this_isolation(day, kept):
    earlier, now = weighs("M1", day, "3.0"), weighs("M1", "9 Mar", "2.0")
    assert true_on(batch("M1", earlier, now, rules=WEIGHT), on("9 Mar")).possible is kept


def test_a_split_begins_no_new_isolation():
    facts = batch("M1 M2", weighs("M2", "2 Mar", "3.0"), weighs("M1", "2 Mar", "3"), rules=WEIGHT)
    part = as_part(plus(split(facts, "M2", "1 Apr"), weighs("M2", "9 Apr", "2.0")))
    assert not true_on(part, on("9 Apr")).possible


def test_of_two_weights_on_one_day_the_cautious_one_counts():
    twice = [weighs("M1", "2 Mar", "2.0"), weighs("M1", "2 Mar", "1.9")]
    facts = batch("M1", twice, weighs("M1", "9 Mar", "1.75"), rules=WEIGHT)
    assert not true_on(facts, on("9 Mar")).possible


@pytest.mark.parametrize(("day", "seen"), [("15 Mar", True), ("16 Mar", True), ("17 Mar", False)])
def test_the_last_days_include_the_kth_day_before(day, seen):
    facts = batch("M1", eats("M1", "9 Mar"), rules=EATING)
    assert true_on(facts, on(day)).possible is seen


def test_food_refused_is_not_eaten():
    facts = batch("M1", eats("M1", "9 Mar", eaten=False), rules=EATING)
    assert true_on(facts, on("9 Mar")).unmet == (NotSeenToEat(member="M1", last_seen=None),)


@pytest.mark.parametrize(
    ("day", "can"), [("4 Mar", True), ("5 Mar", False), ("8 Mar", False), ("9 Mar", True)]
)
def test_a_sign_is_open_until_recorded_gone(day, can):
    facts = batch("M1", shows("M1", "5 Mar", "9 Mar"), rules=NO_SIGN)
    assert true_on(facts, on(day)).possible is can


def test_the_end_of_a_sign_is_known_when_it_is_entered():
    facts = batch("M1", shows("M1", "5 Mar", "9 Mar", gone_entered=on("12 Mar")), rules=NO_SIGN)
    assert not known_on(facts, on("11 Mar")).possible
    assert known_on(facts, on("12 Mar")).possible


@pytest.mark.parametrize("rules", [WEIGHT, EATING, NO_SIGN], ids=["weight", "eating", "sign"])
def test_condition_is_forecast_to_hold_from_tomorrow(rules):
    facts = batch("M1", shows("M1", "5 Mar"), rules=rules)
    assert true_on(facts, on("9 Mar")).best == on("10 Mar")


def test_condition_is_asked_of_the_living_only():
    facts = batch("M1", joins("M2", "2 Mar"), eats("M1", "9 Mar"), shows("M2", "4 Mar"))
    dead = plus(facts, dies("M2", "9 Mar"), necropsy("M2", "9 Mar"))
    rules = protocol(min_days=0, eaten_within_days=7, no_open_sign=True)
    living, less = under(facts, rules), under(dead, rules)
    assert not true_on(living, on("9 Mar")).possible
    assert true_on(less, on("9 Mar")).possible
