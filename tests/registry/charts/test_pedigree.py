"""What a pedigree picture is made of."""

import pytest

from registry.charts.figures import digits, share
from registry.charts.pedigree import (
    AnimalNotDescribed,
    Group,
    Parentage,
    Role,
    count,
    pedigree,
    with_leaf_siblings_grouped,
)
from tests.registry.charts.make import animal, drawn, figure, pair

ONE_OF = {"sires": {"A": 0.5, "B": 0.5}, "dams": {"C": 1}}


def test_young_of_the_same_certain_parents_are_one_family_whatever_their_clutch():
    parentage = {"P": pair("A", "C", clutch="K1"), "Q": pair("A", "C", clutch="K2")}
    (family,) = drawn(parentage, ["P"]).families
    assert family.young == ("P", "Q")
    assert family.clutch == ""


def test_young_of_uncertain_parents_are_one_family_for_each_clutch():
    parentage = {
        "P": Parentage.of(**ONE_OF, clutch="K1"),
        "Q": Parentage.of(**ONE_OF, clutch="K1"),
        "R": Parentage.of(**ONE_OF, clutch="K2"),
    }
    families = drawn(parentage, ["P"]).families
    assert [(family.clutch, family.young) for family in families] == [
        ("K1", ("P", "Q")),
        ("K2", ("R",)),
    ]


def test_young_found_separately_are_separate_families():
    parentage = {"P": Parentage.of(**ONE_OF), "Q": Parentage.of(**ONE_OF)}
    assert [family.young for family in drawn(parentage, ["P"]).families] == [("P",), ("Q",)]


def test_the_kinship_of_parents_is_the_inbreeding_of_their_young():
    told = figure(0.125, 0.25)
    (family,) = drawn({"Y": pair("A", "B")}, ["Y"], Y=animal("Y", inbreeding=told)).families
    assert family.kinship == told


def test_a_missing_parent_is_missed_whole_and_an_outsider_in_part():
    (family,) = drawn({"Y": Parentage.of(sires={"A": 0.75})}, ["Y"]).families
    assert family.missing(Role.SIRE) == 0.25
    assert family.missing(Role.DAM) == 1


@pytest.mark.parametrize(
    ("pairs", "missing"),
    [
        ({("X", "Y"): 0.5, ("Y", "X"): 0.5}, 0),
        ({("X", "Y"): 0.5, ("X", "Z"): 0.5}, 0),
        ({("X", "Y"): 0.25, ("Y", "X"): 0.25}, 0.5),
    ],
)
def test_pairs_drawn_for_parents_leave_out_what_their_weights_leave(pairs, missing):
    (family,) = drawn({"Z1": Parentage.of_pairs(pairs)}, ["Z1"]).families
    role = Role.EITHER if any(p.role == Role.EITHER for p in family.parents) else Role.DAM
    assert family.missing(role) == pytest.approx(missing)


def test_couples_are_only_the_pairs_that_were_given():
    told = Parentage.of_pairs({("X", "Y"): 0.5, ("Z", None): 0.5})
    assert told.couples() == (("X", "Y"),)
    assert Parentage.of(**ONE_OF).couples() == (("A", "C"), ("B", "C"))


def test_a_parent_on_record_but_not_drawn_is_neither_unknown_nor_an_outsider():
    parentage = {"Y": Parentage.of(**ONE_OF)}
    described = {key: animal(key) for key in "YAC"}
    picture = pedigree("YAC", asked=["Y"], animals=described, parentage=parentage)
    assert picture.families[0].missing(Role.SIRE) == 0
    assert picture.unseen == {"Y": "1 parent not drawn"}


def test_the_rim_says_what_lies_beyond_it():
    parentage = {"Y": pair("A", "B"), "A": pair("G", "H"), "Z": pair("Y", "M")}
    described = {key: animal(key) for key in "YAB"}
    picture = pedigree("YAB", asked=["Y"], animals=described, parentage=parentage)
    assert picture.unseen == {"Y": "1 young not drawn", "A": "2 parents not drawn"}


def test_other_young_of_somebody_with_young_in_the_picture_are_not_missed():
    parentage = {"Y": pair("A", "B"), "Z": pair("A", "B")}
    described = {key: animal(key) for key in "YAB"}
    assert pedigree("YAB", asked=["Y"], animals=described, parentage=parentage).unseen == {}


def test_an_animal_that_nobody_describes_is_refused_by_name():
    with pytest.raises(AnimalNotDescribed, match="No animal is described for B") as refused:
        pedigree("AB", asked=["A"], animals={"A": animal("A")}, parentage={})
    assert refused.value.key == "B"


def _brood(size, **animals):
    return drawn({f"Y{n:02}": pair("A", "B") for n in range(size)}, ["A"], **animals)


@pytest.mark.parametrize(("size", "left"), [(3, 3), (4, 4), (5, 3), (17, 3)])
def test_leaf_siblings_past_the_first_three_become_one_card_but_never_one_alone(size, left):
    picture = with_leaf_siblings_grouped(_brood(size))
    (family,) = picture.families
    assert len(family.young) == left
    assert family.more == (Group(size=size - 3, made_of=f"0.0.{size - 3}") if left < size else None)
    assert len(picture.animals) == left + 2


def test_grouping_spares_parents_and_whoever_is_asked_about():
    parentage = {f"Y{n}": pair("A", "B") for n in range(8)} | {"Z": pair("Y6", "M")}
    picture = with_leaf_siblings_grouped(drawn(parentage, ["Y7"]), keep=0)
    assert picture.families[0].young == ("Y6", "Y7")
    assert picture.families[0].more.size == 6


def test_nothing_is_grouped_unless_asked_for():
    assert len(_brood(40).animals) == 42


def test_counts_are_males_females_unsexed():
    sexes = {"A": "male", "B": "female", "C": "female", "D": "unsexed"}
    assert count("ABC", sexes) == "1.2"
    assert count("ABCD", sexes) == "1.2.1"


@pytest.mark.parametrize(
    ("weight", "told"), [(1 / 3, "1/3"), (0.875, "7/8"), (0.51, "51 %"), (0.004, "0 %")]
)
def test_weights_are_fractions_where_they_are_simple(weight, told):
    assert share(weight) == told


def test_figures_show_the_worst_case_wherever_it_differs():
    assert str(figure(0.25)) == "0.25"
    assert str(figure(0, 0.125)) == "0, at worst 0.125"
    assert figure(0, 0.125).related
    assert not figure(0).related
    assert digits(1 / 3) == "0.3333"
