"""A proposed stay takes the place of what its mover did in those days, and no more."""

from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from quarantine.facts import Facts, Stay
from quarantine.standing import proposed, standings
from quarantine.whereabouts import whereabouts
from tests.quarantine.lives import on, stay
from tests.quarantine.reckoning import PERSISTENCE
from tests.quarantine.test_reckoning import ANIMALS, DAYS, FEW, ONE, PLACE, registers


def days_of(facts, new, until=12):
    """Return where A is on each day."""
    found = whereabouts(facts).with_stays([new]).visits_of["A"]
    days = (on(day).toordinal() for day in range(1, until))
    return [next((v.enclosure for v in found if v.start <= d <= v.last), "") for d in days]


def test_a_stay_for_some_days_is_cut_out_of_a_longer_one():
    """It goes on afterwards where it was, whether that stay runs or has ended."""
    for end, rest in ((None, ["E1"] * 5), (9, ["E1", "E1", "", "", ""])):
        facts = Facts(stays=(stay("A", "E1", 1, end),))
        assert days_of(facts, stay("A", "E2", 4, 7)) == ["E1"] * 3 + ["E2"] * 3 + rest


def test_a_stay_for_good_lasts_as_long_as_the_one_it_ends():
    """Where another stay follows, it follows the new one."""
    facts = Facts(stays=(stay("A", "E1", 1, 9), stay("A", "E3", 9)))
    assert days_of(facts, stay("A", "E2", 4)) == ["E1"] * 3 + ["E2"] * 5 + ["E3"] * 3


@settings(FEW)
@given(registers(), ONE, PLACE, DAYS, st.integers(0, 6))
def test_a_proposal_for_some_days_gives_what_the_facts_with_it_would_give(
    facts, who, enclosure, day, length
):
    """Every life is what it is when the stay it cuts into is written as two."""
    start, end = on(day), on(day + length)
    old = [s for s in facts.stays if s.who == who and covers(s, start, end)]
    gone = [x for x in (*facts.deaths, *facts.departures) if x.who == who and x.day <= end]
    assume(old and not gone)
    new = Stay(who=who, enclosure=enclosure, start=start, end=end)
    before, after = replace(old[0], end=start), replace(old[0], start=end)
    kept = tuple(s for s in facts.stays if s is not old[0])
    rest = () if old[0].end == end else (after,)
    whole = standings(replace(facts, stays=(*kept, before, *rest, new)), PERSISTENCE)
    quick = proposed(standings(facts, PERSISTENCE), [new])
    for each in (*ANIMALS, "k", "y"):
        assert quick.history(each) == whole.history(each)


def covers(stay_, start, end):
    """Whether a stay runs over all days of another."""
    return stay_.start <= start and (stay_.end is None or (start < stay_.end and end <= stay_.end))
