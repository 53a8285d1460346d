"""The male who laid: a sire is one of two, until one of the two lays eggs."""

from datetime import date

import pytest

from registry.finding import find_sex
from registry.herd import Herd
from registry.models import Descent
from registry.pairing import Match, objections
from registry.parentage import conflicts, state_parents
from tests import make

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)


@pytest.fixture
def line():
    """A calls, B is a male by looks, C was seen laying K1 (P and Q) and K2 (R)."""
    taxon = make.taxon("Ranitomeya variabilis", grouping="group", mature_days=300)
    place = make.locality("Cerro Umbral", taxon)
    told = {"taxon": taxon, "locality": place}
    found = {code: make.animal(code, **told) for code in "ABC"}
    by = make.user()
    find_sex(found["A"], "male", "calling", date(2021, 1, 1), by)
    find_sex(found["B"], "male", "looks", date(2021, 1, 1), by)
    for code, day in (("K1", date(2022, 1, 1)), ("K2", date(2022, 2, 1))):
        clutch = found[code] = make.clutch(code, found_on=day, taxon=taxon)
        sires = [(found["A"], 0.5), (found["B"], 0.5)]
        state_parents(clutch, "sire", sires, "housed", day, by)
        state_parents(clutch, "dam", [(found["C"], 1)], "seen", day, by)
    for code, clutch in (("P", "K1"), ("Q", "K1"), ("R", "K2")):
        found[code] = make.young(found[clutch], code, locality=place)
    return found


def herd_of(line, codes="ABCPQR"):
    """Return the animals of the story, with what is known of them now."""
    return Herd([line[c] for c in codes])


def diversity(line, codes="ABCPQR"):
    """Return gene diversity and founder genome equivalents of these animals."""
    herd, keys = herd_of(line, codes), [line[c].pk for c in codes]
    mean = herd.lineage.kinship_table(keys, keys).mean()
    return 1 - mean, 1 / (2 * mean)


def test_while_the_sire_is_one_of_two(line):
    """Clutchmates 1/4; young of two clutches 3/16 and at worst 1/4; a sire and its young 1/8."""
    herd = herd_of(line)
    a, p, q, r = (line[c] for c in "APQR")
    assert herd.kinship(p, q) == (0.25, 0.25)
    assert herd.kinship(p, r) == (3 / 16, 0.25)
    assert herd.kinship(a, p)[0] == 0.125


def test_pairing_young_of_the_two_clutches_is_an_ask(line):
    """P x R: the rule on inbreeding wants a written reason."""
    found = objections(Match(day=DAY, first=line["P"], second=line["R"]))
    kin = [o for o in found if o.rule == "young_would_not_be_inbred"]
    assert [o.level for o in kin] == ["ask"]
    assert "0.188 expected" in kin[0].message
    assert "0.25 at worst" in kin[0].message


def test_what_is_left_of_the_founders(line):
    """Gene diversity of the six 0.799, founder genome equivalents 2.48."""
    genes, equivalents = diversity(line)
    assert (round(genes, 3), round(equivalents, 2)) == (0.799, 2.48)


def test_then_b_lays_and_nothing_is_changed_silently(line):
    """B as a sire of both clutches is listed as a conflict; the statements stay as they are."""
    before = list(Descent.objects.values_list("pk", "superseded_at"))
    find_sex(line["B"], "female", "laid", DAY, make.user())
    assert list(Descent.objects.values_list("pk", "superseded_at")) == before
    told = [str(c) for c in conflicts()]
    assert sum("B" in text and "K1" in text for text in told) == 1
    assert sum("B" in text and "K2" in text for text in told) == 1


def test_settled_on_a_the_figures_follow(line):
    """f(P,R) = f(A,P) = 1/4; 19/24 and 2.40, and without B 0.72 and 1.79."""
    by = make.user()
    find_sex(line["B"], "female", "laid", DAY, by)
    for clutch in (line["K1"], line["K2"]):
        stated = Descent.objects.current().get(clutch=clutch, role="sire")
        why = "B laid, so A is the sire."
        state_parents(clutch, "sire", [(line["A"], 1)], "housed", DAY, by, stated, why)
    assert conflicts() == []
    herd = herd_of(line)
    assert herd.kinship(line["P"], line["R"]) == (0.25, 0.25)
    assert herd.kinship(line["A"], line["P"])[0] == 0.25
    genes, equivalents = diversity(line)
    assert genes == pytest.approx(19 / 24, abs=1e-12)
    assert round(equivalents, 2) == 2.40
    genes, equivalents = diversity(line, "ACPQR")
    assert (round(genes, 2), round(equivalents, 2)) == (0.72, 1.79)
