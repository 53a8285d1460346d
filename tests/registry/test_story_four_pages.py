"""The male who laid, told on the pages: from the first call to the settled conflict."""

import pytest
from django.urls import reverse

from registry import models as m
from tests import make
from tests.browsing import Visitor

pytestmark = pytest.mark.django_db


@pytest.fixture
def keeper(client):
    """Somebody with every right, and a room with a taxon and its place."""
    client.force_login(make.user("keeper", superuser=True))
    taxon = make.taxon("Ranitomeya variabilis", grouping="group", mature_days=300, leave_days=None)
    make.locality("Cerro Umbral", taxon)
    for code in ("E1", "E2"):
        make.enclosure(code)
    return Visitor(client)


def at(name, thing=None, query=""):
    """Return an address."""
    return reverse(name, args=[thing.pk] if thing else []) + query


def animal(code):
    return m.Animal.objects.get(code=code)


def enclosure(code):
    return m.Enclosure.objects.get(code=code)


def the_three_come(keeper):
    """A, B and C are here when the register begins, cleared by one signed act, and live in E1."""
    keeper.open(at("arrival-add")).fill(
        Arrived_on="2021-01-01", Kind="opening stock", How_many="0.0.3", Parents="wild, unrelated"
    )
    keeper.form.fill("Taxon", "Ranitomeya variabilis")
    keeper.form.fill("Locality", "Cerro Umbral")
    keeper.form.fill("Origin (CITES source code)", "W wild")
    keeper.form.fill("Or their codes", "A\nB\nC")
    keeper.press("Register the arrival")
    keeper.open(at("quarantine:stock-clear")).fill(
        Cleared_on="2021-01-01", On_what_grounds="here for years"
    ).press("Sign")
    into = {"Animals": "A, B, C", "Into": "E1 (Room 1)", "On": "2021-01-01"}
    keeper.open(at("move-add")).fill(**into).press("Show what this will do").press("Move")


def they_are_sexed(keeper):
    """A is heard calling; B looks like a male."""
    keeper.open(at("enclosure-show", enclosure("E1"))).follow("Heard calling")
    keeper.follow("A unsexed").fill(On="2021-06-01").press("Enter that it called")
    keeper.open(at("animal-show", animal("B"))).follow("Other finding of sex")
    keeper.fill(male=True, Basis="looks", On="2021-06-01").press("Save")


def c_lays(keeper, code, day, eggs):
    """C is seen laying; the housing gives the sires."""
    keeper.open(at("enclosure-show", enclosure("E1"))).follow("Laid")
    keeper.fill(Code=code, Found_on=day, Laid_on=day, How_many=eggs, Seen_laying="C")
    keeper.press("Show again")
    assert "Sire: A or B, equal shares." in keeper.said
    keeper.press("Enter the clutch")


def young_leave(keeper, clutch, day, codes):
    """Young become animals, in E2."""
    keeper.open(at("clutch-show", m.Clutch.objects.get(code=clutch))).follow("Take young out")
    keeper.fill(How_many=len(codes), Codes=", ".join(codes), Into="E2 (Room 1)", On=day, Born=day)
    keeper.press("Show what this will do").press("Take them out")


def the_young_are_there(keeper):
    """Everything up to the young of both clutches."""
    the_three_come(keeper)
    they_are_sexed(keeper)
    c_lays(keeper, "K1", "2022-01-01", 2)
    c_lays(keeper, "K2", "2022-02-01", 1)
    young_leave(keeper, "K1", "2022-04-20", "PQ")
    young_leave(keeper, "K2", "2022-05-20", "R")


def kin(keeper, one, other):
    """Return kinship, expected and at worst, as the page of one's nearest kin tells it."""
    _, _, expected, worst, *_ = keeper.open(at("kin-show", animal(one))).row(other)
    return expected.split()[0], worst


def line(keeper):
    """Return gene diversity and genome equivalents, column by column of the page."""
    one = animal("A")
    keeper.open(reverse("line-show", args=[one.taxon_id, one.locality_id]))
    genes = [cell.split(",")[0] for cell in keeper.row("Gene diversity")[1:]]
    return list(zip(genes, keeper.row("Founder genome equivalents")[1:], strict=True))


def asked_of_p_and_r(keeper):
    """Return what stands against joining P and R, as the page shows it."""
    keeper.open(at("pairing-join", query=f"?first={animal('P').pk}&second={animal('R').pk}"))
    keeper.press("Show what stands against it")
    return keeper.said


def b_lays(keeper):
    """B is seen laying: the page shows first what that raises, and asks once more."""
    keeper.open(at("animal-show", animal("B"))).follow("Laid eggs").fill(On="2023-03-02")
    keeper.press("Save")
    assert "What this raises" in keeper.said
    keeper.press("Save it all the same")


def sires():
    """Return the statements of a sire that stand, with their candidates."""
    rows = m.Descent.objects.current().filter(role="sire").order_by("clutch__code")
    return [(d.clutch.code, [c.animal.code for c in d.candidates.all()]) for d in rows]


def a_is_the_sire(keeper):
    """The first conflict listed is settled from its own link: A alone is the sire."""
    keeper.open(at("conflict-list")).follow("Correct")
    keeper.form.fill("Sire 1", "A")
    keeper.form.fill("Share of 1 in %", "100")
    keeper.form.fill("Sire 2", "")
    keeper.form.fill("Share of 2 in %", "")
    keeper.form.fill("Why the earlier statement is corrected", "B laid, so A is the sire.")
    keeper.press("State it")


def test_the_story_with_its_figures_at_each_step(keeper):
    """While the sire is one of two; once B has laid; once both clutches are settled on A."""
    the_young_are_there(keeper)
    assert kin(keeper, "P", "Q") == ("0.25", "0.25")
    assert kin(keeper, "P", "R") == ("0.188", "0.25")
    assert kin(keeper, "A", "P")[0] == "0.125"
    said = asked_of_p_and_r(keeper)
    assert "Young of P and R would have F 0.188 expected" in said
    assert "0.25 at worst" in said
    assert "Ask" in said
    assert line(keeper)[0] == ("0.799", "2.48")

    before = sires()
    b_lays(keeper)
    assert sires() == before == [("K1", ["A", "B"]), ("K2", ["A", "B"])]
    keeper.open(at("conflict-list"))
    assert "2 things on record contradict" in keeper.said

    a_is_the_sire(keeper)
    assert "1 thing on record contradicts" in keeper.open(at("conflict-list")).said
    a_is_the_sire(keeper)
    assert "No conflicts" in keeper.open(at("conflict-list")).said
    assert sires() == [("K1", ["A"]), ("K2", ["A"])]
    assert kin(keeper, "P", "R")[0] == kin(keeper, "A", "P")[0] == "0.25"
    assert line(keeper) == [("0.792", "2.40"), ("0.72", "1.79")]
