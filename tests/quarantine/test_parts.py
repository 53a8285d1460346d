"""A split batch: facts up to that day for both parts, positives and deaths 14 days longer."""

from datetime import timedelta

import pytest

from quarantine.clock import NotOpened, true_on
from quarantine.evidence import Outcome
from quarantine.parts import lineage, together_until
from quarantine.protocols import Verdict
from quarantine.readings import Cause
from tests.quarantine.evidence import (
    as_part,
    asking,
    batch,
    course,
    dies,
    ending,
    joins,
    meets,
    necropsy,
    negative,
    on,
    plus,
    positive,
    protocol,
    split,
    splits,
    stays,
    tank,
    told,
)

PARTED = "1 Apr"


def parted(*facts, rules=None):
    """M1 stays in B, M2 goes into P on 1 April; return both views."""
    whole = plus(split(batch("M1 M2", rules=rules), "M2", PARTED), *facts)
    return whole, as_part(whole)


def zeros(views, day="1 Jun"):
    return [f"{true_on(view, on(day)).zero.day:%-d %b}" for view in views]


def test_a_part_keeps_the_opening_day_and_protocol_of_the_whole():
    whole, part = parted()
    reading = true_on(part, on(PARTED))
    assert (reading.zero.day, reading.zero.cause) == (on("2 Mar"), Cause.OPENED)
    assert (reading.living, true_on(whole, on(PARTED)).living) == (("M2",), ("M1",))
    assert reading.best == on("2 Mar") + timedelta(days=60)


def test_before_the_split_there_is_no_part():
    whole, part = parted()
    with pytest.raises(NotOpened):
        true_on(part, on("31 Mar"))
    assert true_on(whole, on("31 Mar")).living == ("M1", "M2")


def test_a_part_with_an_opening_of_its_own_keeps_that():
    whole, part = parted(batch(opened=PARTED, name="P").openings[0])
    assert zeros((whole, part)) == ["2 Mar", "1 Apr"]


@pytest.mark.parametrize(
    ("day", "both"), [("31 Mar", True), ("1 Apr", True), ("2 Apr", False), ("15 Apr", False)]
)
@pytest.mark.parametrize(
    "event", [lambda day: joins("M3", day), lambda day: meets("M1", day, day)], ids=["added", "met"]
)
def test_additions_and_meetings_count_for_both_up_to_the_day_of_the_split(event, day, both):
    view = zeros(parted(event(day)))
    assert view == [f"{on(day):%-d %b}", f"{on(day):%-d %b}" if both else "2 Mar"]


@pytest.mark.parametrize("member", ["M1", "M2"])
@pytest.mark.parametrize(
    ("day", "both"), [("1 Apr", True), ("14 Apr", True), ("15 Apr", True), ("16 Apr", False)]
)
@pytest.mark.parametrize("event", [positive, dies])
def test_positives_and_deaths_count_for_both_up_to_14_days_after(event, day, both, member):
    found = f"{on(day):%-d %b}"
    mine, other = (1, 0) if member == "M2" else (0, 1)
    view = zeros(parted(event(member, day)))
    assert view[mine] == found
    assert view[other] == (found if both else "2 Mar")


def test_an_explained_death_in_the_other_part_counts_for_neither():
    assert zeros(parted(dies("M2", "5 Apr"), necropsy("M2", "9 Apr"))) == ["2 Mar", "2 Mar"]


def test_an_undecided_positive_in_the_other_part_bars_both():
    views = parted(positive("M2", "15 Apr", assays="ranavirus-pcr"))
    assert [true_on(view, on("1 Jun")).best for view in views] == [None, None]


def test_this_test_again_in_the_other_part_holds_for_both():
    rules = protocol(asking("faecal"))
    views = parted(
        negative("M1 M2", "10 Apr", assays="faecal"),
        positive("M2", "15 Apr", assays="faecal", verdict=Verdict.TEST_AGAIN),
        rules=rules,
    )
    assert [true_on(view, on("1 Jun")).possible for view in views] == [False, False]


def test_samples_of_before_the_split_count_for_both():
    rules = protocol(asking(first_from=14, last_from=14))
    views = parted(negative("M1 M2", "16 Mar"), rules=rules)
    assert [true_on(view, on("1 Jun")).possible for view in views] == [True, True]


@pytest.mark.parametrize(
    ("first", "last", "moved"),
    [("31 Mar", "9 Apr", True), ("1 Apr", "9 Apr", True), ("2 Apr", "9 Apr", False)],
)
def test_a_course_begun_by_the_split_acts_on_both_and_later_ones_on_their_own(first, last, moved):
    view = zeros(parted(positive("M1", "20 Mar"), course(first, last)))
    assert view == ["10 Apr", "10 Apr" if moved else "20 Mar"]


def test_a_course_of_the_part_does_not_hold_the_whole():
    whole, part = parted(course("2 Apr", of="P", against="faecal"))
    assert true_on(whole, on("1 Jun")).possible
    assert not true_on(part, on("1 Jun")).possible


def test_an_enclosure_positive_counts_for_the_part_whose_member_stays_there():
    found = told(tank("Q2", "20 Apr", "bd-pcr"), Outcome.POSITIVE, "20 Apr")
    assert zeros(parted(stays("M2", "Q2", "2 Mar"), found)) == ["2 Mar", "20 Apr"]


def test_the_parts_of_a_part_were_one_until_the_first_split():
    facts = split(batch("M1 M2 M3"), "M2 M3", "1 Apr")
    facts = ending(facts, "M3", "11 Apr")
    facts = plus(facts, splits("M3", "11 Apr", off="P", to="Q"))
    assert lineage(facts.splits, "Q") == {
        "Q": type(on("1 Apr")).max,
        "P": on("11 Apr"),
        "B": on("1 Apr"),
    }
    assert together_until(facts, "Q") == on("1 Apr")
    assert together_until(as_part(facts, "P"), "Q") == on("11 Apr")
    assert together_until(facts, "another") is None


@pytest.mark.parametrize(("day", "counts"), [("15 Apr", "BPQ"), ("16 Apr", "PQ"), ("26 Apr", "Q")])
def test_a_death_in_the_part_of_a_part_counts_for_those_parted_at_most_14_days(day, counts):
    facts = ending(split(batch("M1 M2 M3"), "M2 M3", "1 Apr"), "M3", "11 Apr")
    facts = plus(facts, splits("M3", "11 Apr", off="P", to="Q"), dies("M3", day))
    zero = {name: true_on(as_part(facts, name), on("1 Jun")).zero.day for name in "BPQ"}
    assert "".join(name for name in zero if zero[name] == on(day)) == counts


def test_two_parts_of_one_whole_share_what_befell_either():
    facts = split(split(batch("M1 M2 M3"), "M2", "1 Apr", to="P"), "M3", "8 Apr", to="Q")
    facts = plus(facts, joins("M4", "3 Apr"), dies("M3", "15 Apr"))
    zero = {name: true_on(as_part(facts, name), on("1 Jun")).zero.day for name in "BPQ"}
    assert zero == {"B": on("15 Apr"), "P": on("15 Apr"), "Q": on("15 Apr")}
    without = plus(facts, necropsy("M3", "20 Apr"))
    zero = {name: true_on(as_part(without, name), on("1 Jun")).zero.day for name in "BPQ"}
    assert zero == {"B": on("3 Apr"), "P": on("2 Mar"), "Q": on("3 Apr")}


def test_facts_of_a_batch_of_no_family_count_nothing():
    facts = batch("M1", joins("X", "10 Mar", to="elsewhere"), dies("X", "12 Mar"))
    assert true_on(facts, on("20 Mar")).zero.day == on("2 Mar")
