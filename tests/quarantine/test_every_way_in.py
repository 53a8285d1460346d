"""Every way into an enclosure, on its own page: held and cleared are stopped, or it is a breach.

Each way is tried with a held one brought to the cleared and a cleared one brought to the held, as
it is entered today, late, and where a plan is possible, ahead.
"""

from datetime import timedelta

import pytest
from django.urls import reverse

from quarantine import demo
from quarantine import models as q
from registry import models as m
from registry.objections import Stopped
from registry.standing import standings
from tests import make
from tests.quarantine import make as qmake
from tests.quarantine.pages import PAPERS, Keeper, _hidden

pytestmark = pytest.mark.django_db
DAY, ONE = qmake.DAY, timedelta(days=1)
LATE, TODAY, AHEAD = DAY + 12 * ONE, DAY + 20 * ONE, DAY + 25 * ONE
HAPPENED = {"breach": "1", "breach-who": "the help", "breach-why": "taken for another"}


class Room:
    """E1 with cleared D-01 and D-02, Q1 with held EA-1 of the batch Box, and what can be moved.

    D-03 is lent. Clutch K1 stands among the cleared, K2 was laid by the held; D-04 is in Q3 alone.
    """

    def __init__(self):
        resident, rack = make.unit("Room 1"), make.unit("Rack Q", role="quarantine")
        self.e1, self.e2 = (make.enclosure(code, unit=resident) for code in ("E1", "E2"))
        self.q1, self.q2, self.q3 = (make.enclosure(code, unit=rack) for code in ("Q1", "Q2", "Q3"))
        self.d1, self.d2 = qmake.resident("D-01", self.e1), qmake.resident("D-02", self.e1)
        self.d3, self.d4 = qmake.resident("D-03"), qmake.resident("D-04", self.q3)
        make.departure(self.d3, day=DAY, kind="loan")
        self.ea = qmake.newcomer("EA-1", self.q1)
        self.box = qmake.isolation([self.ea], name="Box")
        self.k1, self.k2 = self.clutch("K1", self.e1, self.e2), self.clutch("K2", self.q1, self.q2)

    def clutch(self, code, laid_in, stands_in):
        """A clutch laid in one enclosure and set in another."""
        made = make.clutch(code, found_on=DAY + 5 * ONE, enclosure=laid_in)
        make.stay(made, stands_in, start=DAY + 5 * ONE)
        return made


@pytest.fixture
def room():
    return Room()


@pytest.fixture
def keeper(monkeypatch):
    """Somebody with every right, on the day on which all is entered."""
    person = Keeper(make.user(superuser=True, staff=True), monkeypatch)
    return person.at(f"{TODAY:%d %b}")


def move(one, into):
    return "move-add", (), {"animals": one.code, "enclosure": into.pk}


def move_clutch(one, into):
    return "move-add", (), {"clutches": one.code, "enclosure": into.pk}


def own_move(one, into):
    return "animal-move", (one.pk,), {"animals": one.code, "enclosure": into.pk}


def pair(one, other, into):
    data = {"first": one.pk, "second": other.pk, "enclosure": into.pk, "join": "1"}
    return "pairing-join", (), data


def moved_otherwise(one, into):
    fact = one.stays.get()
    data = {"enclosure": into.pk, "why": "misread the label"}
    return "fact-correct", ("registry.stay", fact.pk), data


def whole_batch(batch, into):
    return "quarantine:batch-move", (batch.pk,), {"enclosures": into.code}


def young(clutch, into):
    data = {"count": 1, "codes": "Y-1", "enclosure": into.pk, "source_code": "F"}
    return "clutch-separate", (clutch.pk,), data | {"born_precision": "unknown"}


def eggs(found_in, into):
    data = {"code": "K9", "taxon": make.taxon().pk, "found_as": "laid", "began_seen": "on"}
    return "clutch-add", (found_in.pk,), data | {"into": into.pk, "laid_precision": "day"}


def back_from_loan(one, into):
    data = {"animals": one.code, "kind": "return", "supplier": m.Party.objects.first().pk}
    return "arrival-again", (), data | {"holding": make.holding().pk, "enclosures": into.code}


def newcomers(into):
    data = {"kind": "import", "supplier": m.Party.objects.first().pk, "count": "0.0.1"}
    data |= {"holding": make.holding().pk, "taxon": make.taxon().pk, "source_code": "C"}
    data |= {"pattern": "N-#", "belief": "nothing", "born_precision": "unknown"}
    return "arrival-add", (), PAPERS | data | {"enclosures": into.code}


def found_again(one, into):
    entry = m.Missing.objects.create(animal=one, day=DAY + 10 * ONE)
    return "missing-found", (entry.pk,), {"enclosure": into.pk}


def administration(one, into):
    return "admin:registry_stay_add", (), {"animals": one.code, "enclosure": into.pk}


def paired_in_administration(one, other, into):
    data = {"first": one.code, "second": other.code, "enclosure": into.pk}
    return "admin:registry_pairing_add", (), data


# name: what is posted, who would then be together, and whether it can be planned ahead.
WAYS = {
    "a held animal moved": (lambda r: move(r.ea, r.e1), "EA-1 D-01", True),
    "a cleared animal moved": (lambda r: move(r.d1, r.q1), "EA-1 D-01", True),
    "a held animal moved from its page": (lambda r: own_move(r.ea, r.e1), "EA-1 D-01", True),
    "a cleared animal moved from its page": (lambda r: own_move(r.d1, r.q1), "EA-1 D-01", True),
    "a held clutch moved": (lambda r: move_clutch(r.k2, r.e1), "D-01", True),
    "a cleared clutch moved": (lambda r: move_clutch(r.k1, r.q1), "EA-1", True),
    "a pair joined among the cleared": (lambda r: pair(r.d1, r.ea, r.e1), "EA-1 D-01", True),
    "a pair joined among the held": (lambda r: pair(r.ea, r.d1, r.q1), "EA-1 D-01", True),
    "a held one's move corrected": (lambda r: moved_otherwise(r.ea, r.e1), "EA-1 D-01", True),
    "a cleared one's move corrected": (lambda r: moved_otherwise(r.d4, r.q1), "EA-1 D-04", True),
    "a batch moved to the cleared": (lambda r: whole_batch(r.box, r.e1), "EA-1 D-01", True),
    "a batch moved to a lone one": (lambda r: whole_batch(r.box, r.q3), "EA-1 D-04", True),
    "young of the held taken out": (lambda r: young(r.k2, r.e1), "Y-1 D-01", False),
    "young of the cleared taken out": (lambda r: young(r.k1, r.q1), "Y-1 EA-1", False),
    "eggs of the held set among the cleared": (lambda r: eggs(r.q1, r.e1), "D-01", False),
    "eggs of the cleared set among the held": (lambda r: eggs(r.e1, r.q1), "EA-1", False),
    "one back from a loan": (lambda r: back_from_loan(r.d3, r.e1), "D-03 D-01", False),
    "one back from a loan to the held": (lambda r: back_from_loan(r.d3, r.q1), "D-03", False),
    "an import put among the cleared": (lambda r: newcomers(r.e1), "N-1 D-01", False),
    "an import put among the held": (lambda r: newcomers(r.q1), "N-1 EA-1", False),
    "a held one found again": (lambda r: found_again(r.ea, r.e1), "EA-1 D-01", False),
    "a cleared one found again": (lambda r: found_again(r.d1, r.q1), "EA-1 D-01", False),
    "a held one in the administration": (lambda r: administration(r.ea, r.e1), "EA-1 D-01", True),
    "a cleared one in the administration": (
        lambda r: administration(r.d1, r.q1),
        "EA-1 D-01",
        True,
    ),
    "a pair in the administration": (
        lambda r: paired_in_administration(r.d1, r.ea, r.e1),
        "EA-1 D-01",
        True,
    ),
    "a pair in the administration, among the held": (
        lambda r: paired_in_administration(r.ea, r.d1, r.q1),
        "EA-1 D-01",
        True,
    ),
}
TRIED = [
    pytest.param(way, day, whos, id=f"{name}, {when}")
    for name, (way, whos, ahead) in WAYS.items()
    for when, day in (("late", LATE), ("today", TODAY), ("ahead", AHEAD))
    if ahead or day != AHEAD
]
DAY_FIELDS = ("day", "found_on")


def send(keeper, way, day, **more):
    """Send a form until it is saved or refused, confirming what it shows first."""
    page, args, data = way
    data = data | dict.fromkeys(DAY_FIELDS, f"{day}") | {"do": "1"} | more
    for _ in range(3):
        response = keeper.send(page, *args, **data)
        if response.status_code == 302 or not response.context.get("delays"):
            return response
        data |= _hidden(response)
    return response


def stops(response):
    """Return the sentences with which a page says that it stops."""
    if objections := response.context.get("objections"):
        return [o.message for o in objections if o.is_stop and o.rule == "newcomers_are_cleared"]
    form = response.context["adminform"].form
    return [text for text in form.non_field_errors() if text.startswith("Stop:")]


def entries():
    """Return how much is on record."""
    kinds = (m.Stay, m.Animal, m.Arrival, m.Clutch, m.Pairing, m.Breach, q.Isolation)
    return [kind.objects.count() for kind in kinds]


@pytest.mark.parametrize(("way", "day", "whos"), TRIED)
def test_it_is_stopped_or_becomes_a_breach_that_holds(room, keeper, way, day, whos):
    """Sent as it is, nothing is saved; entered as it happened, both are named and held."""
    sent, whos = way(room), whos.split()
    before = entries()
    response = send(keeper, sent, day)
    assert response.status_code == 200
    assert stops(response)
    assert entries() == before
    administered = {name.replace("-", "_"): text for name, text in HAPPENED.items()}
    response = send(keeper, sent, day, **HAPPENED | administered)
    assert response.status_code == 302
    named = {a.code for b in m.Breach.objects.all() for a in b.animals.all()}
    assert set(whos) <= named
    animals = m.Animal.objects.filter(code__in=whos)
    assert [s.state for s in standings(animals, day).values()] == ["held"] * len(whos)


STORY = demo.STORY.read_text(encoding="utf-8")
FURNISHED, _, ACTS = STORY.partition("[story]")
OPENING, CLEARED, CAME = (
    next(line for line in ACTS.splitlines() if text in line)
    for text in ('codes = ["DT-001"', '"clear opening"', 'codes = ["EA-001"')
)
MOVES = {
    "held": '{ day = -2, do = "move", codes = ["EA-001"], into = "F17", reason = "so" }',
    "cleared": '{ day = -2, do = "move", codes = ["DT-001"], into = "Q1", reason = "so" }',
}


def story(tmp_path, *acts):
    """Return a story in which frogs were here, a box came, and more happens."""
    path = tmp_path / "story.toml"
    told = "\n".join([f"{FURNISHED}[story]", "acts = [", OPENING, CLEARED, CAME, *acts, "]"])
    path.write_text(told, encoding="utf-8")
    return path


def test_a_story_that_keeps_the_rules_is_loaded(tmp_path):
    """The frogs, and the box in quarantine."""
    demo.load(TODAY, story(tmp_path))
    codes = set(m.Animal.objects.values_list("code", flat=True))
    assert {"DT-001", "EA-001"} <= codes


@pytest.mark.parametrize("who", ["held", "cleared"])
def test_a_story_that_brings_them_together_is_not_loaded(tmp_path, who):
    """One stop in it, and nothing of the whole story is kept."""
    with pytest.raises(Stopped, match="held since"):
        demo.load(TODAY, story(tmp_path, MOVES[who]))
    assert not m.Animal.objects.exists()


def test_a_move_taken_back_does_not_bring_together_either(room, keeper):
    """D-04 had left E1 on the 15th; meanwhile EA-2 came there. Taking the move back is stopped."""
    other = make.enclosure("E9")
    back = qmake.resident("D-09")
    make.stay(back, other, start=DAY, end=DAY + 2 * ONE)
    moved = make.stay(back, room.e2, start=DAY + 2 * ONE)
    make.stay(qmake.newcomer("EA-2"), other, start=DAY + 3 * ONE)
    sent = "fact-withdraw", ("registry.stay", moved.pk), {"why": "it was D-08"}
    assert stops(send(keeper, sent, TODAY))
    assert send(keeper, sent, TODAY, **HAPPENED).status_code == 302
    assert standings([back], TODAY)[back.pk].since == DAY + 3 * ONE


def test_a_departure_taken_back_does_not_bring_together_either(room, keeper):
    """D-09 was entered as lent on the 3rd; EA-2 came into its enclosure since."""
    place, back = make.enclosure("E9"), qmake.resident("D-09")
    make.stay(back, place, start=DAY, end=DAY + 2 * ONE)
    gone = make.departure(back, day=DAY + 2 * ONE, kind="loan")
    make.stay(qmake.newcomer("EA-2"), place, start=DAY + 3 * ONE)
    sent = "fact-withdraw", ("registry.departure", gone.pk), {"why": "it was D-08"}
    assert stops(send(keeper, sent, TODAY))
    assert send(keeper, sent, TODAY, **HAPPENED).status_code == 302
    assert standings([back], TODAY)[back.pk].since == DAY + 3 * ONE


def test_a_planned_pair_is_judged_again_when_it_is_joined(room, keeper):
    """Both were cleared when it was planned; D-02 is held by hand since."""
    two = {"first": room.d1.pk, "second": room.d2.pk, "day": f"{TODAY}", "join": "1"}
    assert keeper.send("pairing-join", **two).status_code == 302
    pairing = m.Pairing.objects.get()
    qmake.hold(animal=room.d2, start=TODAY)
    address = reverse("pairing-begin", args=[pairing.pk])
    data = {"day": f"{TODAY}", "enclosure": room.e2.pk, "join": "1"}
    assert stops(keeper.client.post(address, data))
    pairing.refresh_from_db()
    assert pairing.began_on is None


@pytest.mark.parametrize(
    ("held", "into", "met"),
    [({"held": "on"}, "E1", "D-01"), ({"grounds": "Here for years."}, "Q1", "EA-1")],
    ids=["held stock to the cleared", "cleared stock to the held"],
)
def test_a_list_of_opening_stock_brings_nobody_together(room, keeper, held, into, met):
    """The list is shown back with what stops it, and nothing of it is entered."""
    make.taxon()
    before = entries()
    text = f"code;species;arrived;enclosure\nOS-1;{make.taxon().name};2020-05-03;{into}\n"
    begins = {"day": f"{TODAY}", "holding": make.holding().pk}
    shown = keeper.client.post(reverse("stock-open"), begins | {"text": text})
    cells = {cell.id: cell.text for row in shown.context["rows"] for cell in row.cells}
    sent = keeper.client.post(
        reverse("stock-open"), begins | cells | {"rows": 1, "do": "1"} | held | HAPPENED
    )
    assert sent.status_code == 200
    assert any("OS-1" in text and met in text for text in stops(sent))
    assert entries() == before
