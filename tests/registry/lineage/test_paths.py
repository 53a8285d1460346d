"""Why two animals are related: paths that sum to the figure."""

import pytest
from hypothesis import given, settings

from registry.lineage import Lineage, OneOf, Outsider, PairOf, paths
from tests.registry.lineage.pedigrees import pedigrees


@given(pedigrees(most=8))
@settings(max_examples=80, deadline=None)
def test_the_parts_sum_to_the_figure(records):
    family = Lineage(records)
    one, other = records[0][0], records[-1][0]
    found = family.paths(one, other)
    assert sum(path.contribution for path in found) == pytest.approx(
        family.kinship(one, other), abs=1e-12
    )
    assert len(found) <= 21
    assert [path.is_rest for path in found].count(True) <= 1
    assert not any(path.is_rest for path in found[:20])


@given(pedigrees(most=8))
@settings(max_examples=80, deadline=None)
def test_each_path_adds_what_its_length_weight_and_ancestor_say(records):
    family = Lineage(records)
    one, other = records[0][0], records[-1][0]
    inbreeding = family.inbreeding()
    shown = [path for path in family.paths(one, other) if not path.is_rest]
    for path in shown:
        count = len(path.animals)
        assert len(set(path.animals)) == count
        assert (path.animals[0], path.animals[-1]) == (one, other)
        assert path.ancestor in path.animals
        assert path.inbreeding == pytest.approx(inbreeding.get(path.ancestor, 0.0), abs=1e-12)
        added = 0.5**count * (1 + path.inbreeding) * path.weight
        assert path.contribution == pytest.approx(added, abs=1e-12)
    contributions = [path.contribution for path in shown]
    assert contributions == sorted(contributions, reverse=True)


@given(pedigrees(most=8))
@settings(max_examples=40, deadline=None)
def test_the_largest_of_all_paths_are_shown(records):
    one, other = records[0][0], records[-1][0]
    few = Lineage(records).paths(one, other)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(paths, "SHOWN", 10**6)
        every = Lineage(records).paths(one, other)
    assert not any(path.is_rest for path in every)
    assert [path.contribution for path in few[:20]] == pytest.approx(
        [path.contribution for path in every[:20]], abs=1e-12
    )


@given(pedigrees(most=8))
@settings(max_examples=40, deadline=None)
def test_paths_between_the_parents_sum_to_inbreeding(records):
    family = Lineage(records)
    for key, inbreeding in family.inbreeding().items():
        told = sum(path.contribution for path in family.inbreeding_paths(key))
        assert told == pytest.approx(inbreeding, abs=1e-12)


def test_full_siblings_have_one_path_through_each_parent():
    family = Lineage([("A", None, None), ("B", None, None), ("P", "A", "B"), ("Q", "A", "B")])
    found = family.paths("P", "Q")
    assert {path.animals for path in found} == {("P", "A", "Q"), ("P", "B", "Q")}
    assert {path.contribution for path in found} == {1 / 8}


def test_an_inbred_ancestor_adds_more():
    records = [("A", None, None), ("B", None, None), ("P", "A", "B"), ("Q", "A", "B")]
    family = Lineage([*records, ("I", "P", "Q"), ("X", "I", None), ("Y", "I", None)])
    [path] = family.paths("X", "Y")
    assert (path.ancestor, path.inbreeding, path.contribution) == ("I", 0.25, 1.25 / 8)


def test_the_weight_multiplies_once_where_a_path_enters_and_leaves_through_one_parent():
    sire = OneOf({"A": 0.75, "B": 0.25}, name="K1")
    founders = [(key, None, None) for key in "AB"]
    family = Lineage([*founders, ("P", sire, None), ("Q", sire, None)])
    told = [(path.animals, path.weight, path.contribution) for path in family.paths("P", "Q")]
    assert told == [(("P", "A", "Q"), 0.75, 0.75 / 8), (("P", "B", "Q"), 0.25, 0.25 / 8)]


def test_the_weights_multiply_where_parents_are_drawn_apart():
    half = {"A": 0.5, "B": 0.5}
    founders = [(key, None, None) for key in "AB"]
    family = Lineage([*founders, ("P", OneOf(half), None), ("Q", OneOf(half), None)])
    assert [path.weight for path in family.paths("P", "Q")] == [0.25, 0.25]


def test_an_outsider_is_an_ancestor_too():
    sire = OneOf({"A": 0.5}, name="K1")
    family = Lineage([("A", None, None), ("P", sire, None), ("Q", sire, None)])
    outsider = Outsider("K1")
    assert ("P", outsider, "Q") in [path.animals for path in family.paths("P", "Q")]
    assert str(outsider) == "an outsider (K1)"


def test_the_two_animals_of_a_pair_are_both_on_the_path():
    """Their young P and Q are related through X and Y, and through the parent of both."""
    pair = PairOf({("X", "Y"): 1.0}, name="K1")
    records = [("A", None, None), ("X", "A", None), ("Y", "A", None)]
    family = Lineage([*records, ("P", pair, pair), ("Q", pair, pair)])
    assert ("P", "X", "A", "Y", "Q") in [path.animals for path in family.paths("P", "Q")]
    [path] = family.inbreeding_paths("P")
    assert (path.animals, path.contribution) == (("X", "A", "Y"), 1 / 8)


def test_an_animal_and_itself():
    [path] = Lineage([("A", None, None)]).paths("A", "A")
    assert (path.animals, path.contribution) == (("A",), 1 / 2)


def test_the_unrelated_have_no_path():
    assert Lineage([("A", None, None), ("B", None, None)]).paths("A", "B") == []


@pytest.mark.parametrize(("generations", "rest"), [(2, False), (12, True)])
def test_more_than_twenty_paths_end_in_the_rest(generations, rest):
    records = [("m0", None, None), ("f0", None, None)]
    for n in range(1, generations + 1):
        records += [(f"{sex}{n}", f"m{n - 1}", f"f{n - 1}") for sex in "mf"]
    family = Lineage(records)
    one, other = f"m{generations}", f"f{generations}"
    found = family.paths(one, other)
    assert found[-1].is_rest is rest
    assert len(found) == (21 if rest else len(found))
    assert sum(path.contribution for path in found) == pytest.approx(family.kinship(one, other))


def test_a_long_way_up_is_followed_to_its_end():
    """Forty parents up, each the recorded one or an outsider, half and half."""
    records = [("x0", None, None)]
    records += [(f"x{n}", OneOf({f"x{n - 1}": 0.5}), None) for n in range(1, 41)]
    [path] = Lineage(records).paths("x40", "x0")
    assert len(path.animals) == 41
    assert path.contribution == 0.5**81


def test_in_a_pedigree_too_wide_the_nearest_paths_are_shown(monkeypatch):
    monkeypatch.setattr(paths, "MOST_PAIRS", 20)
    records = [("m0", None, None), ("f0", None, None)]
    for n in range(1, 13):
        records += [(f"{sex}{n}", f"m{n - 1}", f"f{n - 1}") for sex in "mf"]
    family = Lineage(records)
    found = family.paths("m12", "f12")
    assert found[-1].is_rest
    assert sum(path.contribution for path in found) == pytest.approx(family.kinship("m12", "f12"))
