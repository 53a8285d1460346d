"""Standings on a day, as true and as known, and what a proposal would do to them."""

from dataclasses import replace
from datetime import date

import pytest

from quarantine.facts import Arrival, Clearance, Departure, Facts, Stay, known_on, true_on
from quarantine.standing import moved, newly_held, proposed, standings
from quarantine.traces import forward
from quarantine.whereabouts import whereabouts
from tests.quarantine.lives import arrival, found, on, stay, visited

JUNE, JULY = 6, 7


def story(day, month=JUNE):
    return date(2026, month, day)


def back_dated_loan():
    """Story 3: the loan that a helper put with the residents, entered three weeks later."""
    begin, late = date(2026, 1, 1), story(5, JULY)
    residents = ("D-01", "D-02", "D-05", "D-07", "D-09")

    def lives(who, enclosure, start, end=None, **more):
        return Stay(who=who, enclosure=enclosure, start=start, end=end, **more)

    return Facts(
        arrivals=(
            Arrival(who=residents, day=begin, key="stock"),
            Arrival(who=("D-03",), day=story(10), key="loan"),
        ),
        clearances=(Clearance(who=residents, day=begin),),
        stays=(
            lives("D-01", "E10", begin, story(25)),
            lives("D-02", "E10", begin, story(20)),
            lives("D-02", "E11", story(20)),
            lives("D-05", "E11", begin),
            lives("D-07", "E13", begin, story(1, JULY)),
            lives("D-07", "E10", story(1, JULY)),
            lives("D-09", "E10", begin, story(12)),
            lives("D-09", "E12", story(12)),
            lives("D-03", "Q1", story(10), withdrawn=late),
            lives("D-03", "Q1", story(10), story(12), entered=late, ended_entered=late),
            lives("D-03", "E10", story(12), story(14), entered=late, ended_entered=late),
            lives("D-03", "Q1", story(14), entered=late),
        ),
        departures=(Departure(who="D-01", day=story(25), receiver="Ilse Varga"),),
    )


class TestTheBackDatedLoan:
    def test_held_are_the_three_since_their_days(self):
        standing = standings(true_on(back_dated_loan(), story(5, JULY)))
        now = {w: standing.on(w, story(5, JULY)) for w in ("D-02", "D-03", "D-05", "D-07", "D-09")}
        assert {who: (s.state, s.since) for who, s in now.items()} == {
            "D-02": ("held", story(12)),
            "D-03": ("held", story(10)),
            "D-05": ("held", story(20)),
            "D-07": ("held", story(1, JULY)),
            "D-09": ("cleared", date(2026, 1, 1)),
        }
        assert now["D-05"].reasons[0].source == "D-02"
        through = now["D-07"].reasons[0]
        assert (through.how, through.enclosure) == ("through", "E10")
        assert standing.on("D-01", story(24)).since == story(12)
        assert standing.on("D-01", story(25)) is None

    def test_the_loan_was_last_met_on_the_13th(self):
        standing = standings(true_on(back_dated_loan(), story(30)))
        last = standing.last_met_of("D-02", story(30))
        assert (last.day, last.other) == (story(13), "D-03")

    def test_on_30_june_it_was_known_cleared_and_truly_held(self):
        facts, day = back_dated_loan(), story(30)
        assert standings(known_on(facts, day)).on("D-02", day).state == "cleared"
        assert standings(true_on(facts, day)).on("D-02", day).state == "held"

    @pytest.mark.parametrize(("day", "state"), [(4, "cleared"), (5, "held"), (6, "held")])
    def test_it_is_known_from_the_day_of_entry_on(self, day, state):
        day = story(day, JULY)
        assert standings(known_on(back_dated_loan(), day)).on("D-02", day).state == state

    def test_the_trace_finds_them_and_who_is_to_be_told(self):
        where = whereabouts(true_on(back_dated_loan(), story(5, JULY)))
        trace = forward(where, "D-03", story(10), story(5, JULY))
        assert [(r.who, r.day) for r in trace.reached] == [
            ("D-01", story(12)),
            ("D-02", story(12)),
            ("D-05", story(20)),
            ("D-07", story(1, JULY)),
        ]
        assert [(t.who, t.receiver) for t in trace.to_be_told] == [("D-01", "Ilse Varga")]

    def test_a_proposal_says_the_same_before_it_is_entered(self):
        facts = true_on(back_dated_loan(), story(5, JULY))
        away = tuple(s for s in facts.stays if s.who != "D-03")
        before = standings(
            replace(facts, stays=(*away, Stay(who="D-03", enclosure="Q1", start=story(10))))
        )
        after = proposed(
            before,
            [
                Stay(who="D-03", enclosure="E10", start=story(12), end=story(14)),
                Stay(who="D-03", enclosure="Q1", start=story(14)),
            ],
        )
        assert [(held.who, held.since) for held in newly_held(before, after)] == [
            ("D-01", story(12)),
            ("D-02", story(12)),
            ("D-05", story(20)),
            ("D-07", story(1, JULY)),
        ]
        for who in ("D-01", "D-02", "D-03", "D-05", "D-07", "D-09"):
            assert after.history(who) == standings(facts).history(who)


class TestProposals:
    def test_a_proposed_stay_ends_the_running_one(self):
        before = found(visited())
        after = proposed(before, [stay("R", "E9", 4)])
        assert [v.enclosure for v in after.where.visits_of["R"]] == ["E1", "E9"]
        assert before.where.visits_of["R"][0].enclosure == "E1"

    def test_a_batch_whose_last_meeting_moves_is_named(self):
        apart = Facts(
            arrivals=(arrival("N", day=2), arrival("M", day=3)),
            stays=(stay("N", "Q", 2), stay("M", "P", 3)),
        )
        before = found(apart)
        after = proposed(before, [stay("M", "Q", 9)])
        changes = moved(before, after, on(9))
        assert [(c.batch, c.before, c.after.day) for c in changes] == [
            ("arrival:arrival of day 2", None, on(9)),
            ("arrival:arrival of day 3", None, on(9)),
        ]

    def test_what_is_proposed_leaves_the_standings_as_they_were(self):
        before = found(visited())
        history = before.history("R")
        proposed(before, [stay("N", "E1", 9)])
        assert before.history("R") == history
