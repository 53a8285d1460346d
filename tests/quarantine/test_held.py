"""Who is held on a day, and why, from the register's rows."""

from datetime import date, timedelta

import pytest

from quarantine import held
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY = qmake.DAY
ONE = timedelta(days=1)


def on(animal, day):
    """Return the standing of one animal."""
    return held.standings([animal], day).get(animal.pk)


def test_a_newcomer_is_held_from_its_arrival():
    """Nobody has to open anything; the day before it is not here."""
    animal = qmake.newcomer()
    assert on(animal, DAY - ONE) is None
    assert on(animal, DAY).state == "held"
    assert "came with the purchase of 2 Mar 2026" in on(animal, DAY + ONE).why
    assert "No isolation is opened" in on(animal, DAY).sentence


def test_a_clearance_ends_it_on_its_day():
    """The day before it is held, on the day and after it is cleared."""
    animal = qmake.newcomer()
    make.clearance([animal], day=DAY + 60 * ONE)
    states = [on(animal, DAY + n * ONE).state for n in (59, 60, 61)]
    assert states == ["held", "cleared", "cleared"]


def test_one_that_died_has_no_standing():
    """It is left out from its death on."""
    animal = qmake.resident()
    make.departure(animal, day=DAY, kind="death")
    assert on(animal, DAY - ONE).state == "cleared"
    assert on(animal, DAY) is None


def test_a_batch_tells_its_best_release_day():
    """A captive-bred batch of 2 March can go on 1 May."""
    room = make.enclosure("Q1")
    animal = qmake.newcomer("EA-1", room)
    qmake.isolation([animal])
    found = on(animal, DAY + 8 * ONE)
    assert found.best == date(2026, 5, 1)
    assert found.sentence.endswith("Best release day 1 May 2026.")
    assert found.batch.name == "Q1"


def test_a_protocol_that_releases_nobody_says_so():
    """Its animals are never to be released."""
    animal = qmake.newcomer("EA-1")
    qmake.isolation([animal], version=qmake.version(never_releases=True))
    found = on(animal, DAY)
    assert (found.state, found.best) == ("never", None)


def test_a_resident_that_meets_a_held_one_is_held_from_that_day():
    """The day before it is cleared; through the batch it met it has no forecast of its own."""
    room = make.enclosure("E10")
    resident, stranger = qmake.resident("D-02", room), qmake.newcomer("D-03", since=DAY)
    make.stay(stranger, room, start=DAY + 2 * ONE, end=DAY + 4 * ONE)
    assert on(resident, DAY + ONE).state == "cleared"
    found = on(resident, DAY + 2 * ONE)
    assert found.state == "held"
    assert "it met D-03" in found.why


def test_the_chain_of_contacts_is_followed():
    """D-05 met D-02 after D-02 met the newcomer; D-09 left before."""
    e10, e11 = make.enclosure("E10"), make.enclosure("E11")
    d02, d05, d09 = (qmake.resident(code) for code in ("D-02", "D-05", "D-09"))
    d03 = qmake.newcomer("D-03")
    make.stay(d09, e10, end=DAY + 2 * ONE)
    make.stay(d02, e10, end=DAY + 10 * ONE)
    make.stay(d03, e10, start=DAY + 2 * ONE, end=DAY + 4 * ONE)
    make.stay(d02, e11, start=DAY + 10 * ONE)
    make.stay(d05, e11)
    later = held.standings([d02, d05, d09], DAY + 30 * ONE)
    assert [later[a.pk].state for a in (d02, d05, d09)] == ["held", "held", "cleared"]
    assert later[d05.pk].since == DAY + 10 * ONE


def test_what_was_known_leaves_out_later_entries():
    """Entered on 5 July, the stay of June was not known on 30 June."""
    room = make.enclosure("E10")
    resident = qmake.resident("D-02", room)
    stranger = qmake.newcomer("D-03")
    stay = make.stay(stranger, room, start=DAY, end=DAY + 2 * ONE)
    qmake.as_it_happened()
    qmake.entered(stay, date(2026, 7, 5))
    known = [held.standings_known([resident], date(2026, 7, d))[resident.pk].state for d in (4, 5)]
    assert known == ["cleared", "held"]
    assert on(resident, date(2026, 6, 30)).state == "held"
