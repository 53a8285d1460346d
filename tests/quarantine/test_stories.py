"""Stories 1 to 3 of the domain, date for date, through the forms of the pages."""

import pytest

from quarantine import models as q
from registry import models as m
from registry.departing import depart
from registry.objections import ReasonsMissing, Stopped
from registry.placement import Happened, Placement, place
from registry.standing import standings
from tests import make
from tests.quarantine import make as qmake
from tests.quarantine.pages import Keeper, arrival, on

pytestmark = pytest.mark.django_db


@pytest.fixture
def keeper(monkeypatch):
    """The keeper, who may do everything."""
    return Keeper(make.user("keeper", superuser=True), monkeypatch)


@pytest.fixture
def rack():
    """A quarantine rack with two tanks."""
    unit = make.unit("Rack Q", role="quarantine")
    return [make.enclosure(code, unit=unit) for code in ("Q1", "Q2")]


def batch(keeper, name, **query):
    """Return a batch as its page shows it."""
    isolation = q.Isolation.objects.get(name=name)
    return keeper.see("quarantine:batch-show", isolation.pk, **query).context["batch"]


def pk(name):
    """Return the key of a batch."""
    return q.Isolation.objects.get(name=name).pk


def assays(*codes):
    """Return kinds of test by code."""
    return list(q.Assay.objects.filter(code__in=codes))


def animals(*codes):
    """Return animals by code."""
    return list(m.Animal.objects.filter(code__in=codes))


def report(keeper, name, outcomes, default="negative"):
    """Report every sample of a batch that waits; `outcomes` says which are otherwise."""
    page = keeper.see("quarantine:results-add", pk(name))
    told = {"day": keeper.day}
    for field, sample in page.context["form"].samples.items():
        codes = {a.code for a in sample.animals.all()}
        told[field] = next((o for code, o in outcomes.items() if code in codes), default)
    return keeper.act("quarantine:results-add", pk(name), **told)


PCR = ("bd-pcr", "ranavirus-pcr")
SEVEN = [f"EA-{n}" for n in range(1, 8)]


def box(keeper, rack, version):
    """Receive the neighbour on 10 February and the box of six on 2 March."""
    told = {"version": version, "enclosures": rack[1].code, "name": "Neighbour", "pattern": "N-#"}
    keeper.at("10 Feb").act("arrival-add", **arrival("10 Feb", **told))
    told = {"version": version, "enclosures": rack[0].code, "name": "Box"}
    keeper.at("2 Mar").act("arrival-add", **arrival("2 Mar", "0.0.6", **told))


@pytest.mark.parametrize(
    ("scope", "neighbour", "delayed"),
    [("batch", ["11 Apr", "11 Apr"], 1), ("unit", ["1 May", "19 May"], 2)],
)
def test_the_staggered_box(keeper, rack, scope, neighbour, delayed):
    """The forecast, the neighbour under either scope, and the delay that is shown before saving."""
    version = qmake.version(scope="unit") if scope == "unit" else qmake.version()
    box(keeper, rack, version)
    assert batch(keeper, "Box").best == on("1 May")
    assert batch(keeper, "Neighbour").best == on(neighbour[0])
    keeper.at("16 Mar").act(
        "quarantine:sample-add",
        pk("Box"),
        day=on("16 Mar"),
        assays=assays(*PCR),
        animals=animals(*SEVEN),
        pooled="singly",
    )
    report(keeper.at("20 Mar"), "Box", {})
    told = {"batch": pk("Box"), "enclosures": rack[0].code}
    shown = keeper.act("arrival-add", **arrival("20 Mar", **told))
    assert "Box is delayed by 18 days: 19 May 2026, best release day 1 May 2026 until now." in shown
    assert len(shown) == delayed
    assert batch(keeper, "Box").best == on("19 May")
    assert batch(keeper, "Neighbour").best == on(neighbour[1])


def test_the_box_is_released_and_its_evidence_changes(keeper, rack):
    """From the seventh animal to the laboratory's correction of 1 June."""
    box(keeper, rack, qmake.version())
    told = {"batch": pk("Box"), "enclosures": rack[0].code}
    keeper.at("20 Mar").act("arrival-add", **arrival("20 Mar", **told))
    keeper.at("3 Apr").act(
        "quarantine:sample-add",
        pk("Box"),
        day=on("3 Apr"),
        assays=assays(*PCR),
        animals=animals(*SEVEN),
        pooled="singly",
    )
    report(keeper.at("10 Apr"), "Box", {"EA-7": "inconclusive"})
    for text in ("3 Apr", "17 Apr"):
        faecal = {"enclosure_assays": assays("faecal"), "enclosures": [rack[0]]}
        keeper.at("17 Apr").act(
            "quarantine:sample-add", pk("Box"), day=on(text), pooled="singly", **faecal
        )
    report(keeper.at("24 Apr"), "Box", {})
    keeper.at("15 May").act(
        "quarantine:sample-add",
        pk("Box"),
        day=on("15 May"),
        assays=assays(*PCR),
        animals=animals("EA-7"),
        pooled="singly",
    )
    held = batch(keeper.at("19 May"), "Box")
    assert not held.possible
    assert any("a result is waited for" in sentence for sentence in held.unmet)
    report(keeper.at("22 May"), "Box", {})
    assert batch(keeper, "Box").possible
    seal = keeper.see("quarantine:clear", pk("Box")).context["found"].seal
    assert keeper.send("quarantine:clear", pk("Box"), seal=seal).status_code == 302
    clearance = q.Clearance.objects.get(isolation=pk("Box"))
    assert clearance.animals.count() == 7
    d01 = qmake.resident("D-01", make.enclosure("E1"))
    qmake.entered(d01.stays.get(), on("1 Mar"))
    place(
        Placement(day=on("25 May"), enclosure=make.enclosure("E2"), animals=animals("EA-1")),
        by=keeper.user,
        at=qmake.moment(on("25 May")),
    )
    keeper.at("1 Jun")
    bd = q.Result.objects.current().get(sample__day=on("15 May"), sample__assay__code="bd-pcr")
    keeper.act(
        "quarantine:result-correct",
        bd.pk,
        day=on("1 Jun"),
        outcome="positive",
        why="laboratory corrects",
    )
    page = keeper.see("quarantine:clearance-show", clearance.pk)
    assert page.context["change"] is not None
    assert b"The evidence as it stood" in page.content
    now = standings(animals(*SEVEN), on("1 Jun"))
    assert {s.state for s in now.values()} == {"held"}
    later = Placement(
        day=on("1 Jun"),
        enclosure=m.Enclosure.objects.get(code="E1"),
        animals=tuple(animals("EA-2")),
    )
    with pytest.raises(Stopped, match="has changed"):
        place(later, by=keeper.user, at=qmake.moment(on("1 Jun")))


def test_positive_cure_and_death(keeper, rack):
    """The Mantella: what moves day zero, what does not, and what was known before the necropsy."""
    taxon = make.taxon("Mantella aurantiaca", grouping="group")
    wild = {"source_code": "W", "belief": "wild", "taxon": taxon, "pattern": "M#"}
    told = {"version": qmake.version(qmake.IMPORT), "enclosures": rack[0].code, "name": "Mantella"}
    wild["locality"] = make.locality("Tsarafotsy", taxon)
    keeper.at("5 Jan").act("arrival-add", **arrival("5 Jan", "0.0.8", **told | wild))
    codes = [f"M{n}" for n in range(1, 9)]

    def swab(text, some, *names):
        keeper.at(text).act(
            "quarantine:sample-add",
            pk("Mantella"),
            day=on(text),
            assays=assays(*names),
            animals=animals(*some),
            pooled="singly",
        )

    def tank(text):
        keeper.at(text).act(
            "quarantine:sample-add",
            pk("Mantella"),
            day=on(text),
            enclosure_assays=assays("faecal"),
            enclosures=[rack[0]],
            pooled="singly",
        )

    swab("20 Feb", codes, "bd-pcr")
    shown = report(keeper.at("27 Feb"), "Mantella", {"M5": "positive"})
    assert shown[0].startswith("Mantella is delayed by 46 days")
    bd = q.Assay.objects.get(code="bd-pcr")
    course = {"what": "as prescribed", "assay": bd, "planned_last": on("10 Mar")}
    keeper.at("28 Feb").act("quarantine:course-add", pk("Mantella"), day=on("28 Feb"), **course)
    running = q.Course.objects.get()
    keeper.at("10 Mar").act("quarantine:course-end", running.pk, day=on("10 Mar"))
    assert batch(keeper.at("11 Mar"), "Mantella").best == on("9 Jun")
    assert batch(keeper, "Mantella").reading.zero.day == on("11 Mar")
    swab("26 Mar", codes, *PCR)
    tank("26 Mar")
    report(keeper.at("2 Apr"), "Mantella", {})
    m2 = m.Animal.objects.get(code="M2")
    depart(m2, on("2 Apr"), "death", None, keeper.user, at=qmake.moment(on("2 Apr")))
    assert batch(keeper, "Mantella").best == on("1 Jul")
    tank("9 Apr")
    report(keeper.at("16 Apr"), "Mantella", {}, default="positive")
    coccidia = q.Result.objects.current().get(sample__day=on("9 Apr"))
    assert batch(keeper, "Mantella").best is None
    keeper.act("quarantine:result-decide", coccidia.pk, verdict="accepted", why="coccidia, few")
    swab("25 Apr", [c for c in codes if c != "M2"], "bd-pcr")
    tank("25 Apr")
    report(keeper.at("2 May"), "Mantella", {})
    assert batch(keeper.at("5 May"), "Mantella").best == on("1 Jul")
    keeper.at("6 May").act(
        "quarantine:necropsy-add",
        m2.departures.get().pk,
        day=on("6 May"),
        cause="trauma",
        accepted="on",
    )
    audit = keeper.see("quarantine:audit", on="2026-05-05").context["lines"][0]
    assert (audit.known.best, audit.true.best) == (on("1 Jul"), on("9 Jun"))
    assert "best release day" in audit.differs
    assert not batch(keeper.at("8 Jun"), "Mantella").possible
    assert batch(keeper.at("9 Jun"), "Mantella").possible
    seal = keeper.see("quarantine:clear", pk("Mantella")).context["found"].seal
    keeper.send("quarantine:clear", pk("Mantella"), seal=seal)
    assert q.Clearance.objects.get(isolation=pk("Mantella")).animals.count() == 7


def test_the_back_dated_loan(keeper):
    """D-03: who was reached, since when; who is told; what was known before."""
    e10, e11, e12 = (make.enclosure(code) for code in ("E10", "E11", "E12"))
    make.enclosure("Q9", unit=make.unit("Rack Q", role="quarantine"))
    d01, d02, d09 = (qmake.resident(c, e10) for c in ("D-01", "D-02", "D-09"))
    _, d07 = qmake.resident("D-05", e11), qmake.resident("D-07", e12)
    d03 = qmake.resident("D-03", make.enclosure("E13"))
    borrower, buyer = make.party("Fernery of Dell"), make.party("Aquarium Vale")
    qmake.as_it_happened()
    _leave(keeper, "1 Apr", d03, "loan", borrower)
    keeper.at("10 Jun").act(
        "arrival-again",
        animals="D-03",
        day=on("10 Jun"),
        kind="return",
        supplier=borrower,
        holding=make.holding(),
        version=qmake.version(),
        name="Loan",
        enclosures="Q9",
    )
    assert batch(keeper, "Loan").best == on("9 Aug")
    _move(keeper, "12 Jun", e12, d09)
    _move(keeper, "20 Jun", e11, d02)
    _leave(keeper, "25 Jun", d01, "sale", buyer)
    _move(keeper, "1 Jul", e10, d07)
    assert keeper.see("quarantine:exposed-list").context["rows"] == []
    late = Placement(day=on("12 Jun"), enclosure=e10, animals=(d03,), until=on("14 Jun"))
    happened = Happened(why="taken for D-04", who="the helper")
    place(late, by=keeper.user, breach=happened, at=qmake.moment(on("5 Jul")))
    keeper.at("5 Jul")
    rows = keeper.see("quarantine:exposed-list").context["rows"]
    assert {r.animal.code: r.standing.since for r in rows} == {
        "D-02": on("12 Jun"),
        "D-05": on("20 Jun"),
        "D-07": on("1 Jul"),
    }
    page = keeper.see("quarantine:trace", animal="D-03", start="2026-06-10", until="2026-07-05")
    traced = page.context["traced"].trace
    assert [r.who for r in traced.reached] == ["D-01", "D-02", "D-05", "D-07"]
    assert [(t.who, t.receiver) for t in traced.to_be_told] == [("D-01", "Aquarium Vale")]
    taken = {"animals": [r.animal for r in rows], "name": "Exposed", "day": on("1 Jul")}
    version = qmake.version(qmake.RESIDENT)
    keeper.act("quarantine:exposed-list", version=version, **taken)
    exposed = batch(keeper, "Exposed")
    assert set(exposed.reading.living) == {"D-02", "D-05", "D-07"}
    assert keeper.see("quarantine:exposed-list").context["rows"] == []


def _leave(keeper, text, animal, kind, receiver):
    """Let an animal leave on a day."""
    at = qmake.moment(on(text))
    depart(animal, on(text), kind, receiver, keeper.user, at=at)


def _move(keeper, text, enclosure, *some):
    """Move animals, for a reason where one is asked."""
    placement = Placement(day=on(text), enclosure=enclosure, animals=some)
    at = qmake.moment(on(text))
    try:
        place(placement, by=keeper.user, at=at)
    except ReasonsMissing as missing:
        reasons = {o.key: "watched" for o in missing.objections}
        place(placement, by=keeper.user, reasons=reasons, at=at)
