"""Whom a picture reaches, and which ancestors are common."""

from itertools import combinations, product

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.charts.pedigree import Parentage
from registry.charts.reach import ancestors, common_ancestors, descendants, kin
from tests.registry.charts.make import pair

LINE = {"D": ["C"], "C": ["B"], "B": ["A"]}


def test_depth_nothing_is_the_animal_alone():
    assert ancestors(["D"], LINE, 0) == {"D"}
    assert descendants(["A"], LINE, 0) == {"A"}


def test_each_generation_adds_one_step():
    assert ancestors(["D"], LINE, 1) == {"D", "C"}
    assert ancestors(["D"], LINE, 2) == {"D", "C", "B"}
    assert ancestors(["D"], LINE, 3) == {"D", "C", "B", "A"}
    assert ancestors(["D"], LINE, 4) == {"D", "C", "B", "A"}


def test_descendants_bring_their_other_parent_but_not_its_kin():
    parents = {"Y": ["A", "M"], "M": ["G"], "Z": ["Y", "N"]}
    assert descendants(["A"], parents, 1) == {"A", "Y", "M"}
    assert descendants(["A"], parents, 2) == {"A", "Y", "M", "Z", "N"}


def test_kin_goes_both_ways():
    assert kin(["B"], LINE, 1, 1) == {"A", "B", "C"}


def test_a_circle_in_the_records_ends():
    assert ancestors(["A"], {"A": ["B"], "B": ["A"]}, 9) == {"A", "B"}
    ring = {"A": Parentage.of(sires={"B": 1}), "B": Parentage.of(sires={"A": 1})}
    assert common_ancestors(["A", "B"], ring) == ("A", "B")


def test_unrelated_parents_have_no_common_ancestor():
    assert common_ancestors(["Y"], {"Y": pair("S", "D")}) == ()


def test_the_parents_of_siblings_are_common_to_their_young():
    parentage = {"Y": pair("B", "C"), "B": pair("S", "D"), "C": pair("S", "D")}
    assert common_ancestors(["Y"], parentage) == ("D", "S")


def test_the_ancestors_of_a_common_ancestor_are_not_common_for_that_alone():
    parentage = {"Y": pair("B", "C"), "B": pair("S", "D"), "C": pair("S", "E"), "S": pair("G", "H")}
    assert common_ancestors(["Y"], parentage) == ("S",)


def test_an_ancestor_behind_a_common_one_counts_where_another_line_leads_to_it():
    parentage = {
        "Y": pair("B", "C"),
        "B": pair("S", "D"),
        "C": pair("S", "E"),
        "S": pair("G", "H"),
        "E": pair("G", "K"),
    }
    assert common_ancestors(["Y"], parentage) == ("S", "G")


def test_a_parent_is_common_where_it_is_also_the_grandparent():
    parentage = {"Y": pair("S", "B"), "B": pair("S", "D")}
    assert common_ancestors(["Y"], parentage) == ("S",)


def test_possible_parents_count_as_parents():
    parentage = {
        "P": Parentage.of(sires={"A": 0.5, "B": 0.5}, dams={"C": 1}, clutch="K1"),
        "R": Parentage.of(sires={"A": 0.5, "B": 0.5}, dams={"C": 1}, clutch="K2"),
    }
    assert common_ancestors(["P", "R"], parentage) == ("A", "B", "C")
    assert common_ancestors(["P"], parentage) == ()


def test_two_unsexed_parents_are_not_their_own_kin():
    told = Parentage.of_pairs({("X", "Y"): 0.5, ("Y", "X"): 0.5})
    assert common_ancestors(["Z"], {"Z": told}) == ()
    assert common_ancestors(["Z"], {"Z": told, "X": pair("G", "H"), "Y": pair("G", "J")}) == ("G",)


def test_nobody_asked_about_has_nobody_in_common():
    assert common_ancestors([], {}) == ()
    assert common_ancestors(["stranger"], {}) == ()


@st.composite
def parentages(draw):
    """Draw small pedigrees in which parents are older."""
    size = draw(st.integers(3, 9))
    told = {}
    for child in range(2, size):
        older = st.sampled_from([str(key) for key in range(child)])
        sire, dam = draw(older), draw(older)
        if sire != dam:
            told[str(child)] = pair(sire, dam)
    return told, str(size - 1), str(size - 2)


@settings(max_examples=150, deadline=None)
@given(parentages())
def test_common_are_those_reached_by_two_lines_that_share_nobody(case):
    """The quick answer is the one found by trying every two lines of descent."""
    parentage, one, other = case
    lines = nx.DiGraph((key, parent) for key, told in parentage.items() for parent in told)
    lines.add_nodes_from([one, other])
    found = {
        key for key in lines if _two_lines(_paths(lines, one, key), _paths(lines, other, key), key)
    }
    assert set(common_ancestors([one, other], parentage)) == found


def _paths(lines, start, end):
    return [[start]] if start == end else list(nx.all_simple_paths(lines, start, end))


def _two_lines(first, second, end):
    return any(set(a) & set(b) == {end} for a, b in product(first, second))


def test_of_several_those_that_any_two_share():
    parentage = {"A": pair("S", "D"), "B": pair("S", "E"), "C": pair("F", "E"), "X": pair("U", "V")}
    every_two = {key for two in combinations("ABCX", 2) for key in common_ancestors(two, parentage)}
    assert set(common_ancestors("ABCX", parentage)) == every_two == {"S", "E"}
