"""A lineage from arrays, one that grows, and what it keeps."""

import numpy as np
import pytest

from registry.lineage import Lineage, LoopInDescent, OneOf, OwnParent, UnknownAnimal, descent
from tests.bench.animals import closed_lines, wide
from tests.registry.lineage.every_choice import tabular


def records_of(sire, dam):
    """The records of animals called by their number."""
    parents = (np.where(side < 0, None, side).tolist() for side in (sire, dam))
    return list(zip(range(len(sire)), *parents, strict=True))


SMALL = {
    "closed lines": closed_lines(3, animals=120, generations=6, pairs=3),
    "one population": wide(400, 5, sires=6),
}


@pytest.mark.parametrize("arrays", SMALL.values(), ids=SMALL)
@pytest.mark.parametrize("wide_from", [0, 1000])
def test_arrays_give_what_the_tabular_method_gives(arrays, wide_from, monkeypatch):
    """By both ways: columns of gene flow, several hands at work, and the table that forgets."""
    monkeypatch.setattr(descent, "WIDE", wide_from)
    monkeypatch.setattr(descent, "COLUMNS_AT_ONCE", 3)
    at, table = tabular(records_of(*arrays))
    expected = [2 * table[at[n], at[n]] - 1 for n in range(len(arrays[0]))]
    assert Lineage.from_arrays(*arrays).inbreeding_array() == pytest.approx(expected, abs=1e-12)
    assert max(expected) > 0


def test_arrays_may_be_in_any_order():
    sire, dam = wide(300, 5, sires=6)
    mixed = np.random.default_rng(1).permutation(len(sire))
    number = np.argsort(mixed)
    turned = (np.where(side < 0, -1, number[side])[mixed] for side in (sire, dam))
    straight = Lineage.from_arrays(sire, dam).inbreeding_array()
    assert Lineage.from_arrays(*turned).inbreeding_array() == pytest.approx(straight[mixed])


def test_arrays_and_records_are_one():
    sire, dam = wide(200, 4, sires=5)
    by_records = Lineage(records_of(sire, dam))
    by_arrays = Lineage.from_arrays(sire, dam)
    some = list(range(0, 200, 7))
    assert (by_arrays.kinship_table(some, some) == by_records.kinship_table(some, some)).all()
    assert by_arrays.keys == by_records.keys


@pytest.mark.parametrize(
    ("sire", "dam", "error"),
    [
        ([1, 0], [-1, -1], LoopInDescent),
        ([0], [-1], OwnParent),
        ([1], [-1], UnknownAnimal),
        ([-2], [-1], UnknownAnimal),
        ([-1, -1], [-1], ValueError),
        ([0.5], [-1], ValueError),
    ],
)
def test_arrays_that_cannot_be_are_refused(sire, dam, error):
    with pytest.raises(error):
        Lineage.from_arrays(sire, dam)


def test_no_animals_are_a_lineage_too():
    assert Lineage([]).inbreeding() == {}
    assert Lineage.from_arrays([], []).inbreeding_array().tolist() == []
    assert len(Lineage()) == 0


def test_an_addition_finds_what_is_computed_already(monkeypatch):
    """Only what the newcomer descends from is asked, and of that only its own kinship."""
    family = Lineage.from_arrays(*closed_lines(lines=2, animals=240))
    before = family.inbreeding_array()
    grown = family.extended([("new", 239, 238), ("newer", "new", 237)])
    asked = []
    told = descent.Wanted.tell
    monkeypatch.setattr(
        descent.Wanted, "tell", lambda self, *rest: asked.extend(self.points) or told(self, *rest)
    )
    after = grown.inbreeding()
    assert [after[n] for n in range(480)] == before.tolist()
    assert after["new"] == pytest.approx(family.kinship(239, 238), abs=1e-15)
    assert set(asked) <= {238, 239, 237, grown.pedigree.index["new"]}
    assert len(family) == 480


def test_what_was_added_is_what_was_there_from_the_start():
    sire = OneOf({"A": 0.5, "B": 0.5}, name="K1")
    first = [("A", None, None), ("B", None, None), ("C", "A", None), ("P", sire, "C")]
    more = [("Q", sire, "C"), ("R", "P", "Q"), ("S", OneOf({"P": 0.5, "R": 0.4}), "Q")]
    whole, grown = Lineage(first + more), Lineage(first)
    grown.kinship("P", "C")
    grown = grown.extended(more[:2]).extended(more[2:])
    keys = whole.keys
    assert grown.keys == keys
    assert grown.kinship_table(keys, keys) == pytest.approx(
        whole.kinship_table(keys, keys), abs=1e-15
    )
    assert grown.at_worst_table(keys, keys)[0] == pytest.approx(
        whole.at_worst_table(keys, keys)[0], abs=1e-15
    )


def test_newcomers_may_be_from_the_wild():
    family = Lineage([("A", None, None)], wild=["A"])
    grown = family.extended([("B", None, None), ("C", None, None)], wild=["B"])
    assert [grown.traced(key) for key in "ABC"] == [1, 1, 0]


def test_a_lineage_knows_its_animals():
    family = Lineage([("P", OneOf({"A": 1.0}), None), ("A", None, None)])
    assert "A" in family
    assert "Z" not in family
    assert len(family) == 2
    assert family.keys == ("P", "A")


@pytest.mark.parametrize("key", ["Z", None, [], 5])
def test_what_is_no_animal_is_refused(key):
    family = Lineage([("A", None, None)])
    for ask in (family.traced, family.generation, lambda key: family.paths("A", key)):
        with pytest.raises(UnknownAnimal):
            ask(key)
