"""A pedigree that cannot be is refused, and the refusal names the animals."""

import pytest

from registry.lineage import (
    HalfAPair,
    ImpossibleWeights,
    Lineage,
    LoopInDescent,
    NameUsedTwice,
    OneOf,
    OwnParent,
    PairOf,
    PairOfOne,
    PedigreeError,
    RecordedTwice,
    UnknownAnimal,
)


def refusal(error, records):
    """What a lineage of such records is refused with."""
    with pytest.raises(error) as caught:
        Lineage(records)
    return caught.value


def test_a_loop_names_its_animals_in_order_from_parent_to_young():
    loop = [("P", "Q", None), ("Q", "R", None), ("R", "P", None), ("S", "P", None)]
    found = refusal(LoopInDescent, loop)
    turned = found.animals[found.animals.index("P") :] + found.animals[: found.animals.index("P")]
    assert turned == ("P", "R", "Q")
    assert str(found).startswith("The pedigree runs in a circle, parent of young: ")
    for step in ("P of R", "R of Q", "Q of P"):
        assert step in str(found)


def test_a_loop_through_a_possible_parent_is_a_loop():
    found = refusal(LoopInDescent, [("P", OneOf({"Q": 0.5}), None), ("Q", "P", None)])
    assert set(found.animals) == {"P", "Q"}


def test_a_loop_through_a_pair_is_a_loop():
    pair = PairOf({("A", "Q"): 1.0})
    found = refusal(LoopInDescent, [("A", None, None), ("P", pair, pair), ("Q", None, "P")])
    assert set(found.animals) == {"P", "Q"}


@pytest.mark.parametrize("parent", ["P", OneOf({"P": 0.5}), OneOf({"A": 0.5, "P": 0.5})])
def test_no_animal_is_its_own_parent(parent):
    found = refusal(OwnParent, [("A", None, None), ("P", parent, None)])
    assert found.animals == ("P",)
    assert "P" in str(found)


def test_no_animal_is_one_of_its_own_parents_in_a_pair():
    pair = PairOf({("A", "P"): 0.5})
    assert refusal(OwnParent, [("A", None, None), ("P", pair, pair)]).animals == ("P",)


@pytest.mark.parametrize("parent", ["Z", OneOf({"Z": 0.5})])
def test_a_parent_needs_a_record(parent):
    found = refusal(UnknownAnimal, [("P", parent, None)])
    assert found.animals == ("Z",)
    assert str(found) == "Z, a parent of P, has no record in this pedigree."


def test_a_question_needs_a_record():
    with pytest.raises(UnknownAnimal) as caught:
        Lineage([("A", None, None)]).kinship("A", "Z")
    assert str(caught.value) == "Z has no record in this pedigree."


def test_an_animal_is_recorded_once():
    assert refusal(RecordedTwice, [("A", None, None), ("A", None, None)]).animals == ("A",)


def test_a_record_has_a_key():
    refusal(PedigreeError, [(None, None, None)])


@pytest.mark.parametrize(
    "weights",
    [{"A": -0.1}, {"A": 1.1}, {"A": 0.6, "B": 0.6}, {"A": float("nan")}, {"A": 1 + 1e-8}],
)
def test_weights_are_shares_of_one(weights):
    with pytest.raises(ImpossibleWeights) as caught:
        OneOf(weights)
    assert caught.value.animals == tuple(weights)
    with pytest.raises(ImpossibleWeights):
        PairOf({(key, "C"): weight for key, weight in weights.items()})


def test_weights_may_miss_one_by_rounding():
    assert OneOf(dict.fromkeys("ABCDEFGHIJ", 0.1)).rest == 0
    assert OneOf({"A": 1 + 1e-10}).rest == 0


def test_a_pair_is_two_animals():
    with pytest.raises(PairOfOne):
        PairOf({("A", "A"): 1.0})


def test_a_pair_is_given_for_both_parents():
    pair = PairOf({("A", "B"): 1.0})
    other = PairOf({("A", "B"): 1.0})
    founders = [("A", None, None), ("B", None, None)]
    for sire, dam in [(pair, None), ("A", pair), (pair, other)]:
        assert refusal(HalfAPair, [*founders, ("P", sire, dam)]).animals == ("P",)


def test_one_name_means_one_choice():
    records = [("A", None, None), ("B", None, None)]
    records += [("P", OneOf({"A": 1.0}, name="K"), None), ("Q", OneOf({"B": 1.0}, name="K"), None)]
    found = refusal(NameUsedTwice, records)
    assert found.name == "K"
    assert found.animals == ("A", "B")


def test_a_refused_addition_leaves_the_lineage_as_it_was():
    family = Lineage([("A", None, None)])
    with pytest.raises(UnknownAnimal):
        family.extended([("P", "A", None), ("Q", "Z", None)])
    assert family.keys == ("A",)
