"""Changed evidence: which later entries speak against a clearance, and what settles it."""

from datetime import timedelta

import pytest

from quarantine import changed, clearing
from quarantine import models as q
from quarantine.contacts_since import met_since
from quarantine.reporting import correct_result, decide
from quarantine.suspects import suspects
from registry import models as m
from registry.standing import standings
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY = qmake.DAY
ONE = timedelta(days=1)
SIGNED = DAY + 60 * ONE


@pytest.fixture
def by():
    """Somebody who may sign."""
    return make.user("vet", rights=["quarantine.sign_clearance", "quarantine.override_clearance"])


@pytest.fixture
def signed(by):
    """A clearance of two, on a negative swab each, signed on the sixtieth day."""
    version = qmake.version()
    version.tests.exclude(assay__code="bd-pcr").delete()
    room = make.enclosure("Q1")
    animals = [qmake.newcomer(f"EA-{n}", room) for n in (1, 2)]
    isolation = qmake.isolation(animals, version=version)
    for animal in animals:
        qmake.result(qmake.sample(animals=[animal], day=DAY + 20 * ONE), day=DAY + 27 * ONE)
    qmake.as_it_happened()
    for row in q.Result.objects.all():
        qmake.entered(row, row.day)
    return clearing.sign_clearance(isolation, SIGNED, by=by, at=qmake.moment(SIGNED))


def after(days=5):
    """Return a moment some days after the signature."""
    return qmake.moment(SIGNED + days * ONE)


def test_nothing_entered_since_is_no_suspicion(signed):
    """The rules are not even run again."""
    assert suspects([signed]) == []
    assert changed.change_of(signed) is None


def test_what_is_dated_after_the_clearance_is_no_suspicion(signed, by):
    """A swab, a weight and a death of later days."""
    animal = signed.animals.first()
    entry = {"entered_at": after()}
    late = qmake.sample(animals=[animal], day=SIGNED + ONE, **entry)
    qmake.result(late, "positive", day=SIGNED + 4 * ONE, **entry)
    make.departure(animal, day=SIGNED + 2 * ONE, kind="death", **entry)
    assert changed.change_of(signed) is None


def test_a_corrected_result_speaks_up_until_it_is_decided(signed, by):
    """Both are held again; a new signature, here an override, settles it."""
    result = q.Result.objects.first()
    correct_result(result, SIGNED + ONE, "positive", by=by, why="laboratory", at=after())
    assert suspects([signed]) == [signed]
    change = changed.change_of(signed)
    assert "Bd PCR" in change.sentence
    animals = list(signed.animals.all())
    held = standings(animals, SIGNED + 6 * ONE)
    assert {s.state for s in held.values()} == {"held"}
    assert {s.group for s in held.values()} == {f"isolation:{signed.isolation_id}"}
    clearing.override(
        signed.isolation,
        SIGNED + 7 * ONE,
        by=by,
        veterinarian="Dr. Quill",
        grounds="swabbed anew, negative",
        at=after(7),
    )
    now = standings(animals, SIGNED + 8 * ONE)
    assert {s.state for s in now.values()} == {"cleared"}


def test_a_late_verdict_of_no_consequence_is_silent(signed, by):
    """A positive accepted like a negative leaves the clearance as it is."""
    result = q.Result.objects.first()
    told = {"by": by, "why": "a slip", "at": after(1)}
    positive = correct_result(result, result.day, "positive", verdict="accepted", **told)
    assert changed.change_of(signed) is None
    decide(positive, "accepted", by=by, why="a trace", at=after(2))
    assert changed.change_of(signed) is None


def test_a_back_dated_stay_with_a_held_animal_speaks_up(signed):
    """They met before the clearance, and nobody knew."""
    stranger = qmake.newcomer("N-1")
    row = make.stay(
        stranger, m.Enclosure.objects.get(code="Q1"), start=DAY + 50 * ONE, end=DAY + 51 * ONE
    )
    qmake.entered(row, SIGNED + 3 * ONE)
    assert suspects([signed]) == [signed]
    assert changed.change_of(signed) is not None


def test_a_death_entered_late_speaks_up(signed):
    """It was before the clearance and is not explained."""
    third = qmake.newcomer("EA-3")
    row = qmake.member(signed.isolation, third)
    qmake.entered(row, DAY)
    make.departure(third, day=SIGNED - 3 * ONE, kind="death", entered_at=after())
    change = changed.change_of(signed)
    assert change is not None
    assert "EA-3 died" in change.sentence or "days are not over" in change.sentence


def test_whom_they_met_since_is_listed(signed, by):
    """From the day of the clearance on, with the place and the days."""
    room = make.enclosure("E9")
    qmake.resident("D-01", room)
    animal = signed.animals.order_by("code").first()
    make.stay(animal, room, start=SIGNED + 2 * ONE, end=SIGNED + 4 * ONE)
    qmake.resident("D-02", make.enclosure("E8"))
    contacts = met_since(signed, SIGNED + 9 * ONE)
    assert [c.sentence for c in contacts] == [
        "EA-1 and D-01, together in E9, 3 May 2026 to 4 May 2026."
    ]
