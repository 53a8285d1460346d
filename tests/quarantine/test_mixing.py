"""Young of clutches reared together are cleared by birth only if every clutch in the mix was."""

from datetime import timedelta

import pytest

from registry.mixing import Mixing, rear_together
from registry.objections import Stopped
from registry.placement import Happened, Placement, place
from registry.standing import standings
from tests import make
from tests.quarantine.make import DAY, isolation, newcomer, resident

pytestmark = pytest.mark.django_db
ONE = timedelta(days=1)


def clutch(code, dam, tank, *, found=2):
    made = make.clutch(code, found_on=DAY + found * ONE, enclosure=tank)
    make.parent(made, "dam", dam)
    make.stay(made, tank, start=DAY + found * ONE)
    return made


def of(dams, **more):
    """Return a mix of one clutch of each of some dams, and a young taken out of it."""
    clutches = [clutch(f"K{n}", dam, tank) for n, (dam, tank) in enumerate(dams, 1)]
    tub = make.enclosure("T3", unit=dams[0][1].unit)
    mix = rear_together(
        Mixing(clutches=tuple(clutches), enclosure=tub, day=DAY + 10 * ONE), by=make.user(), **more
    )
    young = make.young(mix, "P", days=50)
    make.stay(young, tub, start=young.separated_on)
    return mix, young


def told(animal, days=80):
    return standings([animal], DAY + days * ONE)[animal.pk]


def test_all_cleared_so_the_young_are():
    tanks = make.enclosure("E1"), make.enclosure("E2")
    _, young = of([(resident("A", tanks[0]), tanks[0]), (resident("B", tanks[1]), tanks[1])])
    assert told(young).state == "cleared"


def waiting():
    """Return two dams of one batch, each in a tank of its own in the quarantine room."""
    room = make.unit("Quarantine", role="quarantine")
    tanks = make.enclosure("Q1", unit=room), make.enclosure("Q2", unit=room)
    dams = newcomer("A", tanks[0]), newcomer("B", tanks[1])
    return list(zip(dams, tanks, strict=True)), isolation(dams)


def test_young_of_a_batch_belong_to_it_and_do_not_restart_it():
    dams, batch = waiting()
    before = told(dams[0][0]).best
    mix, young = of(dams)
    assert (told(young).state, told(young).batch) == ("held", batch)
    assert told(dams[0][0]).best == before
    outside = Placement(day=DAY + 20 * ONE, enclosure=make.enclosure("E9"), clutches=(mix,))
    other = resident("R", outside.enclosure)
    with pytest.raises(Stopped, match=f"{mix}.*held"):
        place(outside, by=make.user())
    assert told(other).state == "cleared"


def test_they_are_cleared_with_the_batch():
    dams, batch = waiting()
    _, young = of(dams)
    make.clearance([dam for dam, _ in dams], day=DAY + 70 * ONE, isolation=batch)
    assert [told(young, days).state for days in (69, 70)] == ["held", "cleared"]


def test_a_held_clutch_is_not_reared_with_a_cleared_one():
    dams, _ = waiting()
    tank = make.enclosure("E1")
    mixed = [dams[0], (resident("R", tank), tank)]
    with pytest.raises(Stopped, match="K1"):
        of(mixed)


def test_one_held_clutch_holds_the_young_of_all():
    """What happened against the stop: caution wins, whichever clutch a young is of."""
    dams, batch = waiting()
    tank = make.enclosure("E1")
    mixed = [dams[0], (resident("R", tank), tank)]
    _, young = of(mixed, breach=Happened(why="A mistake.", who="ann"))
    assert (told(young).state, told(young).batch) == ("held", batch)


def test_what_is_found_later_of_one_enclosure_holds_the_young():
    """A held animal had been with one clutch before it came into the mix; entered afterwards."""
    tanks = make.enclosure("E1"), make.enclosure("E2")
    _, young = of([(resident("A", tanks[0]), tanks[0]), (resident("B", tanks[1]), tanks[1])])
    late = newcomer("N")
    assert told(young).state == "cleared"
    make.stay(late, tanks[1], start=DAY + 5 * ONE, end=DAY + 6 * ONE)
    assert told(young).state == "held"
