"""Entered by a day, corrected, dated up to a day: nothing is overwritten and nothing is lost."""

from dataclasses import fields, replace

import pytest

from quarantine.clock import known_on, true_on
from quarantine.entries import BEGINS, ENDS, KINDS, dated_up_to, entered_by, standing
from quarantine.evidence import Facts, Outcome
from tests.quarantine.evidence import (
    asking,
    batch,
    corrects,
    course,
    dies,
    eats,
    ending,
    joins,
    meets,
    missing,
    necropsy,
    negative,
    on,
    plus,
    positive,
    protocol,
    shows,
    stays,
    swab,
    takes_back,
    told,
    weighs,
)

RULES = protocol(asking(first_from=10, last_from=10), min_days=20)


def test_every_kind_of_fact_is_filtered():
    assert {*KINDS} == {f.name for f in fields(Facts)} - {"batch", "assays"}
    assert ENDS.keys() <= BEGINS.keys()


@pytest.mark.parametrize(
    "fact",
    [
        joins("M2", "9 Mar"),
        stays("M1", "Q1", "9 Mar"),
        swab("M1", "9 Mar"),
        course("9 Mar"),
        dies("M1", "9 Mar"),
        missing("M1", "9 Mar"),
        meets("M1", "9 Mar"),
        weighs("M1", "9 Mar", "2"),
        eats("M1", "9 Mar"),
        shows("M1", "9 Mar"),
        necropsy("M1", "9 Mar"),
        takes_back(dies("M1", "9 Mar"), "9 Mar"),
    ],
    ids=lambda fact: type(fact).__name__,
)
def test_a_fact_is_known_from_the_day_it_was_entered(fact):
    facts = plus(Facts(batch="B", openings=()), fact)
    kept = [
        sum(len(getattr(entered_by(facts, on(d)), k)) for k in KINDS) for d in ("8 Mar", "9 Mar")
    ]
    assert kept == [0, 1]


@pytest.mark.parametrize(
    ("ended", "end"),
    [
        (joins("M1", "2 Mar", left="9 Mar", left_entered="12 Mar"), "left"),
        (replace(stays("M1", "Q", "2 Mar", "9 Mar"), last_entered=on("12 Mar")), "last"),
        (course("2 Mar", "9 Mar", told="12 Mar"), "last_dose"),
        (replace(missing("M1", "2 Mar", "9 Mar"), found_entered=on("12 Mar")), "found"),
        (meets("M1", "2 Mar", "9 Mar", last_entered=on("12 Mar")), "last"),
        (shows("M1", "2 Mar", "9 Mar", gone_entered=on("12 Mar")), "gone"),
    ],
    ids=["membership", "stay", "course", "missing", "meeting", "sign"],
)
def test_an_end_is_known_from_its_own_entry_and_true_from_its_own_day(ended, end):
    facts = plus(Facts(batch="B", openings=()), ended)
    kind = next(k for k in ENDS if getattr(facts, k))
    known = [getattr(getattr(entered_by(facts, on(d)), kind)[0], end) for d in ("11 Mar", "12 Mar")]
    true = [getattr(getattr(dated_up_to(facts, on(d)), kind)[0], end) for d in ("8 Mar", "9 Mar")]
    assert known == true == [None, on("9 Mar")]


def test_a_corrected_sample_keeps_its_results():
    facts = batch("M1", negative("M1", "11 Mar"), rules=RULES)
    late = plus(facts, corrects(facts.samples[0], "15 Mar", taken=on("12 Mar")))
    assert not known_on(late, on("14 Mar")).possible
    assert known_on(late, on("22 Mar")).possible


def test_a_result_entered_for_the_corrected_sample_is_known_as_one_of_the_first_before():
    facts = batch("M1", swab("M1", "12 Mar"), rules=RULES)
    fixed = corrects(facts.samples[0], "25 Mar", taken=on("13 Mar"))
    moved = told(fixed, Outcome.NEGATIVE, "14 Mar")[1]
    late = plus(facts, fixed, moved)
    assert known_on(late, on("24 Mar")).possible
    assert true_on(late, on("25 Mar")).possible
    too_early = plus(late, corrects(fixed, "26 Mar", taken=on("11 Mar")))
    assert known_on(too_early, on("25 Mar")).possible
    assert not true_on(too_early, on("26 Mar")).possible


def test_a_corrected_result_is_replaced_from_its_entry_on():
    facts = batch("M1", negative("M1", "12 Mar", "19 Mar"), rules=RULES)
    fixed = corrects(facts.results[0], "30 Mar", outcome=Outcome.POSITIVE, reported=on("30 Mar"))
    late = plus(facts, fixed)
    assert known_on(late, on("29 Mar")).possible
    assert true_on(late, on("20 Mar")).zero.day == on("12 Mar")


def test_a_positive_corrected_to_negative_is_awaited_until_that_report():
    facts = batch("M1", positive("M1", "12 Mar", "19 Mar"), rules=RULES)
    fixed = corrects(facts.results[0], "30 Mar", outcome=Outcome.NEGATIVE, reported=on("30 Mar"))
    late = plus(facts, fixed)
    assert known_on(late, on("29 Mar")).zero.day == on("12 Mar")
    assert len(true_on(late, on("29 Mar")).awaited) == 1
    assert true_on(late, on("30 Mar")).possible


def test_an_entry_taken_back_leaves_nothing_in_its_place():
    facts = batch("M1", positive("M1", "12 Mar"), rules=RULES)
    late = plus(facts, takes_back(facts.samples[0], "15 Mar"))
    assert known_on(late, on("14 Mar")).zero.day == on("12 Mar")
    assert true_on(late, on("14 Mar")).zero.day == on("2 Mar")
    assert standing(late).results[0].sample not in {s.key for s in standing(late).samples}


def test_a_membership_ended_later_is_running_as_known_before():
    facts = ending(batch("M1 M2"), "M2", "9 Mar", entered="12 Mar")
    assert known_on(facts, on("11 Mar")).living == ("M1", "M2")
    assert known_on(facts, on("12 Mar")).living == ("M1",)
    assert true_on(facts, on("9 Mar")).living == ("M1",)


def test_two_entries_that_replace_each_other_do_not_hang_the_clock():
    facts = batch("M1", swab("M1", "12 Mar"), rules=RULES)
    first = replace(facts.samples[0], replaces="other")
    other = replace(first, key="other", replaces=first.key)
    assert true_on(replace(facts, samples=(first, other)), on("20 Mar")).awaited == ()
