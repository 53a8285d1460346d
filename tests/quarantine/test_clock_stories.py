"""Two batches kept day by day, date for date: a staggered box; a positive, a cure and a death."""

from dataclasses import replace
from datetime import timedelta

import pytest

from quarantine.changes import changed_evidence, signature
from quarantine.clock import known_on, true_on
from quarantine.evidence import Outcome
from quarantine.protocols import CAPTIVE_BRED, IMPORT, Scope, Verdict
from quarantine.readings import Cause, TooEarly
from tests.quarantine.evidence import (
    arrives,
    batch,
    corrects,
    course,
    dies,
    joins,
    necropsy,
    negative,
    on,
    plus,
    positive,
    stays,
    swab,
    tank,
    told,
)

SIX = "E1 E2 E3 E4 E5 E6"
ALL = f"{SIX} E7"
PCR = "bd-pcr ranavirus-pcr"


def best(facts, day):
    return true_on(facts, on(day)).best


def points(facts, day):
    return {unmet.point for unmet in true_on(facts, on(day)).unmet}


class TestStaggeredBox:
    """Six Epipedobates anthonyi "Rio Candelo" and the seventh that came later."""

    opened = batch(SIX, *(stays(m, "Q1", "2 Mar") for m in SIX.split()), rules=CAPTIVE_BRED)
    swabbed = plus(opened, negative(SIX, "16 Mar", "23 Mar", PCR))
    joined = plus(swabbed, joins("E7", "20 Mar"), stays("E7", "Q1", "20 Mar"))

    seventh = swab("E7", "3 Apr", PCR)
    faecals = [
        *told(tank("Q1", "3 Apr"), Outcome.NEGATIVE, "24 Apr"),
        *told(tank("Q1", "17 Apr"), Outcome.NEGATIVE, "24 Apr"),
    ]
    spring = plus(
        joined,
        negative(SIX, "3 Apr", "10 Apr", PCR),
        told(seventh, Outcome.INCONCLUSIVE, "10 Apr"),
        faecals,
    )
    last_swab = swab("E7", "15 May", PCR)
    last_results = told(last_swab, Outcome.NEGATIVE, "22 May")[1:]
    done = plus(spring, last_swab, last_results)

    def test_six_can_go_sixty_days_after_they_came(self):
        assert best(self.opened, "2 Mar") == on("1 May")

    def test_their_swabs_and_faecals_are_due_from_the_first_days_allowed(self):
        due = true_on(self.opened, on("2 Mar")).due
        assert [(d.assay, d.day) for d in due] == [
            ("faecal", on("2 Mar")),
            ("bd-pcr", on("16 Mar")),
            ("faecal", on("16 Mar")),
            ("ranavirus-pcr", on("16 Mar")),
        ]
        assert {(d.assay, d.enclosure) for d in due} == {
            ("faecal", "Q1"),
            ("bd-pcr", None),
            ("ranavirus-pcr", None),
        }

    def test_a_seventh_starts_the_days_again(self):
        before, after = (true_on(self.joined, on(day)) for day in ("19 Mar", "20 Mar"))
        assert (before.best, after.best) == (on("1 May"), on("19 May"))
        assert (after.zero.cause, after.zero.who) == (Cause.ADDED, ("E7",))

    def test_the_swabs_of_march_no_longer_count(self):
        assert ("negatives", "bd-pcr", "E1") not in points(self.swabbed, "1 May")
        assert ("negatives", "bd-pcr", "E1") in points(self.joined, "1 May")

    def test_on_the_day_of_time_a_result_is_waited_for(self):
        reading = true_on(self.done, on("19 May"))
        assert not reading.possible
        assert {u.point for u in reading.unmet} == {
            ("negatives", "bd-pcr", "E7"),
            ("negatives", "ranavirus-pcr", "E7"),
        }
        assert {(a.sample, a.expected) for a in reading.awaited} == {
            (self.last_swab.key, on("22 May"))
        }
        assert reading.best == on("22 May")

    @pytest.mark.parametrize(
        ("day", "can"), [("21 May", False), ("22 May", True), ("23 May", True)]
    )
    def test_release_is_possible_from_the_result_on(self, day, can):
        assert true_on(self.done, on(day)).possible is can

    def test_a_corrected_result_changes_the_evidence_for_all_seven(self):
        signed = signature(self.done, on("22 May"), on("22 May"))
        wrong = next(r for r in self.last_results if r.assay == "bd-pcr")
        fixed = corrects(wrong, "1 Jun", outcome=Outcome.POSITIVE, reported=on("1 Jun"))
        late = plus(self.done, fixed)
        changed = changed_evidence(late, signed)
        assert changed_evidence(self.done, signed) is None
        assert changed.zero.day == on("15 May")
        assert ("time",) in {u.point for u in changed.unlisted}
        assert known_on(late, on("31 May")).possible
        assert not true_on(late, on("31 May")).possible

    def test_the_neighbour_keeps_its_day_unless_the_unit_counts(self):
        members = "N1 N2"
        neighbour = batch(
            members,
            *(stays(m, "Q2", "10 Feb") for m in members.split()),
            *(arrives(m, "2 Mar") for m in SIX.split()),
            rules=CAPTIVE_BRED,
            opened="10 Feb",
        )
        by_unit = replace(CAPTIVE_BRED, scope=Scope.UNIT)
        opening = replace(neighbour.openings[0], protocol=by_unit)
        unit = replace(neighbour, openings=(opening,))
        later = arrives("E7", "20 Mar")
        assert best(neighbour, "2 Mar") == on("11 Apr")
        assert best(plus(neighbour, later), "20 Mar") == on("11 Apr")
        assert best(unit, "1 Mar") == on("11 Apr")
        assert best(unit, "2 Mar") == on("1 May")
        assert best(plus(unit, later), "20 Mar") == on("19 May")


class TestPositiveCureDeath:
    """Eight wild Mantella "Tsarafotsy": a positive, a cure, a death that was explained later."""

    members = "M1 M2 M3 M4 M5 M6 M7 M8"
    others = "M1 M2 M3 M4 M6 M7 M8"
    seven = "M1 M3 M4 M5 M6 M7 M8"
    opened = batch(
        members,
        *(stays(m, "Q3", "5 Jan") for m in members.split()),
        rules=IMPORT,
        opened="5 Jan",
    )
    found = plus(
        opened,
        positive("M5", "20 Feb", "27 Feb"),
        negative(others, "20 Feb", "27 Feb"),
    )
    cured = plus(found, course("28 Feb", "10 Mar"))
    swabbed = plus(
        cured,
        negative(members, "26 Mar", "2 Apr", PCR),
        negative(seven, "25 Apr", "2 May", PCR),
        told(tank("Q3", "26 Mar"), Outcome.NEGATIVE, "2 Apr"),
        told(tank("Q3", "9 Apr"), Outcome.POSITIVE, "16 Apr", verdict=Verdict.ACCEPTED),
        told(tank("Q3", "25 Apr"), Outcome.NEGATIVE, "2 May"),
    )
    died = plus(swabbed, dies("M2", "2 Apr"))
    explained = plus(died, necropsy("M2", "6 May"))

    def test_wild_ones_wait_ninety_days(self):
        assert best(self.opened, "5 Jan") == on("5 Apr")

    def test_a_positive_starts_the_days_on_its_sample(self):
        reading = true_on(self.found, on("27 Feb"))
        assert (reading.zero.day, reading.zero.cause) == (on("20 Feb"), Cause.POSITIVE)
        assert reading.best == on("20 Feb") + timedelta(days=90)

    def test_the_other_seven_count_nothing(self):
        missing = true_on(self.found, on("27 Feb")).unmet
        counted = {u.member: u.counted for u in missing if u.point[:2] == ("negatives", "bd-pcr")}
        assert counted == dict.fromkeys(self.members.split(), 0)

    def test_the_cure_moves_day_zero_to_the_day_after_the_last_dose(self):
        before, after = (true_on(self.cured, on(day)) for day in ("9 Mar", "11 Mar"))
        assert before.zero.day == on("20 Feb")
        assert (after.zero.day, after.zero.cause) == (on("11 Mar"), Cause.COURSE)
        assert after.best == on("9 Jun")

    def test_an_unexplained_death_starts_the_days_again(self):
        reading = true_on(self.died, on("2 Apr"))
        assert (reading.zero.day, reading.zero.who) == (on("2 Apr"), ("M2",))
        assert reading.best == on("1 Jul")

    def test_an_accepted_cause_takes_the_death_back(self):
        reading = true_on(self.explained, on("6 May"))
        assert reading.zero.day == on("11 Mar")
        assert reading.best == on("9 Jun")

    def test_as_of_the_day_before_it_was_entered(self):
        assert known_on(self.explained, on("5 May")).best == on("1 Jul")
        assert true_on(self.explained, on("5 May")).best == on("9 Jun")
        assert known_on(self.explained, on("6 May")).best == on("9 Jun")

    def test_the_seven_can_go_on_the_ninth_of_june(self):
        days = [true_on(self.explained, on(day)) for day in ("8 Jun", "9 Jun", "10 Jun")]
        assert [reading.possible for reading in days] == [False, True, True]
        assert days[0].unmet == (TooEarly(until=on("9 Jun")),)
        assert days[1].living == tuple(self.seven.split())
