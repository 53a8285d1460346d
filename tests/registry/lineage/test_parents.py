"""Parents that are one of several, and pairs that are one of several pairs."""

import pytest

from registry.lineage import Lineage, OneOf, PairOf

FOUNDERS = [(key, None, None) for key in "ABCXY"]
HALF = {"A": 0.5, "B": 0.5}


def test_clutchmates_share_the_sire_nobody_saw():
    sire = OneOf(HALF, name="sire of K1")
    family = Lineage([*FOUNDERS, ("P", sire, "C"), ("Q", sire, "C")])
    assert family.kinship("P", "Q") == 1 / 4
    assert family.at_worst("P", "Q") == 1 / 4


def test_young_found_apart_have_sires_drawn_apart():
    family = Lineage([*FOUNDERS, ("P", OneOf(HALF), "C"), ("R", OneOf(HALF), "C")])
    assert family.kinship("P", "R") == 3 / 16
    assert family.at_worst("P", "R") == 1 / 4
    assert not family.at_worst("P", "R").is_bound


def test_one_name_or_one_object_is_one_parent():
    nameless = OneOf(HALF)
    by_object = Lineage([*FOUNDERS, ("P", nameless, "C"), ("Q", nameless, "C")])
    by_name = Lineage(
        [*FOUNDERS, ("P", OneOf(HALF, name="K1"), "C"), ("Q", OneOf(dict(HALF), name="K1"), "C")]
    )
    assert by_object.kinship("P", "Q") == by_name.kinship("P", "Q") == 1 / 4


def test_a_possible_sire_is_related_by_its_weight():
    family = Lineage([*FOUNDERS, ("P", OneOf({"A": 0.8, "B": 0.2}), "C")])
    assert family.kinship("A", "P") == pytest.approx(0.2)
    assert family.kinship("B", "P") == pytest.approx(0.05)
    assert family.at_worst("B", "P") == 0.25


def test_what_is_left_of_the_weights_is_an_outsider_shared_by_the_clutch():
    sire = OneOf({"A": 0.25}, name="K1")
    family = Lineage([*FOUNDERS, ("P", sire, None), ("Q", sire, None)])
    assert family.kinship("A", "P") == 1 / 16
    assert family.kinship("P", "Q") == 1 / 8


def test_a_parent_of_no_candidates_is_unknown_but_shared():
    sire = OneOf({}, name="unknown sire of K1")
    family = Lineage([("P", sire, None), ("Q", sire, None), ("R", None, None)])
    assert family.kinship("P", "Q") == family.at_worst("P", "Q") == 1 / 8
    assert family.kinship("P", "R") == 0


def test_unsexed_parents_alone_together_are_two_animals():
    pair = PairOf({("X", "Y"): 0.5, ("Y", "X"): 0.5}, name="K1")
    family = Lineage([*FOUNDERS, ("P", pair, pair), ("Q", pair, pair)])
    assert family.inbreeding()["P"] == 0
    assert family.kinship("P", "Q") == 1 / 4
    assert family.kinship("X", "P") == 1 / 4
    assert family.at_worst("P", "P") == 1 / 2


def test_a_pair_is_drawn_together_and_its_sides_apart_from_all_others():
    pair = PairOf({("X", "Y"): 0.5, ("A", "B"): 0.5}, name="K1")
    family = Lineage([*FOUNDERS, ("P", pair, pair), ("Q", pair, pair), ("R", "X", "A")])
    assert family.kinship("P", "Q") == 1 / 4
    assert family.kinship("P", "R") == 1 / 8
    assert family.at_worst("P", "R") == 1 / 8


def test_an_outsider_may_be_half_of_a_pair():
    pair = PairOf({("X", None): 0.5, ("X", "Y"): 0.5}, name="K1")
    family = Lineage([*FOUNDERS, ("P", pair, pair)])
    assert family.kinship("Y", "P") == 1 / 8
    assert family.kinship("X", "P") == 1 / 4


def test_a_candidate_of_weight_nothing_is_ruled_out():
    family = Lineage([*FOUNDERS, ("P", OneOf({"A": 1.0, "B": 0.0}), None)])
    assert family.at_worst("B", "P") == 0
