"""The register's rows as facts: following contacts backwards tells the same as looking at all."""

from datetime import timedelta
from random import Random

import pytest
from django.test import RequestFactory

from quarantine.ledger import ledger, who
from registry import models as m
from registry import shelf
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY = qmake.DAY
ONE = timedelta(days=1)


def on_a_page(make_answer):
    """Return an answer given while a page is made."""
    return shelf.one_page(lambda request: make_answer())(RequestFactory().get("/"))


def wandering_register(seed):
    """Fill a register with animals that wander between few enclosures, some of them held."""
    random = Random(seed)
    rooms = [make.enclosure(f"E{n}") for n in range(6)]
    animals = [make.animal(f"A-{n}", cleared=random.random() < 0.8) for n in range(10)]
    for animal in animals:
        day = DAY + random.randrange(10) * ONE
        for _ in range(random.randrange(1, 5)):
            end = day + random.randrange(0, 25) * ONE
            make.stay(animal, random.choice(rooms), start=day, end=end)
            day = end + random.randrange(0, 4) * ONE
        make.stay(animal, random.choice(rooms), start=day)
        if random.random() < 0.4:
            make.clearance([animal], day=DAY + random.randrange(90) * ONE)
    for _ in range(8):
        laid_and_set_elsewhere(random, rooms)
    for room in rooms:
        if random.random() < 0.5:
            m.Disinfection.objects.create(enclosure=room, day=DAY + random.randrange(90) * ONE)
    m.ThingsMoved.objects.create(source=rooms[0], target=rooms[1], day=DAY + 20 * ONE, what="moss")
    return animals


def laid_and_set_elsewhere(random, rooms):
    """Have a clutch laid in one enclosure and set in another, on that day or later."""
    laid = DAY + random.randrange(40) * ONE
    found = laid + random.choice((0, 0, 3)) * ONE
    clutch = make.clutch(found_on=found, laid=laid, enclosure=random.choice(rooms))
    make.stay(clutch, random.choice(rooms), start=found)


@pytest.mark.parametrize("seed", range(8))
def test_following_contacts_tells_the_same_as_looking_at_the_whole_register(seed):
    """State, since and best known reason agree for every animal on several days."""
    animals = wandering_register(seed)
    for days in (0, 15, 40, 90):
        on = DAY + days * ONE
        whole = on_a_page(lambda on=on: ledger([], on)).standings
        for animal in animals:
            near = ledger([animal], on).standings.on(who(animal), on)
            all_of_it = whole.on(who(animal), on)
            assert (near and (near.state, near.since)) == (
                all_of_it and (all_of_it.state, all_of_it.since)
            ), (animal, on)


def test_a_clutch_and_an_animal_of_one_code_are_told_apart():
    """The facts name a clutch by another word."""
    animal = make.animal("K1")
    clutch = make.clutch("K1")
    assert who(animal) != who(clutch)


def test_what_one_page_fetched_is_forgotten_at_the_first_write():
    """A standing asked before and after a write on one page differs."""
    animal = qmake.newcomer("EA-1")

    def page():
        before = ledger([animal], DAY).standings.on("EA-1", DAY)
        make.clearance([animal], day=DAY)
        return before.state, ledger([animal], DAY).standings.on("EA-1", DAY).state

    assert on_a_page(page) == ("held", "cleared")


def test_what_is_undone_is_forgotten_too():
    """A rehearsal leaves nothing behind on the page that made it."""
    from quarantine.delaying import rehearse

    animal = qmake.newcomer("EA-1")

    def page():
        rehearse(lambda: make.clearance([animal], day=DAY), DAY)
        return ledger([animal], DAY).standings.on("EA-1", DAY).state

    assert on_a_page(page) == "held"


@pytest.mark.parametrize(("found_after", "states"), [(6, "alive"), (7, "alive"), (9, "dead")])
def test_an_animal_missing_for_seven_days_counts_as_dead_until_it_is_found(found_after, states):
    """On the seventh day it counts as dead, unless it was found by then."""
    animal = make.animal("A-1")
    m.Missing.objects.create(animal=animal, day=DAY, found_on=DAY + found_after * ONE)
    on = DAY + 7 * ONE
    standing = ledger([animal], on).standings.on("A-1", on)
    assert ("alive" if standing else "dead") == states
    later = DAY + 10 * ONE
    assert ledger([animal], later).standings.on("A-1", later) is not None
