"""What bars a release, and its forecast: the day before, the day, the day after."""

from dataclasses import replace
from datetime import timedelta

import pytest

from quarantine.clock import NotOpened, known_on, true_on
from quarantine.evidence import Outcome
from quarantine.protocols import Protocol, Verdict
from quarantine.readings import Cause, CourseRunning, NeverReleased, NobodyLiving
from tests.quarantine.evidence import (
    asking,
    batch,
    corrects,
    course,
    dies,
    ending,
    joins,
    necropsy,
    negative,
    on,
    plus,
    positive,
    protocol,
    result,
    swab,
    told,
)


def best(facts, day):
    return true_on(facts, on(day)).best


def points(facts, day):
    return {unmet.point for unmet in true_on(facts, on(day)).unmet}


class TestTime:
    """Release is possible from day zero + min_days on."""

    @pytest.mark.parametrize(("day", "can"), [("30 Apr", False), ("1 May", True), ("2 May", True)])
    def test_release_is_signed_on_the_last_of_the_days_itself(self, day, can):
        reading = true_on(batch(), on(day))
        assert reading.possible is can
        assert reading.best == max(on("1 May"), on(day))

    def test_a_batch_is_not_open_before_its_day(self):
        with pytest.raises(NotOpened, match=r"B was not open on 01 Mar 2026"):
            true_on(batch(), on("1 Mar"))
        assert true_on(batch(), on("2 Mar")).zero.cause is Cause.OPENED

    def test_a_batch_is_not_known_before_its_opening_is_entered(self):
        facts = batch()
        late = replace(facts, openings=(replace(facts.openings[0], entered=on("5 Mar")),))
        with pytest.raises(NotOpened):
            known_on(late, on("4 Mar"))
        assert known_on(late, on("5 Mar")).zero.day == on("2 Mar")
        assert true_on(late, on("4 Mar")).zero.day == on("2 Mar")

    def test_a_stated_opening_day_is_corrected_by_a_later_entry(self):
        facts = batch()
        late = plus(facts, corrects(facts.openings[0], "10 Mar", day=on("4 Mar")))
        assert known_on(late, on("9 Mar")).best == on("1 May")
        assert known_on(late, on("10 Mar")).best == on("3 May")


class TestNobody:
    """A batch with nobody living, and one that releases nobody, have no day."""

    def test_with_the_last_one_dead_there_is_nobody_to_release(self):
        facts = batch("M1", dies("M1", "9 Mar"), necropsy("M1", "9 Mar"))
        assert best(facts, "8 Mar") == on("1 May")
        assert NobodyLiving() in true_on(facts, on("9 Mar")).unmet
        assert best(facts, "9 Mar") is None

    def test_with_the_last_one_gone_there_is_nobody_to_release(self):
        facts = ending(batch("M1"), "M1", "9 Mar")
        assert true_on(facts, on("8 Mar")).living == ("M1",)
        assert true_on(facts, on("9 Mar")).barred_by == (NobodyLiving(),)

    def test_a_never_batch_has_no_day_and_says_so(self):
        facts = batch(rules=Protocol(name="founders", min_days=0, releases=False))
        reading = true_on(facts, on("1 Dec"))
        assert (reading.unmet, reading.best) == ((NeverReleased(),), None)


class TestVerdicts:
    """What a positive means, by verdict and by default."""

    @pytest.mark.parametrize(
        ("assay", "cause", "barred"),
        [
            ("bd-pcr", Cause.POSITIVE, False),
            ("ranavirus-pcr", Cause.OPENED, True),
            ("bsal-pcr", Cause.OPENED, True),
            ("faecal", Cause.OPENED, True),
            ("an assay nobody knows", Cause.OPENED, True),
        ],
    )
    def test_without_a_verdict_the_test_decides(self, assay, cause, barred):
        sample = replace(swab("M1", "10 Mar"), assays=(assay,))
        facts = batch("M1 M2", sample, result(sample, Outcome.POSITIVE, "10 Mar"))
        reading = true_on(facts, on("10 Mar"))
        assert reading.zero.cause is cause
        assert bool(reading.barred_by) is barred
        assert (reading.best is None) is barred

    @pytest.mark.parametrize(
        ("verdict", "zero", "foreseen"),
        [
            (Verdict.ACCEPTED, "2 Mar", True),
            (Verdict.TEST_AGAIN, "2 Mar", True),
            (Verdict.ALL_AGAIN, "10 Mar", True),
            (Verdict.VETERINARIAN, "2 Mar", False),
        ],
    )
    def test_a_verdict_given_stands_before_the_default(self, verdict, zero, foreseen):
        facts = batch("M1", positive("M1", "10 Mar", verdict=verdict))
        reading = true_on(facts, on("10 Mar"))
        assert reading.zero.day == on(zero)
        assert (reading.best is not None) is foreseen

    def test_an_undecided_positive_bars_even_if_older_than_day_zero(self):
        facts = batch("M1", positive("M1", "10 Mar", assays="faecal"), joins("M2", "20 Mar"))
        assert best(facts, "20 Mar") is None
        assert ("verdict", facts.samples[0].key, "faecal") in points(facts, "1 Dec")

    def test_a_verdict_given_later_lifts_the_bar_from_the_sample_on(self):
        facts = batch("M1", positive("M1", "10 Mar", assays="faecal"))
        ruled = plus(facts, corrects(facts.results[0], "25 Mar", verdict=Verdict.ACCEPTED))
        assert known_on(ruled, on("24 Mar")).best is None
        assert known_on(ruled, on("25 Mar")).best == on("1 May")
        assert true_on(ruled, on("24 Mar")).best == on("1 May")

    def test_a_positive_is_true_from_its_sample_and_known_from_its_entry(self):
        facts = batch("M1", positive("M1", "10 Mar", "17 Mar"))
        assert true_on(facts, on("9 Mar")).zero.day == on("2 Mar")
        assert true_on(facts, on("10 Mar")).zero.day == on("10 Mar")
        assert known_on(facts, on("16 Mar")).zero.day == on("2 Mar")
        assert known_on(facts, on("17 Mar")).zero.day == on("10 Mar")


class TestCourses:
    """Any running course bars release, up to and including its last dose."""

    def test_the_last_dose_bars_and_the_day_after_does_not(self):
        facts = batch("M1", course("20 Apr", "5 May", against="faecal"))
        can = [true_on(facts, on(day)).possible for day in ("4 May", "5 May", "6 May")]
        assert can == [False, False, True]
        assert [best(facts, day) for day in ("5 May", "6 May")] == [on("6 May"), on("6 May")]

    def test_a_course_against_nothing_of_the_tests_moves_no_day_zero(self):
        facts = batch("M1", positive("M1", "10 Mar"), course("12 Mar", "20 Mar", against="faecal"))
        assert true_on(facts, on("21 Mar")).zero.day == on("10 Mar")

    @pytest.mark.parametrize(("first", "zero"), [("9 Mar", "10 Mar"), ("10 Mar", "21 Mar")])
    def test_only_a_course_begun_on_or_after_the_sample_moves_day_zero(self, first, zero):
        facts = batch("M1", positive("M1", "10 Mar"), course(first, "20 Mar"))
        assert true_on(facts, on("22 Mar")).zero.day == on(zero)

    def test_a_running_course_is_expected_to_end_as_planned_or_today(self):
        facts = batch("M1", positive("M1", "10 Mar"), course("12 Mar", planned="20 Mar"))
        readings = [true_on(facts, on(day)) for day in ("19 Mar", "20 Mar", "21 Mar")]
        zeros = [reading.expected_zero.day for reading in readings]
        assert zeros == [on("21 Mar"), on("21 Mar"), on("22 Mar")]
        assert {reading.zero.day for reading in readings} == {on("10 Mar")}
        assert readings[2].best == on("22 Mar") + timedelta(days=60)

    def test_a_running_course_without_a_plan_ends_today(self):
        facts = batch("M1", course("30 Apr", against="faecal"))
        reading = true_on(facts, on("2 May"))
        assert isinstance(reading.unmet[0], CourseRunning)
        assert reading.best == on("3 May")

    def test_the_end_of_a_course_is_known_when_it_is_entered(self):
        facts = batch("M1", positive("M1", "10 Mar"), course("12 Mar", "20 Mar", told="25 Mar"))
        assert known_on(facts, on("24 Mar")).zero.cause is Cause.POSITIVE
        assert known_on(facts, on("24 Mar")).expected_zero.day == on("25 Mar")
        assert known_on(facts, on("25 Mar")).zero.day == on("21 Mar")

    def test_of_two_positives_the_latest_day_wins(self):
        facts = batch(
            "M1 M2",
            positive("M1", "10 Mar"),
            course("12 Mar", "20 Mar"),
            positive("M2", "15 Mar"),
        )
        assert true_on(facts, on("22 Mar")).zero.day == on("21 Mar")
        again = plus(facts, positive("M2", "25 Mar"))
        assert true_on(again, on("26 Mar")).zero.day == on("25 Mar")


class TestForecast:
    """A missing sample is taken on the first day allowed, negative, reported after 7 days."""

    rules = protocol(asking(first_from=50, last_from=58), min_days=60)

    def test_the_later_of_time_and_results_is_the_day(self):
        facts = batch(rules=self.rules)
        assert best(facts, "2 Mar") == on("29 Apr") + timedelta(days=7)

    def test_a_missing_sample_is_taken_today_at_the_earliest(self):
        facts = batch(rules=self.rules)
        assert best(facts, "29 Apr") == on("6 May")
        assert best(facts, "30 Apr") == on("7 May")

    def test_a_sample_not_reported_is_expected_after_the_laboratory_days_or_tomorrow(self):
        facts = batch("M1", swab("M1", "29 Apr"), rules=self.rules)
        days = [best(facts, day) for day in ("29 Apr", "5 May", "6 May", "9 May")]
        assert days == [on("6 May"), on("6 May"), on("7 May"), on("10 May")]

    def test_an_inconclusive_result_is_none_and_a_new_sample_is_due(self):
        facts = batch(rules=self.rules)
        facts = plus(facts, told(swab("M1", "29 Apr"), Outcome.INCONCLUSIVE, "4 May"))
        reading = true_on(facts, on("4 May"))
        assert (reading.awaited, reading.due[0].day) == ((), on("4 May"))
        assert reading.best == on("11 May")

    def test_an_old_sample_still_waited_for_delays_no_test_already_met(self):
        facts = batch(
            "M1", swab("M1", "29 Apr"), negative("M1", "30 Apr", "4 May"), rules=self.rules
        )
        assert true_on(facts, on("4 May")).possible
        assert len(true_on(facts, on("4 May")).awaited) == 1

    def test_the_day_asked_is_the_best_day_once_release_is_possible(self):
        facts = batch("M1", negative("M1", "29 Apr", "4 May"), rules=self.rules)
        assert [best(facts, day) for day in ("3 May", "4 May", "9 Sep")] == [
            on("6 May"),
            on("4 May"),
            on("9 Sep"),
        ]
