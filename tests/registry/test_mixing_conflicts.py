"""Of which clutch a young of a mix is, once that is known; what cannot be is listed."""

import pytest

from registry.conflicts import conflicts, conflicts_of
from registry.correcting import correct
from registry.herd import possible_parents
from registry.lifetime import NotOnThatDay
from registry.mixing import MixRefused, state_clutch
from registry.pedigree import ancestry_of, stated_parents
from registry.timeline import timeline
from tests import make
from tests.registry.mixed import NOON, clutch, day, furnished, out, together

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]


@pytest.fixture
def room():
    """Return founders, two clutches that hatched 6 and 2, and a tub."""
    return furnished()


def test_one_known_to_be_of_a_clutch_is_a_full_sibling_of_those_of_it(room):
    (k,) = out(room["K1"], "K", on=9)
    mix = together(room)
    p, q = out(mix, "P", "Q")
    made = state_clutch(p, room["K1"], "dna", day(65), make.user(), at=NOON)
    lineage = ancestry_of([k, p, q]).lineage()
    assert lineage.kinship(k.pk, p.pk) == 1 / 4
    assert [c for c, *_ in stated_parents(p)] == [None]
    assert possible_parents([p, q])[p.pk] == {room[code].pk for code in "ABC"}
    with pytest.raises(MixRefused, match="correct that entry"):
        state_clutch(p, room["K2"], "dna", day(66), make.user(), at=NOON)
    correct(made, {"clutch": room["K2"]}, by=make.user(), why="Swapped tubes.", at=NOON)
    assert ancestry_of([p]).lineage().kinship(p.pk, room["D"].pk) == 1 / 4
    p.clutches_stated.current().get().withdrawn(by=make.user(), why="Not tested.")
    assert len(stated_parents(p)) == 2
    assert "Of clutch K2 (DNA)." in [entry.text for entry in timeline(p)]


@pytest.mark.parametrize(
    ("of", "on", "said"),
    [("K1", 59, "taken out on 29 Apr 2026"), ("K9", 60, "is not in it"), ("K1", 500, "to come")],
)
def test_a_clutch_it_cannot_be_of_is_refused(room, of, on, said):
    room["K9"] = clutch("K9", at=make.enclosure(), sires=[room["A"]], dam=room["C"])
    (p,) = out(together(room), "P")
    with pytest.raises((MixRefused, NotOnThatDay), match=said):
        state_clutch(p, room[of], "dna", day(on), make.user(), at=NOON)
    with pytest.raises(MixRefused, match="reared together"):
        state_clutch(make.young(room["K9"]), room["K9"], "dna", day(200), make.user())


def sentences():
    return [one.sentence for one in conflicts()]


def test_a_clutch_all_of_whose_young_are_known_is_listed_until_somebody_acts(room):
    mix = together(room)
    p, q, r = out(mix, "P", "Q", "R")
    state_clutch(p, room["K2"], "dna", day(65), make.user(), at=NOON)
    assert sentences() == []
    state_clutch(q, room["K2"], "dna", day(65), make.user(), at=NOON)
    (said,) = sentences()
    assert said.startswith("All 2 that K2 brought are known (P and Q), and R still may be of it.")
    assert [one.sentence for one in conflicts_of(r)] == [said]
    correct(mix.parts.get(clutch=room["K2"]), {"weight": 0}, by=None, why="All known.", at=NOON)
    assert sentences() == []
    assert ancestry_of([p]).lineage().kinship(p.pk, room["D"].pk) == 1 / 4


def test_more_of_a_clutch_than_it_brought_are_listed(room):
    for one in out(together(room), "P", "Q", "R"):
        state_clutch(one, room["K2"], "dna", day(65), make.user(), at=NOON)
    assert sentences() == [
        "P, Q and R are stated to be of K2, which brought at most 2 by its counts."
    ]


@pytest.mark.parametrize(("born", "listed"), [(8, True), (9, False)])
def test_a_birth_before_a_clutch_was_laid_is_listed(room, born, listed):
    late = clutch("K4", at=make.enclosure(), sires=[room["A"]], dam=room["C"], found=9)
    room["K4"] = late
    out(together(room, names=("K1", "K4")), "P", born=day(born))
    found = [one for one in sentences() if "possibly of K4" in one]
    assert bool(found) == listed
