"""The sweep, the traces and the proposals agree with a plain reckoning on lives made at random."""

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from quarantine.facts import (
    Arrival,
    Birth,
    Clearance,
    Death,
    Departure,
    Disinfection,
    Facts,
    HandHold,
    Laying,
    Membership,
    Positive,
    Stay,
    Transfer,
)
from quarantine.spans import OWN
from quarantine.standing import proposed, standings
from quarantine.traces import backward, forward
from quarantine.whereabouts import whereabouts
from tests.quarantine.lives import number, on
from tests.quarantine.reckoning import PERSISTENCE, Holds, Reckoning, reached

LAST = 14
ANIMALS, ENCLOSURES = "ABCDE", ("E1", "E2", "E3")
DAYS, ONE, PLACE = st.integers(1, LAST), st.sampled_from(ANIMALS), st.sampled_from(ENCLOSURES)
DATES = DAYS.map(on)
GROUP = st.sets(ONE, min_size=1, max_size=3).map(sorted).map(tuple)
FEW = settings(max_examples=100, deadline=None)


def some(rows, most):
    return st.lists(rows, max_size=most).map(tuple)


@st.composite
def stays(draw):
    """Five animals that move, go to places of no interest, and sometimes stay part of a day."""
    found = []
    for who in ANIMALS:
        cuts = sorted(draw(st.lists(DAYS, min_size=1, max_size=5)))
        for start, end in zip(cuts, [*cuts[1:], None], strict=True):
            where = draw(st.sampled_from((*ENCLOSURES, f"alone {who}")))
            found.append(Stay(who=who, enclosure=where, start=on(start), end=end and on(end)))
    return tuple(found)


@st.composite
def moves(draw):
    """Things moved from one enclosure to another."""
    source, target = draw(st.permutations(ENCLOSURES))[:2]
    return Transfer(source=source, target=target, day=draw(DATES))


places = st.builds(
    Facts,
    stays=stays(),
    disinfections=some(st.builds(Disinfection, enclosure=PLACE, day=DATES), 3),
    transfers=some(moves(), 2),
)


@st.composite
def registers(draw):
    """Places, with arrivals, clearances, holds, batches, a death, a departure and a clutch."""
    facts = draw(places)
    late = st.integers(LAST // 2, LAST).map(on)
    clearances = st.builds(Clearance, who=GROUP, day=DATES)
    batch = st.sampled_from(("B", "C"))
    facts = replace(
        facts,
        arrivals=tuple(Arrival(who=(who,), day=on(1), key=who) for who in ANIMALS[:4]),
        clearances=(Clearance(who=draw(GROUP), day=on(1)), *draw(some(clearances, 2))),
        hand_holds=draw(some(st.builds(HandHold, who=ONE, start=DATES), 1)),
        positives=draw(some(st.builds(Positive, who=GROUP, day=DATES), 1)),
        memberships=tuple(
            Membership(who=who, batch=draw(batch), start=draw(DATES)) for who in draw(GROUP)
        ),
        deaths=draw(some(st.builds(Death, who=st.just("A"), day=late), 1)),
        departures=draw(some(st.builds(Departure, who=st.just("B"), day=late), 1)),
    )
    return draw(st.sampled_from((facts, with_clutch(draw, facts))))


def with_clutch(draw, facts):
    """A clutch k of unknown parents is laid; young y leaves it later."""
    laid = draw(st.integers(2, LAST - 2))
    out, born = draw(st.integers(laid, LAST - 1)), draw(st.integers(laid, LAST))
    raised = (
        Stay(who="k", enclosure=draw(PLACE), start=on(out), end=on(max(born, out))),
        Stay(who="y", enclosure=draw(PLACE), start=on(max(born, out))),
    )
    return replace(
        facts,
        stays=facts.stays + raised,
        layings=(Laying(clutch="k", enclosure=draw(PLACE), day=on(laid)),),
        births=(Birth(who="y", clutch="k", day=on(max(born, out))),),
    )


def in_order(one_day, other):
    return on(min(one_day, other)), on(max(one_day, other))


def lengths(trace):
    return {r.who: (number(r.day), len(r.chain)) for r in trace.reached}


@FEW
@given(places, ONE, DAYS, DAYS)
def test_a_trace_forward_finds_first_days_and_shortest_chains(facts, source, one_day, other):
    start, until = in_order(one_day, other)
    trace = forward(whereabouts(facts, PERSISTENCE), source, start, until)
    assert lengths(trace) == reached(facts, source, number(start), number(until))


@FEW
@given(places, ONE, DAYS, DAYS)
def test_a_trace_backward_finds_all_whose_trace_forward_leads_here(facts, source, one_day, other):
    start, until = in_order(one_day, other)
    where = whereabouts(facts, PERSISTENCE)
    leading = {who: lengths(forward(where, who, start, until)) for who in ANIMALS}
    expected = {who: found[source] for who, found in leading.items() if source in found}
    assert lengths(backward(where, source, start, until)) == expected


@FEW
@given(places, ONE, DAYS, DAYS)
def test_every_chain_leads_from_one_to_the_next_and_forward_in_time(facts, source, one_day, other):
    start, until = in_order(one_day, other)
    where = whereabouts(facts, PERSISTENCE)
    for trace in (forward(where, source, start, until), backward(where, source, start, until)):
        for r in trace.reached:
            days = [start, *(link.day for link in r.chain)]
            assert days == sorted(days)
            assert days[-1] == r.day
            whos = [r.chain[0].giver, *(link.taker for link in r.chain)]
            assert [link.giver for link in r.chain] == whos[:-1]
            assert {whos[0], whos[-1]} == {source, r.who}


@FEW
@given(registers())
def test_held_are_those_whom_the_plain_reckoning_holds_and_since_the_same_day(facts):
    last = LAST + PERSISTENCE + 2
    standing, plain = standings(facts, PERSISTENCE), Holds(facts, last)
    for day in range(1, last + 1):
        now = {who: standing.on(who, on(day)) for who in (*ANIMALS, "k", "y")}
        held = {who: number(s.since) for who, s in now.items() if s and s.state == "held"}
        assert held == plain.evening[day], day


@FEW
@given(registers())
def test_everybody_held_is_in_a_batch_and_has_a_reason(facts):
    standing = standings(facts, PERSISTENCE)
    for who in (*ANIMALS, "k", "y"):
        for day in range(1, LAST + 1):
            now = standing.on(who, on(day))
            if now and now.state == "held":
                assert now.batch
                assert all(reason.kind for reason in now.reasons)
                assert now.reasons


@FEW
@given(registers(), st.sampled_from("BC"))
def test_a_last_meeting_is_the_last_with_one_held_for_a_reason_of_its_own(facts, batch):
    """At least the last such direct meeting; and whatever is named did meet and was held."""
    standing, plain = standings(facts, PERSISTENCE), Reckoning(facts)
    last = standing.last_met(batch, on(LAST))
    days = [
        day
        for day in range(1, LAST + 1)
        for member, other in plain.meets(day)
        if member in standing.members(batch, on(day))
        and other not in standing.members(batch, on(day))
        and (now := standing.on(other, on(day)))
        and any(reason.kind in OWN for reason in now.reasons)
    ]
    assert max(days, default=0) <= (number(last.day) if last else 0)
    if last and last.how == "direct":
        assert (last.member, last.other) in plain.meets(number(last.day))
        assert last.other not in standing.members(batch, last.day)


@FEW
@given(registers(), ONE, PLACE, DAYS)
def test_a_proposal_gives_what_the_facts_with_it_would_give(facts, who, enclosure, day):
    running = [s for s in facts.stays if s.who == who and s.end is None]
    stay = Stay(who=who, enclosure=enclosure, start=max(on(day), running[0].start))
    gone = [row.day for row in (*facts.deaths, *facts.departures) if row.who == who]
    kept = tuple(replace(s, end=stay.start) if s in running else s for s in facts.stays)
    if any(running[0].start < day <= stay.start for day in gone):
        kept = facts.stays
    whole = standings(replace(facts, stays=(*kept, stay)), PERSISTENCE)
    quick = proposed(standings(facts, PERSISTENCE), [stay])
    for each in (*ANIMALS, "k", "y"):
        assert quick.history(each) == whole.history(each)
