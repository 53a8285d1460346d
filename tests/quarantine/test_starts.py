"""The five causes of day zero, on the day before, the day, and the day after."""

from dataclasses import replace

import pytest

from quarantine.clock import known_on, true_on
from quarantine.evidence import Coming, Outcome
from quarantine.protocols import Scope
from quarantine.readings import Cause
from tests.quarantine.evidence import (
    arrives,
    batch,
    dies,
    joins,
    meets,
    missing,
    necropsy,
    on,
    plus,
    positive,
    protocol,
    stays,
    takes_back,
    tank,
    told,
)


def zero(facts, day):
    return true_on(facts, on(day)).zero.day


def zeros(facts, *days):
    return [f"{zero(facts, day):%-d %b}" for day in days]


class TestAddition:
    def test_an_addition_starts_the_days_on_its_own_day(self):
        facts = batch("M1", joins("M2", "10 Mar"))
        assert zeros(facts, "9 Mar", "10 Mar", "11 Mar") == ["2 Mar", "10 Mar", "10 Mar"]

    def test_who_was_added_counts_even_after_it_left(self):
        facts = batch("M1", joins("M2", "10 Mar", left="12 Mar"))
        assert zero(facts, "20 Mar") == on("10 Mar")

    def test_who_was_added_and_left_on_one_day_counts(self):
        facts = batch("M1", joins("M2", "10 Mar", left="10 Mar"))
        assert zero(facts, "20 Mar") == on("10 Mar")

    def test_young_born_in_the_batch_start_nothing(self):
        facts = batch("M1", joins("Y1", "10 Mar", came=Coming.BORN))
        reading = true_on(facts, on("10 Mar"))
        assert (reading.zero.day, reading.living) == (on("2 Mar"), ("M1", "Y1"))

    def test_a_member_that_came_before_the_stated_opening_starts_nothing_later(self):
        facts = batch("M1", joins("M2", "20 Feb"))
        assert zero(facts, "2 Mar") == on("2 Mar")

    def test_all_starts_are_told_oldest_first(self):
        facts = batch("M1", joins("M2", "10 Mar"), dies("M1", "8 Mar"))
        causes = [start.cause for start in true_on(facts, on("10 Mar")).starts]
        assert causes == [Cause.ADDED, Cause.OPENED, Cause.DEATH, Cause.ADDED]


class TestUnit:
    rules = protocol(scope=Scope.UNIT)

    def standing(self, *more, **rules):
        return batch("M1", stays("M1", "Q1", "2 Mar"), *more, **({"rules": self.rules} | rules))

    def test_an_arrival_in_the_unit_starts_the_days(self):
        facts = self.standing(arrives("X", "10 Mar"))
        assert zeros(facts, "9 Mar", "10 Mar", "11 Mar") == ["2 Mar", "10 Mar", "10 Mar"]
        start = true_on(facts, on("10 Mar")).zero
        assert (start.cause, start.who, start.what) == (Cause.ADDED_TO_UNIT, ("X",), "rack")

    def test_with_the_batch_as_scope_it_does_not(self):
        facts = self.standing(arrives("X", "10 Mar"), rules=protocol())
        assert zero(facts, "10 Mar") == on("2 Mar")

    def test_an_arrival_in_another_unit_does_not(self):
        assert zero(self.standing(arrives("X", "10 Mar", unit="room")), "10 Mar") == on("2 Mar")

    @pytest.mark.parametrize(("day", "start"), [("9 Mar", "9 Mar"), ("10 Mar", "2 Mar")])
    def test_an_arrival_on_the_day_the_batch_moved_out_does_not(self, day, start):
        moved = [stays("M1", "Q1", "2 Mar", "10 Mar"), stays("M1", "Q9", "10 Mar", unit="room")]
        facts = batch("M1", *moved, arrives("X", day), rules=self.rules)
        assert zero(facts, "12 Mar") == on(start)

    def test_an_arrival_on_the_day_the_batch_moved_in_does(self):
        facts = batch("M1", stays("M1", "Q1", "10 Mar"), arrives("X", "10 Mar"), rules=self.rules)
        assert zero(facts, "12 Mar") == on("10 Mar")

    def test_the_stay_of_one_that_died_does_not_keep_the_batch_in_the_unit(self):
        facts = self.standing(dies("M1", "5 Mar"), necropsy("M1", "5 Mar"), arrives("X", "10 Mar"))
        assert zero(facts, "12 Mar") == on("2 Mar")

    def test_scope_unit_includes_scope_batch(self):
        assert zero(self.standing(joins("M2", "10 Mar")), "10 Mar") == on("10 Mar")


class TestPositive:
    def test_it_counts_from_the_day_of_the_sample(self):
        facts = batch("M1", positive("M1", "10 Mar", "17 Mar"))
        assert zeros(facts, "9 Mar", "10 Mar", "11 Mar") == ["2 Mar", "10 Mar", "10 Mar"]

    def test_a_pooled_swab_is_positive_for_the_batch_of_each_it_names(self):
        facts = batch("M1", positive("M1 X", "10 Mar"))
        start = true_on(facts, on("10 Mar")).zero
        assert (start.day, start.who) == (on("10 Mar"), ("M1",))

    @pytest.mark.parametrize(("day", "start"), [("9 Mar", "9 Mar"), ("10 Mar", "2 Mar")])
    def test_from_the_day_a_member_left_alive_its_positives_count_nothing(self, day, start):
        facts = batch("M1", joins("M2", "2 Mar", left="10 Mar"), positive("M2", day))
        assert zero(facts, "20 Mar") == on(start)

    def test_a_positive_from_before_it_joined_counts_nothing(self):
        facts = batch("M1", positive("M2", "9 Mar"), joins("M2", "10 Mar"))
        assert {s.cause for s in true_on(facts, on("10 Mar")).starts} == {Cause.OPENED, Cause.ADDED}

    def test_a_positive_from_a_carcass_counts_from_the_death(self):
        dead = [dies("M2", "10 Mar"), necropsy("M2", "20 Mar")]
        facts = batch("M1 M2", *dead, positive("M2", "12 Mar", "20 Mar"))
        reading = true_on(facts, on("20 Mar"))
        assert (reading.zero.day, reading.zero.cause) == (on("10 Mar"), Cause.POSITIVE)
        assert zero(facts, "11 Mar") == on("10 Mar")

    @pytest.mark.parametrize(
        ("day", "start"),
        [("4 Mar", "2 Mar"), ("5 Mar", "5 Mar"), ("9 Mar", "9 Mar"), ("10 Mar", "2 Mar")],
    )
    def test_a_positive_of_an_enclosure_counts_while_a_member_stays_there(self, day, start):
        stay = stays("M1", "Q1", "5 Mar", "10 Mar")
        facts = batch("M1", stay, told(tank("Q1", day, "bd-pcr"), Outcome.POSITIVE, day))
        assert zero(facts, "20 Mar") == on(start)

    def test_a_stay_of_one_day_counts_as_that_day(self):
        stay = stays("M1", "Q1", "5 Mar", "5 Mar")
        facts = batch("M1", stay, told(tank("Q1", "5 Mar", "bd-pcr"), Outcome.POSITIVE, "5 Mar"))
        assert zero(facts, "20 Mar") == on("5 Mar")


class TestDeath:
    def test_it_counts_until_an_accepted_cause_is_recorded(self):
        dead = batch("M1 M2", dies("M2", "10 Mar"))
        facts = plus(dead, necropsy("M2", "20 Mar"))
        assert known_on(facts, on("19 Mar")).zero.day == on("10 Mar")
        assert known_on(facts, on("20 Mar")).zero.day == on("2 Mar")
        assert zero(facts, "12 Mar") == on("2 Mar")

    def test_a_cause_that_is_not_accepted_takes_nothing_back(self):
        facts = batch("M1 M2", dies("M2", "10 Mar"), necropsy("M2", "20 Mar", accepted=False))
        assert zero(facts, "20 Mar") == on("10 Mar")

    def test_the_last_of_several_counts_and_each_is_explained_by_itself(self):
        facts = batch("M1 M2 M3", dies("M2", "10 Mar"), dies("M3", "15 Mar"))
        assert zero(facts, "20 Mar") == on("15 Mar")
        assert zero(plus(facts, necropsy("M3", "20 Mar")), "20 Mar") == on("10 Mar")

    def test_a_positive_necropsy_restarts_though_the_cause_is_accepted(self):
        found = positive("M2", "10 Mar", "20 Mar")
        facts = batch("M1 M2", dies("M2", "10 Mar"), necropsy("M2", "20 Mar"), found)
        assert zero(facts, "20 Mar") == on("10 Mar")

    def test_one_that_left_alive_and_died_elsewhere_counts_nothing(self):
        facts = batch("M1", joins("M2", "2 Mar", left="10 Mar"), dies("M2", "10 Mar"))
        assert zero(facts, "20 Mar") == on("2 Mar")

    def test_a_death_taken_back_counts_nothing(self):
        dead = dies("M2", "10 Mar")
        facts = batch("M1 M2", dead, takes_back(dead, "14 Mar"))
        assert known_on(facts, on("13 Mar")).zero.day == on("10 Mar")
        assert true_on(facts, on("13 Mar")).living == ("M1", "M2")

    def test_one_missing_counts_as_dead_from_the_seventh_day_on(self):
        facts = batch("M1 M2", missing("M2", "10 Mar"))
        assert zeros(facts, "16 Mar", "17 Mar", "18 Mar") == ["2 Mar", "17 Mar", "17 Mar"]
        assert true_on(facts, on("17 Mar")).zero.cause is Cause.MISSING
        assert true_on(facts, on("16 Mar")).living == ("M1", "M2")
        assert true_on(facts, on("17 Mar")).living == ("M1",)

    def test_one_found_again_is_living_and_no_death(self):
        facts = batch("M1 M2", missing("M2", "10 Mar", found="20 Mar"))
        assert zeros(facts, "19 Mar", "20 Mar") == ["17 Mar", "2 Mar"]
        assert true_on(facts, on("20 Mar")).living == ("M1", "M2")


class TestMeeting:
    def test_the_last_day_they_met_starts_the_days(self):
        facts = batch("M1", meets("M1", "10 Mar", "12 Mar"))
        days = ["9 Mar", "10 Mar", "11 Mar", "12 Mar", "13 Mar"]
        assert zeros(facts, *days) == ["2 Mar", "10 Mar", "11 Mar", "12 Mar", "12 Mar"]
        start = true_on(facts, on("13 Mar")).zero
        assert (start.cause, start.who, start.met) == (Cause.MET, ("M1",), "stranger")

    def test_while_they_still_meet_every_day_is_day_zero(self):
        facts = batch("M1", meets("M1", "10 Mar"))
        assert zeros(facts, "11 Mar", "12 Mar") == ["11 Mar", "12 Mar"]

    def test_the_end_of_a_meeting_is_known_when_it_is_entered(self):
        facts = batch("M1", meets("M1", "10 Mar", "12 Mar", last_entered=on("20 Mar")))
        assert known_on(facts, on("19 Mar")).zero.day == on("19 Mar")
        assert known_on(facts, on("20 Mar")).zero.day == on("12 Mar")

    def test_what_a_member_met_after_it_left_does_not_count(self):
        facts = batch("M1", joins("M2", "2 Mar", left="12 Mar"), meets("M2", "10 Mar", "15 Mar"))
        assert zero(facts, "20 Mar") == on("11 Mar")


def test_of_two_causes_on_one_day_the_first_named_in_the_rules_is_told():
    facts = batch("M1", dies("M1", "10 Mar"), joins("M2", "10 Mar"))
    assert true_on(facts, on("10 Mar")).zero.cause is Cause.ADDED


def test_a_correction_of_a_correction_leaves_only_the_last():
    dead = dies("M2", "10 Mar")
    second = replace(dead, key="second", replaces=dead.key, day=on("12 Mar"), entered=on("14 Mar"))
    third = replace(dead, key="third", replaces="second", day=on("6 Mar"), entered=on("16 Mar"))
    facts = batch("M1 M2", dead, second, third)
    known = [known_on(facts, on(day)).zero.day for day in ("13 Mar", "15 Mar", "16 Mar")]
    assert known == [on("10 Mar"), on("12 Mar"), on("6 Mar")]
    assert zero(facts, "7 Mar") == on("6 Mar")
