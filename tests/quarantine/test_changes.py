"""What speaks against a signature later, and by how many days an act delays a batch."""

from dataclasses import replace

import pytest

from quarantine.changes import changed_evidence, delay, delays, signature
from quarantine.entries import entered_by
from quarantine.evidence import Outcome
from quarantine.protocols import Verdict
from tests.quarantine.evidence import (
    asking,
    batch,
    corrects,
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
    swab,
    takes_back,
)

RULES = protocol(asking(first_from=14, last_from=14), min_days=20)
SIGNED = "22 Mar"


def cleared():
    return batch("M1 M2", negative("M1 M2", "16 Mar"), rules=RULES)


def unlisted(facts, signed):
    changed = changed_evidence(facts, signed)
    return changed and {unmet.point for unmet in changed.unlisted}


class TestChangedEvidence:
    def test_nothing_new_says_nothing(self):
        facts = cleared()
        signed = signature(facts, on(SIGNED), on(SIGNED))
        assert signed.listed == frozenset()
        assert changed_evidence(facts, signed) is None

    @pytest.mark.parametrize(("day", "speaks"), [("22 Mar", True), ("23 Mar", False)])
    def test_what_happened_after_the_day_of_signing_does_not_speak(self, day, speaks):
        facts = cleared()
        signed = signature(facts, on(SIGNED), on(SIGNED))
        late = plus(facts, meets("M1", day, day, other="X"))
        assert bool(changed_evidence(late, signed)) is speaks

    def test_a_late_meeting_speaks_with_its_later_day_zero(self):
        facts = cleared()
        signed = signature(facts, on(SIGNED), on(SIGNED))
        late = plus(facts, replace(meets("M1", "18 Mar", "18 Mar"), entered=on("2 Apr")))
        changed = changed_evidence(late, signed)
        assert (changed.zero.day, changed.zero.who) == (on("18 Mar"), ("M1",))
        assert changed_evidence(entered_by(late, on("1 Apr")), signed) is None
        assert changed_evidence(entered_by(late, on("2 Apr")), signed) == changed

    def test_a_negative_taken_back_speaks(self):
        facts = cleared()
        signed = signature(facts, on(SIGNED), on(SIGNED))
        late = plus(facts, takes_back(facts.results[0], "2 Apr"))
        assert unlisted(late, signed) == {
            ("negatives", "bd-pcr", "M1"),
            ("negatives", "bd-pcr", "M2"),
        }

    def test_a_later_day_zero_that_still_allows_release_says_nothing(self):
        facts = batch("M1", negative("M1", "16 Mar"), rules=replace(RULES, min_days=0, tests=()))
        signed = signature(facts, on(SIGNED), on(SIGNED))
        late = plus(facts, dies("X", "18 Mar"), joins("M2", "18 Mar", entered="1 Apr"))
        assert changed_evidence(late, signed) is None

    def test_an_override_is_not_flagged_for_the_points_it_listed(self):
        facts = batch("M1 M2", negative("M1", "16 Mar"), rules=RULES)
        signed = signature(facts, on("20 Mar"), on("20 Mar"))
        assert signed.listed == {("negatives", "bd-pcr", "M2"), ("time",)}
        assert changed_evidence(facts, signed) is None

    def test_an_override_is_flagged_for_what_it_did_not_list(self):
        facts = batch("M1 M2", negative("M1", "16 Mar"), rules=RULES)
        signed = signature(facts, on(SIGNED), on(SIGNED))
        late = plus(facts, positive("M2", "17 Mar", "1 Apr", verdict=Verdict.VETERINARIAN))
        assert unlisted(late, signed) == {("verdict", late.samples[-1].key, "bd-pcr")}

    def test_an_override_is_flagged_for_a_later_day_zero_though_time_was_listed(self):
        facts = batch("M1", rules=RULES)
        signed = signature(facts, on("16 Mar"), on("16 Mar"))
        late = plus(facts, positive("M1", "10 Mar", "1 Apr"))
        changed = changed_evidence(late, signed)
        assert (changed.unlisted, changed.zero.day) == ((), on("10 Mar"))

    def test_a_new_signature_settles_it_on_the_evidence_known_when_it_is_entered(self):
        facts = cleared()
        late = plus(facts, replace(meets("M1", "18 Mar", "18 Mar"), entered=on("2 Apr")))
        before = signature(late, on(SIGNED), on("1 Apr"))
        settled = signature(late, on(SIGNED), on("2 Apr"))
        assert changed_evidence(late, before)
        assert changed_evidence(late, settled) is None
        later = plus(late, replace(meets("M1", "20 Mar", "20 Mar"), entered=on("9 Apr")))
        assert changed_evidence(later, settled).zero.day == on("20 Mar")

    def test_a_point_stays_the_same_while_its_figures_move(self):
        rules = protocol(asking(negatives=2, gap=7), min_days=20)
        facts = batch("M1", negative("M1", "3 Mar"), rules=rules)
        signed = signature(facts, on(SIGNED), on(SIGNED))
        late = plus(facts, corrects(facts.results[0], "1 Apr", outcome=Outcome.INCONCLUSIVE))
        assert changed_evidence(late, signed) is None


class TestDelay:
    def test_an_act_that_starts_the_days_again_delays_by_so_many_days(self):
        facts = batch()
        found = delay(facts, plus(facts, joins("M2", "10 Mar")), on("10 Mar"))
        assert (found.before, found.after, found.days) == (on("1 May"), on("9 May"), 8)
        assert found.reading.zero.who == ("M2",)

    def test_an_act_that_delays_nothing_says_nothing(self):
        facts = batch("M1 M2", rules=RULES)
        assert delay(facts, plus(facts, swab("M1", "16 Mar")), on("16 Mar")) is None

    def test_an_act_that_brings_the_day_nearer_says_nothing(self):
        facts = batch("M1 M2", dies("M2", "10 Mar"))
        assert delay(facts, plus(facts, necropsy("M2", "20 Mar")), on("20 Mar")) is None

    def test_where_no_day_can_be_told_any_more_the_delay_has_no_days(self):
        facts = batch()
        found = delay(facts, plus(facts, positive("M1", "10 Mar", assays="faecal")), on("10 Mar"))
        assert (found.after, found.days) == (None, None)
        assert found.reading.barred_by[0].assay == "faecal"

    def test_an_inconclusive_result_delays_by_the_new_sample(self):
        facts = batch("M1", swab("M1", "16 Mar"), rules=RULES)
        late = plus(facts, result(facts.samples[0], Outcome.INCONCLUSIVE, "20 Mar"))
        assert delay(facts, late, on("20 Mar")).days == 4

    def test_the_death_of_the_last_one_delays_nobody(self):
        facts = batch("M1")
        assert delay(facts, plus(facts, dies("M1", "10 Mar")), on("10 Mar")) is None

    def test_a_batch_not_open_before_is_not_delayed(self):
        assert delay(batch(opened="20 Mar"), batch(), on("10 Mar")) is None

    def test_only_the_batches_an_act_delays_are_shown(self):
        other, facts = batch("N1", name="N"), batch()
        after = plus(facts, joins("M2", "10 Mar"))
        found = list(delays([(other, other), (facts, after)], on("10 Mar")))
        assert [(d.batch, d.days) for d in found] == [("B", 8)]
