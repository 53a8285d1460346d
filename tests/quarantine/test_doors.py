"""The acts of quarantine, through their doors: stories 1 to 3 date for date, as known each day."""

from datetime import date, datetime

import pytest

from quarantine import models as q
from quarantine.changed import change_of
from quarantine.clearing import evidence, sign_clearance
from quarantine.delaying import rehearse
from quarantine.dossier import dossiers
from quarantine.examining import Finding, enter_necropsy
from quarantine.held import standings, standings_known
from quarantine.isolating import join
from quarantine.receiving import Apart, receive, receive_again
from quarantine.refusals import ActRefused
from quarantine.reporting import correct_result, decide, report
from quarantine.rounds import Round, enter_round
from quarantine.treating import Treatment, begin_course, end_course
from registry import arriving as a
from registry import models as m
from registry.departing import depart
from registry.objections import ReasonsMissing
from registry.placement import Happened, Placement, place
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
RIGHTS = ["quarantine.sign_clearance", "quarantine.override_clearance"]


def on(text):
    """Read "2 Mar" as that day of 2026."""
    return datetime.strptime(f"{text} 2026", "%d %b %Y").date()


def at(text):
    """Return noon of a day."""
    return qmake.moment(on(text))


def best(isolation, text):
    """Return the best release day of a batch on a day."""
    reading = dossiers([isolation], on(text)).readings[isolation.pk]
    return reading.best


def known(isolation, text):
    """Return the best release day as it was known on a day."""
    return dossiers([isolation], on(text)).readings_known[isolation.pk].best


def assays(*codes):
    """Return kinds of test by code."""
    return tuple(q.Assay.objects.filter(code__in=codes))


def coming(day, codes, **more):
    """Return an arrival of captive-bred frogs."""
    taxon = make.taxon("Epipedobates anthonyi", grouping="group")
    told = {
        "day": on(day),
        "kind": "import",
        "holding": make.holding(),
        "supplier": m.Party.objects.first() or make.party(),
        "taxon": taxon,
        "locality": make.locality("Rio Candelo", taxon),
        "source_code": "C",
        "newcomers": tuple(a.Newcomer(code=code) for code in codes),
    }
    return a.Coming(**told | more)


@pytest.fixture
def by():
    """Somebody who may sign."""
    return make.user("keeper", rights=RIGHTS)


@pytest.fixture
def rack():
    """A quarantine rack."""
    return make.unit("Rack Q", role="quarantine")


def swab(text, codes, by, *names):
    """Swab animals for some assays on a day."""
    animals = tuple(m.Animal.objects.filter(code__in=codes).order_by("code"))
    taken = Round(day=on(text), assays=assays(*names), singly=animals)
    return enter_round(taken, by=by, at=at(text))


def tank(text, enclosure, by):
    """Take a faecal sample of an enclosure."""
    taken = Round(day=on(text), assays=assays("faecal"), enclosures=(enclosure,))
    return enter_round(taken, by=by, at=at(text))


def told(samples, text, by, outcome="negative"):
    """Report samples on a day."""
    return [report(s, on(text), outcome, by=by, at=at(text)) for s in samples]


WHY = "they came together"
SIX = [f"EA-{n}" for n in range(1, 7)]
PCR = ("bd-pcr", "ranavirus-pcr")


def staggered(by, rack, version):
    """Return the batch of the staggered box and its neighbour, up to 16 March."""
    q1 = make.enclosure("Q1", unit=rack)
    q2 = make.enclosure("Q2", unit=rack)
    neighbour = receive(
        coming("10 Feb", ["N-1"]),
        Apart(name="Neighbour", version=version, enclosures=(q2,)),
        by=by,
        reason=WHY,
        at=at("10 Feb"),
    ).isolation
    apart = Apart(name="Box", version=version, enclosures=(q1,))
    box = receive(coming("2 Mar", SIX), apart, by=by, reason=WHY, at=at("2 Mar")).isolation
    return box, neighbour, q1


@pytest.mark.parametrize(("scope", "first", "then"), [("batch", 11, 11), ("unit", 1, 19)])
def test_the_staggered_box(by, rack, scope, first, then):
    """Story 1, with its neighbour under either scope."""
    version = qmake.version(scope=scope) if scope == "unit" else qmake.version()
    box, neighbour, q1 = staggered(by, rack, version)
    month = 4 if scope == "batch" else 5
    assert best(box, "2 Mar") == on("1 May")
    assert best(neighbour, "2 Mar") == date(2026, month, first)
    march = swab("16 Mar", SIX, by, *PCR)
    told(march, "20 Mar", by)
    seventh = Apart(batch=box, enclosures=(q1,))
    shown = rehearse(
        lambda: receive(coming("20 Mar", ["EA-7"]), seventh, by=by, reason=WHY, at=at("20 Mar")),
        on("20 Mar"),
    )
    assert [d.days for d in shown if d.isolation == box] == [18]
    receive(coming("20 Mar", ["EA-7"]), seventh, by=by, reason=WHY, at=at("20 Mar"))
    assert best(box, "20 Mar") == on("19 May")
    assert best(neighbour, "20 Mar") == date(2026, month, then)
    april = swab("3 Apr", [*SIX, "EA-7"], by, *PCR)
    for sample in april:
        outcome = "inconclusive" if sample.animals.get().code == "EA-7" else "negative"
        told([sample], "10 Apr", by, outcome)
    for day in ("3 Apr", "17 Apr"):
        told(tank(day, q1, by), "24 Apr", by)
    may = swab("15 May", ["EA-7"], by, *PCR)
    with pytest.raises(ActRefused, match="a result is waited for"):
        sign_clearance(box, on("19 May"), by=by, at=at("19 May"))
    results = told(may, "22 May", by)
    clearance = sign_clearance(box, on("22 May"), by=by, at=at("22 May"))
    animals = list(clearance.animals.all())
    assert len(animals) == 7
    assert {s.state for s in standings(animals, on("31 May")).values()} == {"cleared"}
    bd = next(r for r in results if r.sample.assay.code == "bd-pcr")
    correct_result(bd, on("1 Jun"), "positive", by=by, why="laboratory corrects", at=at("1 Jun"))
    assert change_of(clearance) is not None
    now = standings(animals, on("1 Jun"))
    assert {s.state for s in now.values()} == {"held"}
    assert "has changed" in now[animals[0].pk].sentence
    clearance.refresh_from_db()
    assert clearance.evidence["listed"] == []
    then = standings_known(animals, on("31 May"))
    assert {s.state for s in then.values()} == {"cleared"}


def test_positive_cure_and_death(by, rack):
    """Story 2, date for date."""
    q1 = make.enclosure("Q1", unit=rack)
    codes = [f"M{n}" for n in range(1, 9)]
    taxon = make.taxon("Mantella aurantiaca", grouping="group")
    wild = {"taxon": taxon, "locality": make.locality("Tsarafotsy", taxon), "source_code": "W"}
    apart = Apart(name="Box", version=qmake.version(qmake.IMPORT), enclosures=(q1,))
    box = receive(
        coming("5 Jan", codes, **wild), apart, by=by, reason=WHY, at=at("5 Jan")
    ).isolation
    swabs = swab("20 Feb", codes, by, "bd-pcr")
    told([s for s in swabs if s.animals.get().code != "M5"], "27 Feb", by)
    told([s for s in swabs if s.animals.get().code == "M5"], "27 Feb", by, "positive")
    bd = q.Assay.objects.get(code="bd-pcr")
    treatment = Treatment(
        what="itraconazole, as prescribed", day=on("28 Feb"), assay=bd, planned_last=on("10 Mar")
    )
    course = begin_course(box, treatment, by=by, at=at("28 Feb"))
    end_course(course, on("10 Mar"), by=by, at=at("10 Mar"))
    assert best(box, "11 Mar") == on("9 Jun")
    first = swab("26 Mar", codes, by, *PCR)
    depart(m.Animal.objects.get(code="M2"), on("2 Apr"), "death", None, by, at=at("2 Apr"))
    assert best(box, "2 Apr") == on("1 Jul")
    told(first, "9 Apr", by)
    left = [c for c in codes if c != "M2"]
    told(swab("25 Apr", left, by, "bd-pcr"), "2 May", by)
    told(tank("26 Mar", q1, by), "2 Apr", by)
    told(tank("25 Apr", q1, by), "2 May", by)
    (coccidia,) = told(tank("9 Apr", q1, by), "16 Apr", by, "positive")
    decide(coccidia, "accepted", by=by, why="light load, coccidia", at=at("16 Apr"))
    assert known(box, "5 May") == on("1 Jul")
    death = m.Departure.objects.get(animal__code="M2")
    enter_necropsy(
        death, Finding(day=on("6 May"), cause="trauma", accepted=True), by=by, at=at("6 May")
    )
    assert known(box, "5 May") == on("1 Jul")
    assert best(box, "5 May") == on("9 Jun")
    with pytest.raises(ActRefused, match="release from 9 Jun 2026"):
        sign_clearance(box, on("8 Jun"), by=by, at=at("8 Jun"))
    seal = evidence(box, on("9 Jun")).seal
    signed = sign_clearance(box, on("9 Jun"), by=by, seal=seal, at=at("9 Jun"))
    assert signed.animals.count() == 7


def test_the_back_dated_loan(by):
    """Story 3: who was reached, since when, and what was known before the entry."""
    e10, e11, q9 = make.enclosure("E10"), make.enclosure("E11"), make.enclosure("Q9")
    e12 = make.enclosure("E12")
    d01, d02, d09 = (qmake.resident(c, e10) for c in ("D-01", "D-02", "D-09"))
    d05, d07 = qmake.resident("D-05", e11), qmake.resident("D-07", e12)
    d03 = qmake.resident("D-03", make.enclosure("E13"))
    borrower = make.party("Fernery of Dell")
    qmake.as_it_happened()
    depart(d03, on("1 Apr"), "loan", borrower, by, at=at("1 Apr"))
    back = a.Return(
        day=on("10 Jun"),
        kind="return",
        supplier=borrower,
        holding=make.holding(),
        animals=(d03,),
    )
    apart = Apart(name="Loan", version=qmake.version(), enclosures=(q9,))
    loan = receive_again(back, apart, by=by, reason=WHY, at=at("10 Jun")).isolation
    assert best(loan, "10 Jun") == on("9 Aug")
    _move(by, "12 Jun", e12, d09)
    _move(by, "20 Jun", e11, d02)
    depart(d01, on("25 Jun"), "sale", borrower, by, at=at("25 Jun"))
    assert standings([d02], on("30 Jun"))[d02.pk].state == "cleared"
    _move(by, "1 Jul", e10, d07)
    late = Placement(day=on("12 Jun"), enclosure=e10, animals=(d03,), until=on("14 Jun"))
    happened = Happened(why="taken for D-04", who="the helper")
    place(late, by=by, breach=happened, at=at("5 Jul"))
    now = standings([d02, d05, d07, d09, d03], on("5 Jul"))
    assert {a.code: now[a.pk].state for a in (d02, d05, d07, d09, d03)} == {
        "D-02": "held",
        "D-05": "held",
        "D-07": "held",
        "D-09": "cleared",
        "D-03": "held",
    }
    assert now[d02.pk].since == on("12 Jun")
    assert now[d05.pk].since == on("20 Jun")
    assert now[d07.pk].since == on("1 Jul")
    assert standings_known([d02], on("30 Jun"))[d02.pk].state == "cleared"
    assert standings([d02], on("30 Jun"))[d02.pk].state == "held"
    assert m.Breach.objects.filter(rule="newcomers_are_cleared").exists()


def _move(by, text, enclosure, *animals):
    """Move animals for a reason where one is asked."""
    placement = Placement(day=on(text), enclosure=enclosure, animals=animals)
    try:
        place(placement, by=by, at=at(text))
    except ReasonsMissing as missing:
        reasons = {o.key: "they are watched" for o in missing.objections}
        place(placement, by=by, reasons=reasons, at=at(text))


def test_an_animal_is_in_one_batch_at_a_time(by, rack):
    """It is split off or waits; it does not join a second."""
    _box, neighbour, _ = staggered(by, rack, qmake.version())
    first = m.Animal.objects.get(code="EA-1")
    with pytest.raises(ActRefused, match="is in Box already"):
        join(neighbour, [first], on("5 Mar"), by=by, at=at("5 Mar"))
