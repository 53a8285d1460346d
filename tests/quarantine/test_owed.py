"""What the tests of a protocol ask: per animal or enclosure, of all or of k, and again."""

from datetime import timedelta

import pytest

from quarantine.clock import known_on, true_on
from quarantine.evidence import Outcome
from quarantine.protocols import IMPORT, Per, Verdict
from quarantine.readings import MembersMissing, NegativesMissing
from tests.quarantine.evidence import (
    asking,
    batch,
    course,
    dies,
    joins,
    meets,
    necropsy,
    negative,
    on,
    plus,
    positive,
    protocol,
    result,
    stays,
    swab,
    tank,
    told,
    under,
)

BD = protocol(asking(first_from=14, last_from=14), min_days=20)
FROM_ZERO = protocol(asking(), min_days=0)
FAECAL = protocol(asking("faecal", per=Per.ENCLOSURE), min_days=0)


def lacking(facts, day):
    return [u.member for u in true_on(facts, on(day)).unmet if isinstance(u, NegativesMissing)]


@pytest.mark.parametrize(("day", "lacks"), [("15 Mar", ["M1"]), ("16 Mar", []), ("17 Mar", [])])
def test_a_sample_counts_from_day_zero_plus_d(day, lacks):
    assert lacking(batch("M1", negative("M1", day), rules=BD), "1 May") == lacks


@pytest.mark.parametrize(("day", "lacks"), [("19 Mar", ["M1"]), ("20 Mar", []), ("21 Mar", [])])
def test_a_negative_counts_from_its_report_on(day, lacks):
    assert lacking(batch("M1", negative("M1", "16 Mar", "20 Mar"), rules=BD), day) == lacks


@pytest.mark.parametrize(("day", "lacks"), [("20 Mar", ["M1"]), ("21 Mar", ["M1"]), ("22 Mar", [])])
def test_a_negative_is_known_from_its_entry_on(day, lacks):
    facts = batch("M1", swab("M1", "16 Mar"), rules=BD)
    facts = plus(facts, result(facts.samples[0], Outcome.NEGATIVE, "20 Mar", entered="22 Mar"))
    known = known_on(facts, on(day)).unmet
    assert [u.member for u in known if isinstance(u, NegativesMissing)] == lacks


def test_every_living_member_owes_a_test_and_the_dead_and_gone_do_not():
    facts = batch("M1 M2 M3", rules=BD)
    assert lacking(facts, "1 May") == ["M1", "M2", "M3"]
    less = plus(facts, dies("M2", "9 Mar"), necropsy("M2", "9 Mar"))
    assert lacking(less, "1 May") == ["M1", "M3"]


def test_how_many_of_how_many_and_when_the_next_is_told():
    rules = protocol(asking(negatives=3, gap=14, last_from=40), min_days=60)
    facts = batch("M1", negative("M1", "2 Mar"), swab("M1", "16 Mar"), rules=rules)
    point = true_on(facts, on("17 Mar")).unmet[0]
    assert (point.counted, point.asked, point.next_sample) == (1, 3, on("11 Apr"))
    assert point.ready == on("18 Apr")


def test_no_next_sample_is_told_where_only_a_result_is_waited_for():
    point = true_on(batch("M1", swab("M1", "16 Mar"), rules=BD), on("17 Mar")).unmet[0]
    assert (point.next_sample, point.ready) == (None, on("23 Mar"))


class TestWhomASampleStandsFor:
    def test_a_pooled_swab_is_negative_for_each_it_names(self):
        assert lacking(batch("M1 M2 M3", negative("M1 M2", "16 Mar"), rules=BD), "1 May") == ["M3"]

    def test_an_enclosure_sample_never_meets_a_test_per_animal(self):
        facts = batch("M1", stays("M1", "Q1", "2 Mar"), rules=BD)
        facts = plus(facts, told(tank("Q1", "16 Mar", "bd-pcr"), Outcome.NEGATIVE, "16 Mar"))
        assert lacking(facts, "1 May") == ["M1"]

    @pytest.mark.parametrize(
        ("day", "lacks"),
        [("4 Mar", ["M1"]), ("5 Mar", []), ("9 Mar", []), ("10 Mar", ["M1"])],
    )
    def test_an_enclosure_sample_stands_for_whoever_stayed_there_on_its_day(self, day, lacks):
        facts = batch("M1", stays("M1", "Q1", "5 Mar", "10 Mar"), rules=FAECAL)
        facts = plus(facts, told(tank("Q1", day), Outcome.NEGATIVE, day))
        assert lacking(facts, "1 May") == lacks

    def test_a_named_sample_counts_for_those_it_names_in_a_test_per_enclosure(self):
        facts = batch("M1 M2", negative("M1", "5 Mar", assays="faecal"), rules=FAECAL)
        assert lacking(facts, "1 May") == ["M2"]

    def test_samples_of_a_test_per_enclosure_are_due_by_enclosure(self):
        facts = batch("M1 M2 M3", rules=FAECAL)
        facts = plus(facts, stays("M1", "Q1", "2 Mar", "4 Mar"), stays("M1", "Q2", "4 Mar"))
        facts = plus(facts, stays("M2", "Q2", "2 Mar"))
        due = true_on(facts, on("5 Mar")).due
        assert [(d.enclosure, d.members) for d in due] == [(None, ("M3",)), ("Q2", ("M1", "M2"))]

    def test_a_member_that_stays_nowhere_is_due_by_itself(self):
        facts = batch("M1", stays("M1", "Q1", "2 Mar", "4 Mar"), rules=FAECAL)
        due = [true_on(facts, on(day)).due[0] for day in ("3 Mar", "4 Mar")]
        assert [(d.enclosure, d.members) for d in due] == [("Q1", ("M1",)), (None, ("M1",))]

    def test_a_test_for_tailed_animals_is_owed_by_them_alone(self):
        facts = batch("M1", joins("T1", "2 Mar", tailed=True), rules=IMPORT)
        bsal = [u for u in true_on(facts, on("1 Jun")).unmet if u.assay == "bsal-pcr"]
        assert [u.member for u in bsal] == ["T1"]

    def test_a_sample_sent_for_another_assay_is_not_waited_for_here(self):
        facts = batch("M1", swab("M1", "16 Mar", "ranavirus-pcr"), rules=BD)
        assert true_on(facts, on("17 Mar")).best == on("24 Mar")

    def test_an_assay_nobody_sent_for_counts_when_the_laboratory_reports_it(self):
        sample = swab("M1", "16 Mar", "ranavirus-pcr")
        found = result(sample, Outcome.NEGATIVE, "18 Mar", assay="bd-pcr")
        assert lacking(batch("M1", sample, found, rules=BD), "18 Mar") == []


class TestSomeOfALargeBatch:
    rules = protocol(asking(members_asked=2), min_days=0)

    def test_once_k_have_met_it_the_test_is_met(self):
        facts = batch("M1 M2 M3", negative("M2", "5 Mar"), rules=self.rules)
        assert true_on(facts, on("5 Mar")).unmet[0] == MembersMissing(
            assay="bd-pcr", counted=1, asked=2, next_sample=on("5 Mar"), ready=on("12 Mar")
        )
        assert true_on(plus(facts, negative("M3", "6 Mar")), on("6 Mar")).possible

    def test_only_as_many_samples_are_due_as_are_lacking(self):
        facts = batch("M1 M2 M3", negative("M2", "5 Mar"), rules=self.rules)
        assert [d.members for d in true_on(facts, on("5 Mar")).due] == [("M1",)]

    def test_all_are_tested_where_fewer_live(self):
        facts = batch("M1", rules=self.rules)
        assert true_on(facts, on("5 Mar")).unmet[0].asked == 1
        assert true_on(plus(facts, negative("M1", "5 Mar")), on("5 Mar")).possible

    def test_the_negative_of_one_that_died_is_no_longer_one_of_k(self):
        facts = batch("M1 M2 M3", negative("M1 M2", "5 Mar"), rules=self.rules)
        dead = plus(facts, dies("M2", "6 Mar"), necropsy("M2", "6 Mar"))
        assert [true_on(f, on("6 Mar")).possible for f in (facts, dead)] == [True, False]


class TestAfterAnEvent:
    @pytest.mark.parametrize(("day", "lacks"), [("9 Mar", ["M1"]), ("10 Mar", []), ("11 Mar", [])])
    def test_a_negative_of_the_day_of_an_addition_counts(self, day, lacks):
        facts = batch("M1", joins("M2", "10 Mar"), negative("M1 M2", day), rules=FROM_ZERO)
        assert [m for m in lacking(facts, "1 May") if m == "M1"] == lacks

    @pytest.mark.parametrize(
        "event",
        [positive("M2", "10 Mar"), dies("M2", "10 Mar"), meets("M2", "10 Mar", "10 Mar")],
        ids=["positive", "death", "meeting"],
    )
    @pytest.mark.parametrize(
        ("day", "lacks"), [("9 Mar", ["M1"]), ("10 Mar", ["M1"]), ("11 Mar", [])]
    )
    def test_a_negative_counts_only_after_the_day_of_the_event(self, event, day, lacks):
        facts = batch("M1 M2", event, negative("M1", day), rules=FROM_ZERO)
        assert [m for m in lacking(facts, "1 May") if m == "M1"] == lacks

    def test_a_course_that_moved_day_zero_is_no_event_of_its_own(self):
        facts = batch("M1", positive("M1", "10 Mar"), course("12 Mar", "20 Mar"))
        rules = protocol(asking("ranavirus-pcr"), min_days=0)
        facts = plus(facts, negative("M1", "21 Mar", assays="ranavirus-pcr"))
        facts = under(facts, rules)
        assert true_on(facts, on("21 Mar")).zero.day == on("21 Mar")
        assert lacking(facts, "21 Mar") == []

    def test_an_accepted_load_meets_the_test_like_a_negative_once_reported(self):
        found = positive("M1", "5 Mar", "9 Mar", assays="faecal", verdict=Verdict.ACCEPTED)
        facts = batch("M1", found, rules=FAECAL)
        assert [lacking(facts, day) for day in ("8 Mar", "9 Mar")] == [["M1"], []]
        assert true_on(facts, on("8 Mar")).best == on("12 Mar")

    @pytest.mark.parametrize(
        ("day", "lacks"), [("9 Mar", ["M1"]), ("10 Mar", ["M1"]), ("11 Mar", [])]
    )
    def test_this_test_again_voids_what_was_sampled_up_to_that_day_for_the_whole_batch(
        self, day, lacks
    ):
        again = positive("M2", "10 Mar", assays="faecal", verdict=Verdict.TEST_AGAIN)
        facts = batch("M1 M2", negative("M1", day, assays="faecal"), again, rules=FAECAL)
        assert true_on(facts, on("20 Mar")).zero.day == on("2 Mar")
        assert [m for m in lacking(facts, "20 Mar") if m == "M1"] == lacks

    def test_this_test_again_leaves_the_other_tests_alone(self):
        again = positive("M1", "10 Mar", assays="faecal", verdict=Verdict.TEST_AGAIN)
        facts = batch("M1", negative("M1", "9 Mar"), again, rules=FROM_ZERO)
        assert lacking(facts, "20 Mar") == []

    def test_with_an_undecided_positive_samples_go_on_being_due(self):
        facts = batch("M1", positive("M1", "10 Mar", assays="faecal"), rules=FAECAL)
        reading = true_on(facts, on("10 Mar"))
        assert (reading.best, reading.due[0].day) == (None, on("10 Mar"))


class TestWashout:
    @pytest.mark.parametrize(
        ("day", "lacks"),
        [
            ("9 Mar", []),
            ("10 Mar", ["M1"]),
            ("12 Mar", ["M1"]),
            ("26 Mar", ["M1"]),
            ("27 Mar", []),
        ],
    )
    def test_no_sample_counts_from_the_first_dose_to_14_days_after_the_last(self, day, lacks):
        facts = batch("M1", course("10 Mar", "12 Mar"), negative("M1", day), rules=FROM_ZERO)
        assert lacking(facts, "1 May") == lacks

    def test_a_course_against_another_agent_has_no_washout_here(self):
        facts = batch("M1", course("10 Mar", "12 Mar", against="faecal"), rules=FROM_ZERO)
        assert lacking(plus(facts, negative("M1", "11 Mar")), "1 May") == []

    def test_a_sample_is_forecast_for_the_day_after_the_washout(self):
        facts = batch("M1", course("10 Mar", "12 Mar"), rules=FROM_ZERO)
        reading = true_on(facts, on("11 Mar"))
        assert [d.day for d in reading.due] == [on("26 Mar")]
        reading = true_on(facts, on("12 Mar"))
        assert [d.day for d in reading.due] == [on("27 Mar")]
        assert reading.best == on("27 Mar") + timedelta(days=7)

    def test_while_a_cure_runs_samples_are_due_from_the_day_zero_it_will_leave(self):
        rules = protocol(asking("ranavirus-pcr", first_from=14, last_from=14), min_days=20)
        facts = batch(
            "M1", positive("M1", "10 Mar"), course("12 Mar", planned="20 Mar"), rules=rules
        )
        assert true_on(facts, on("11 Mar")).due[0].day == on("24 Mar")
        assert true_on(facts, on("12 Mar")).due[0].day == on("4 Apr")

    def test_the_washout_of_a_running_course_follows_its_planned_last_dose(self):
        facts = batch("M1", course("10 Mar", planned="20 Mar"), rules=FROM_ZERO)
        assert true_on(facts, on("12 Mar")).due[0].day == on("4 Apr")


class TestAwaited:
    def test_a_sample_is_awaited_from_its_day_until_it_is_reported(self):
        facts = batch("M1", negative("M1", "16 Mar", "20 Mar"), rules=BD)
        waiting = [len(true_on(facts, on(d)).awaited) for d in ("15 Mar", "16 Mar", "19 Mar")]
        assert waiting == [0, 1, 1]
        assert true_on(facts, on("20 Mar")).awaited == ()

    def test_the_sample_of_one_that_died_is_awaited_for_its_positive_would_count(self):
        facts = batch("M1 M2", swab("M2", "9 Mar"), dies("M2", "10 Mar"), rules=BD)
        assert [a.members for a in true_on(facts, on("12 Mar")).awaited] == [("M2",)]

    def test_samples_of_animals_of_other_batches_are_not_awaited_here(self):
        assert true_on(batch("M1", swab("X", "9 Mar")), on("12 Mar")).awaited == ()
