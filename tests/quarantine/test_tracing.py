"""Traces from the register's rows, and the audit of any date."""

from datetime import timedelta

import pytest

from quarantine import tracing
from quarantine.auditing import audit, table
from quarantine.batches import batch_on
from quarantine.next_steps import next_step
from registry import models as m
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY = qmake.DAY
ONE = timedelta(days=1)


@pytest.fixture
def rooms():
    """D-03 meets D-02 in E1, D-02 goes on to D-05 in E2, D-07 comes to E1 after them."""
    e1, e2 = make.enclosure("E1"), make.enclosure("E2")
    d02, d03, d05, d07 = (qmake.resident(code) for code in ("D-02", "D-03", "D-05", "D-07"))
    make.stay(d03, e1, start=DAY, end=DAY + 2 * ONE)
    make.stay(d02, e1, start=DAY, end=DAY + 5 * ONE)
    make.stay(d02, e2, start=DAY + 5 * ONE)
    make.stay(d05, e2)
    make.stay(d07, e1, start=DAY + 10 * ONE)
    return {"E1": e1, "D-03": d03, "D-05": d05, "D-02": d02}


def asked(days=30, **more):
    """Return a trace over some days."""
    return tracing.Asked(start=DAY, until=DAY + days * ONE, **more)


def test_a_trace_goes_forward_in_time_with_its_chains(rooms):
    """First day and chain for each; the one that only shares the unit stands apart."""
    make.stay(qmake.resident("D-09"), make.enclosure("E3"), start=DAY)
    traced = tracing.trace(asked(animal=rooms["D-03"]))
    assert [(r.who, r.day) for r in traced.trace.reached] == [
        ("D-02", DAY),
        ("D-05", DAY + 5 * ONE),
        ("D-07", DAY + 10 * ONE),
    ]
    assert traced.lines[1]["chain"] == [
        "D-03 to D-02, together in E1, 2 Mar 2026",
        "D-02 to D-05, together in E2, 7 Mar 2026",
    ]
    assert "D-09" in [name for group in traced.in_unit for name in group["others"]]
    assert tracing.picture_of(traced).start == ("D-03",)


def test_a_trace_goes_backward(rooms):
    """Who can have reached D-05: D-02, and D-03 through it."""
    traced = tracing.trace(asked(animal=rooms["D-05"], back=True))
    assert {"D-02", "D-03"} <= {r.who for r in traced.trace.reached}


def test_a_trace_from_an_enclosure_reaches_all_that_stayed_there(rooms):
    """And those they went on to."""
    traced = tracing.trace(asked(enclosure=rooms["E1"]))
    assert {r.who for r in traced.trace.reached} == {"D-02", "D-03", "D-05", "D-07"}


@pytest.mark.parametrize(("taken", "start"), [(100, 90), (91, 90), (90, 89), (10, 9)])
def test_a_trace_starts_the_day_after_the_last_negative(rooms, taken, start):
    """At most ninety days back."""
    day = DAY + 200 * ONE
    qmake.result(qmake.sample(animals=[rooms["D-03"]], day=day - taken * ONE))
    assert tracing.start_of(rooms["D-03"], day) == day - start * ONE


def test_the_audit_tells_what_was_true_and_what_was_known():
    """A death entered two days late: the forecast differs on the day between."""
    animals = [qmake.newcomer(f"EA-{n}") for n in (1, 2)]
    isolation = qmake.isolation(animals, name="Box")
    death = make.departure(animals[1], day=DAY + 5 * ONE, kind="death")
    qmake.as_it_happened()
    qmake.entered(death, DAY + 8 * ONE)
    (line,) = audit(DAY + 7 * ONE)
    assert (line.known.best, line.true.best) == (DAY + 60 * ONE, DAY + 65 * ONE)
    assert "best release day" in line.differs
    (line,) = audit(DAY + 8 * ONE)
    assert line.differs == []
    assert audit(DAY - ONE) == []
    assert [row[5] for row in table([line])] == ["true that day", "known that day"]
    assert line.isolation == isolation


def test_an_isolation_entered_late_was_not_known():
    """Before its entry it is not known to be open."""
    isolation = qmake.isolation([qmake.newcomer("EA-1")])
    qmake.as_it_happened()
    qmake.entered(isolation, DAY + 3 * ONE)
    (line,) = audit(DAY + 2 * ONE)
    assert (line.true.state, line.known.state) == ("in isolation", "not known to be open")


def test_what_comes_next_is_one_thing():
    """Samples due, then results, then the signature; a decision comes before all."""
    animal = qmake.newcomer("EA-1", make.enclosure("Q1"))
    version = qmake.version()
    version.tests.exclude(assay__code="bd-pcr").delete()
    isolation = qmake.isolation([animal], version=version)

    def step(days):
        return next_step(batch_on(isolation, DAY + days * ONE)).text

    assert step(20) == "Take samples: Bd PCR of EA-1."
    sample = qmake.sample(animals=[animal], day=DAY + 20 * ONE)
    assert step(21).startswith("Wait for results: Bd PCR")
    result = qmake.result(sample, day=DAY + 25 * ONE)
    assert step(26).startswith("Wait until 1 May 2026")
    assert step(60) == "Sign the release."
    m_result = type(result).objects.filter(pk=result.pk)
    m_result.update(outcome="positive", verdict="veterinarian")
    assert step(60).startswith("Decide what the positive Bd PCR of EA-1 means")
    assert m.Animal.objects.count() == 1
