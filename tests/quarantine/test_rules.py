"""Held and cleared animals never come together but as a breach, whichever way is tried."""

from datetime import date, timedelta

import pytest

from quarantine import rules
from registry import models as m
from registry.departing import Leaving
from registry.herd import Herd
from registry.objections import Stopped
from registry.pairing import Match
from registry.placement import Happened, Placement, objections, place
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY = qmake.DAY
ONE = timedelta(days=1)


def into(enclosure, *animals, day=DAY + ONE, **more):
    """Return the proposal to move animals into an enclosure."""
    return Placement(day=day, enclosure=enclosure, animals=animals, **more)


def stops(rule, proposal):
    """Return the sentences with which one rule stops or asks."""
    return [objection.message for objection in rule(proposal)]


def cleared_rule(proposal):
    """Return what the rule on newcomers says."""
    return stops(rules.newcomers_are_cleared, proposal)


def test_a_newcomer_is_not_moved_in_with_a_resident():
    """The sentence names who is held, since when, why, and who is cleared."""
    e10 = make.enclosure("E10")
    qmake.resident("D-01", e10)
    newcomer = qmake.newcomer("D-03", make.enclosure("Q1"))
    qmake.isolation([newcomer])
    assert cleared_rule(into(e10, newcomer)) == [
        "D-03 is held since 2 Mar 2026 (came with the purchase of 2 Mar 2026 from "
        f"{m.Party.objects.first()}; best release day 1 May 2026). D-01 is cleared."
    ]


def test_a_resident_is_not_moved_in_with_a_newcomer():
    """The rule looks at everyone who would be together."""
    resident, q1 = qmake.resident("D-01", make.enclosure("E10")), make.enclosure("Q1")
    qmake.newcomer("D-03", q1)
    assert len(cleared_rule(into(q1, resident))) == 1


def test_each_pair_of_a_herd_is_judged_by_its_own_animals(django_assert_num_queries):
    """What was fetched for one pair of a herd does not let a held animal through in another."""
    one, other = qmake.resident("D-01"), qmake.resident("D-02")
    newcomer, day = qmake.newcomer("D-03"), DAY + ONE
    herd = Herd([one, other, newcomer])
    pairs = [(one, other), (one, newcomer), (newcomer, other)]
    matches = [Match(day=day, first=a, second=b, herd_given=herd) for a, b in pairs]
    assert [len(cleared_rule(match)) for match in matches] == [0, 1, 1]
    with django_assert_num_queries(0):
        assert cleared_rule(matches[0]) == []


@pytest.mark.parametrize(("days", "stopped"), [(-1, True), (0, False), (1, False)])
def test_company_is_allowed_from_the_day_of_clearance(days, stopped):
    """The day before the clearance it is stopped, on the day and after it is not."""
    e10 = make.enclosure("E10")
    qmake.resident("D-01", e10)
    newcomer, day = qmake.newcomer("D-03"), DAY + 60 * ONE
    make.clearance([newcomer], day=day)
    assert bool(cleared_rule(into(e10, newcomer, day=day + days * ONE))) is stopped


def test_animals_of_one_batch_may_be_together():
    """Those that came together, and those of one isolation."""
    first, second = qmake.newcomer("EA-1"), qmake.newcomer("EA-2")
    q1 = make.enclosure("Q1")
    assert len(cleared_rule(into(q1, first, second))) == 1
    qmake.isolation([first, second])
    assert cleared_rule(into(q1, first, second)) == []
    third, fourth = make.animal("EA-3", arrived=False), make.animal("EA-4", arrived=False)
    make.arrival([third, fourth])
    assert cleared_rule(into(q1, third, fourth)) == []


def test_two_batches_are_kept_apart():
    """Both are held, but not of one batch."""
    q1 = make.enclosure("Q1")
    first, second = qmake.newcomer("EA-1", q1), qmake.newcomer("EA-2")
    qmake.isolation([first])
    qmake.isolation([second], name="Q2")
    (said,) = cleared_rule(into(q1, second))
    assert said.endswith("They are not of one batch.")


def test_a_later_planned_day_counts():
    """A resident planned into the enclosure next week is company too."""
    q1 = make.enclosure("Q1")
    resident = qmake.resident("D-01")
    make.stay(resident, q1, start=DAY + 7 * ONE)
    newcomer = qmake.newcomer("D-03")
    (objection,) = rules.newcomers_are_cleared(into(q1, newcomer))
    assert objection.day == DAY + 7 * ONE
    assert cleared_rule(into(q1, newcomer, until=DAY + 7 * ONE)) == []


def test_a_back_dated_stay_is_judged_by_its_day():
    """Entered long after the clearance, the stay before it is stopped all the same."""
    e10 = make.enclosure("E10")
    qmake.resident("D-01", e10)
    newcomer = qmake.newcomer("D-03")
    make.clearance([newcomer], day=DAY + 60 * ONE)
    past = into(e10, newcomer, day=DAY + 3 * ONE, until=DAY + 4 * ONE)
    assert len(cleared_rule(past)) == 1
    with pytest.raises(Stopped):
        place(past, by=make.user())
    place(past, by=make.user(), breach=Happened(why="taken for cleared", who="the helper"))
    breach = m.Breach.objects.get()
    assert breach.rule == "newcomers_are_cleared"


def test_a_pair_is_of_two_cleared_animals():
    """A planned pair with a held animal is stopped, whichever is named first."""
    resident, newcomer = qmake.resident("D-01"), qmake.newcomer("D-03")
    for first, second in ((resident, newcomer), (newcomer, resident)):
        match = Match(day=DAY + ONE, first=first, second=second)
        assert len(cleared_rule(match)) == 1


def test_a_clutch_of_held_parents_is_held_with_them():
    """It may stand with its parents, and not with cleared animals."""
    q1 = make.enclosure("Q1")
    sire, dam = qmake.newcomer("EA-1", q1), qmake.newcomer("EA-2", q1)
    qmake.isolation([sire, dam])
    clutch = make.clutch("K1", found_on=DAY + 5 * ONE, enclosure=q1)
    make.parent(clutch, "sire", sire)
    make.parent(clutch, "dam", dam)
    make.stay(clutch, q1, start=DAY + 5 * ONE)
    day = DAY + 6 * ONE
    e10 = make.enclosure("E10")
    assert (
        stops(rules.newcomers_are_cleared, Placement(day=day, enclosure=e10, clutches=(clutch,)))
        == []
    )
    qmake.resident("D-01", e10)
    (said,) = cleared_rule(Placement(day=day, enclosure=e10, clutches=(clutch,)))
    assert "clutch K1 is held" in said


def dirty(proposal):
    """Return what the rule on disinfection says."""
    return stops(rules.enclosures_are_disinfected, proposal)


@pytest.mark.parametrize(
    ("disinfected", "stopped"), [(None, True), (9, True), (10, False), (11, False), (12, True)]
)
def test_an_enclosure_of_held_animals_is_disinfected_first(disinfected, stopped):
    """From the day they left to the day of the move, both included."""
    q1 = make.enclosure("Q1")
    newcomer = qmake.newcomer("D-03")
    make.stay(newcomer, q1, start=DAY, end=DAY + 10 * ONE)
    if disinfected:
        m.Disinfection.objects.create(enclosure=q1, day=DAY + disinfected * ONE)
    resident = qmake.resident("D-01")
    assert bool(dirty(into(q1, resident, day=DAY + 11 * ONE))) is stopped


@pytest.mark.parametrize(("days", "stopped"), [(199, True), (200, True), (201, False)])
def test_an_enclosure_passes_things_on_for_200_days(days, stopped):
    """The 200th day counts, the one after no longer."""
    q1 = make.enclosure("Q1")
    make.stay(qmake.newcomer("D-03"), q1, start=DAY, end=DAY + ONE)
    proposal = into(q1, qmake.resident("D-01"), day=DAY + ONE + days * ONE)
    assert bool(dirty(proposal)) is stopped


def test_the_same_batch_may_return_to_its_enclosure():
    """And cleared animals leave nothing behind that bars another."""
    q1, q2 = make.enclosure("Q1"), make.enclosure("Q2")
    first, second = qmake.newcomer("EA-1"), qmake.newcomer("EA-2")
    qmake.isolation([first, second])
    make.stay(first, q1, start=DAY, end=DAY + ONE)
    assert dirty(into(q1, second, day=DAY + 2 * ONE)) == []
    make.stay(qmake.resident("D-01"), q2, end=DAY)
    assert dirty(into(q2, qmake.resident("D-02"), day=DAY + ONE)) == []


def mixed(proposal):
    """Return what the rule on units asks."""
    return stops(rules.units_are_not_mixed, proposal)


def test_a_held_animal_in_a_resident_unit_is_an_ask():
    """In a quarantine unit it is not, and a move inside the unit asks nothing again."""
    room = make.unit("Room 1")
    rack = make.unit("Rack Q", role="quarantine")
    newcomer = qmake.newcomer("EA-1")
    e1, e2 = make.enclosure("E1", unit=room), make.enclosure("E2", unit=room)
    assert mixed(into(e1, newcomer)) == ["EA-1 is held, and Room 1 is a resident unit."]
    assert mixed(into(make.enclosure("Q1", unit=rack), newcomer)) == []
    make.stay(newcomer, e1, start=DAY)
    assert mixed(into(e2, newcomer)) == []


def test_a_cleared_animal_in_a_unit_with_held_ones_is_an_ask():
    """Not so once they are cleared."""
    rack = make.unit("Rack Q", role="quarantine")
    newcomer = qmake.newcomer("EA-1", make.enclosure("Q1", unit=rack))
    proposal = into(make.enclosure("Q2", unit=rack), qmake.resident("D-01"))
    assert mixed(proposal) == ["Rack Q has EA-1, held; D-01 is not."]
    make.clearance([newcomer], day=DAY + ONE)
    proposal = into(make.enclosure("Q3", unit=rack), m.Animal.objects.get(code="D-01"))
    assert mixed(proposal) == []


def test_a_held_animal_leaves_only_for_a_reason():
    """The ask names the receiver; a death asks nothing."""
    newcomer, buyer = qmake.newcomer("EA-1"), make.party("Aquarium Vale")
    leaving = {"day": DAY + ONE, "animals": (newcomer,)}
    (said,) = stops(rules.leavers_are_cleared, Leaving(**leaving, kind="sale", receiver=buyer))
    assert "prints “held”" in said
    assert "Aquarium Vale is told" in said
    assert stops(rules.leavers_are_cleared, Leaving(**leaving, kind="death")) == []
    resident = (qmake.resident("D-01"),)
    quiet = Leaving(day=DAY, animals=resident, kind="sale", receiver=buyer)
    assert stops(rules.leavers_are_cleared, quiet) == []


def test_the_rules_stand_in_the_settings(settings):
    """The stops come right after the rule on one place, the ask at the end."""
    paths = settings.PLACEMENT_RULES
    at = paths.index("registry.rules.animals_are_in_one_place")
    assert paths[at + 1 : at + 3] == [
        "quarantine.rules.newcomers_are_cleared",
        "quarantine.rules.enclosures_are_disinfected",
    ]
    assert "quarantine.rules.units_are_not_mixed" in paths
    assert "quarantine.rules.leavers_are_cleared" in settings.DEPARTURE_RULES
    assert "quarantine.rules.newcomers_are_cleared" in settings.PAIRING_RULES


def test_nothing_stands_against_residents_together():
    """Two cleared animals in an enclosure, through every rule of quarantine."""
    e10 = make.enclosure("E10")
    qmake.resident("D-01", e10, sex="male")
    other = qmake.resident("D-02", sex="female")
    proposal = into(e10, other, day=date(2026, 3, 3))
    assert [o.message for o in objections(proposal)] == []
