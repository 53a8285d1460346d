"""Facts on a day: as true then, and as known then."""

import pytest

from quarantine.facts import (
    Departure,
    EndsBeforeItStarts,
    Facts,
    Membership,
    Station,
    Stay,
    as_known_now,
    dated_up_to,
    entered_by,
    known_on,
    true_on,
)
from tests.quarantine.lives import on, stay


def ends(facts):
    return [row.end for row in facts.stays]


@pytest.mark.parametrize(("day", "known"), [(8, 0), (9, 1), (10, 1)])
def test_a_fact_is_known_from_the_day_it_was_entered(day, known):
    facts = Facts(stays=(stay("A", "E1", 3, entered=on(9)),))
    assert len(known_on(facts, on(day)).stays) == known
    assert len(true_on(facts, on(day)).stays) == 1


def test_without_a_day_of_entry_it_was_entered_on_the_day_it_is_about():
    facts = Facts(departures=(Departure(who="A", day=on(5)),))
    assert [len(known_on(facts, on(day)).departures) for day in (4, 5)] == [0, 1]


@pytest.mark.parametrize(("day", "end"), [(8, None), (9, on(6)), (10, on(6))])
def test_an_end_is_known_from_the_day_the_end_was_entered(day, end):
    facts = Facts(stays=(stay("A", "E1", 3, 6, ended_entered=on(9)),))
    assert ends(known_on(facts, on(day))) == [end]
    assert ends(true_on(facts, on(day))) == [on(6)]


def test_a_corrected_fact_is_known_until_the_day_of_the_correction():
    wrong = stay("A", "E1", 3, entered=on(3), withdrawn=on(9))
    right = stay("A", "E2", 3, entered=on(9))
    facts = Facts(stays=(wrong, right))
    places = {day: [s.enclosure for s in known_on(facts, on(day)).stays] for day in (8, 9)}
    assert places == {8: ["E1"], 9: ["E2"]}
    assert [s.enclosure for s in true_on(facts, on(8)).stays] == ["E2"]
    assert as_known_now(facts).stays == (right,)


def test_what_was_planned_is_known_but_not_yet_true():
    facts = Facts(stays=(stay("A", "E1", 20, entered=on(5)),))
    assert len(entered_by(facts, on(5)).stays) == 1
    assert known_on(facts, on(5)).stays == dated_up_to(facts, on(19)).stays == ()
    assert len(true_on(facts, on(20)).stays) == 1


def test_an_enclosure_that_ever_stood_in_its_unit_did_so_on_every_day():
    facts = Facts(stations=(Station(enclosure="E1", unit="rack"),))
    assert len(known_on(facts, on(1)).stations) == len(true_on(facts, on(1)).stations) == 1


@pytest.mark.parametrize("kind", [Stay, Membership])
def test_nothing_ends_before_it_starts(kind):
    where = {"enclosure": "E1"} if kind is Stay else {"batch": "B"}
    kind(who="N", start=on(5), end=on(5), **where)
    with pytest.raises(EndsBeforeItStarts, match="N: the end 2026-01-04 is before") as raised:
        kind(who="N", start=on(5), end=on(4), **where)
    assert raised.value.fact.who == "N"
