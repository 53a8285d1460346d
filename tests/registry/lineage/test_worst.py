"""The figure at worst: what it is, when it is only a bound, and the choice it comes from."""

import copy
import pickle

import pytest

from registry.lineage import AtWorst, Lineage, OneOf, PairOf, worst, worst_table
from tests.registry.lineage.every_choice import kinships


def clutches(count, candidates="AB"):
    """So many clutches of one dam, each with a sire of its own that is one of two."""
    founders = [(key, None, None) for key in (*candidates, "C")]
    sire = dict.fromkeys(candidates, 1 / len(candidates))
    return founders + [(f"P{n}", OneOf(sire, name=f"K{n}"), "C") for n in range(count)]


def bred_together(count):
    """Clutches whose young are bred together, so that the last has all their choices above."""
    records, last = clutches(count), "P0"
    for n in range(1, count):
        records.append((f"X{n}", last, f"P{n}"))
        last = f"X{n}"
    return records, last


@pytest.mark.parametrize(("choices", "is_bound"), [(11, False), (12, False), (13, True)])
def test_up_to_4096_choices_the_figure_is_exact(choices, is_bound):
    """Two to the 12th is 4,096: the last that is looked at choice by choice."""
    records, last = bred_together(choices)
    figure = Lineage(records).at_worst(last, last)
    assert figure.is_bound is is_bound
    if not is_bound:
        sires = ("P0", "P1")
        exact = Lineage([*[r for r in records if r[0] not in sires], *_settled(sires)])
        assert figure >= exact.kinship(last, last)


def _settled(young):
    return [(key, "A", "C") for key in young]


def test_the_exact_figure_of_4096_choices():
    """By symmetry the worst is one sire for all, or what every choice says for fewer."""
    records, last = bred_together(6)
    figure = Lineage(records).at_worst(last, last)
    assert figure == pytest.approx(kinships(records, [last])[1][0, 0], abs=1e-12)


def test_a_bound_is_never_below_what_is_attained():
    records, last = bred_together(13)
    worst = Lineage(records).worst_choice(last, last)
    assert worst.figure.is_bound
    assert worst.attained <= worst.figure
    assert worst.attained >= Lineage(records).kinship(last, last)


def test_where_looking_would_take_minutes_the_figure_is_a_bound(monkeypatch):
    monkeypatch.setattr(worst, "CELLS_AT_ONCE", 0)
    monkeypatch.setattr(worst_table, "CELLS_AT_ONCE", 0)
    monkeypatch.setattr(worst, "MOST_CELLS", 0)
    family = Lineage(clutches(2))
    assert (family.at_worst("P0", "P1"), family.at_worst("P0", "P1").is_bound) == (1 / 4, True)
    figures, bounds = family.at_worst_table(["P0"], ["P1", "C"])
    assert (figures.tolist(), bounds.tolist()) == ([[1 / 4, 1 / 4]], [[True, False]])


def test_one_choice_holds_wherever_a_parent_is_met():
    """Each of the two could be the half-sibling of one founder's young, not of both at once."""
    records = [(key, None, None) for key in "ABCDE"]
    sire = OneOf({"A": 0.5, "B": 0.5}, name="K")
    records += [("P", sire, "C"), ("Q", "A", "D"), ("R", "B", "E"), ("S", "Q", "R")]
    family = Lineage(records)
    assert family.at_worst("P", "Q") == family.at_worst("P", "R") == 1 / 8
    assert family.at_worst("P", "S") == family.kinship("P", "S") == 1 / 16


def test_certain_figures_are_equal():
    family = Lineage([("A", None, None), ("P", "A", None), ("Q", "A", None)])
    assert family.at_worst("P", "Q") == family.kinship("P", "Q")
    assert not family.at_worst("P", "Q").is_bound


def test_unrelated_animals_are_so_at_worst_however_much_is_uncertain_elsewhere():
    records, last = bred_together(13)
    family = Lineage([*records, ("Z", None, None)])
    assert family.at_worst(last, "Z") == 0
    assert not family.at_worst(last, "Z").is_bound


def test_the_choice_behind_the_figure():
    family = Lineage(clutches(2))
    worst = family.worst_choice("P0", "P1")
    assert worst.figure == worst.attained == 1 / 4
    assert {one.name for one in worst.choices} == {"K0", "K1"}
    assert len({one.chosen for one in worst.choices}) == 1
    assert [one.young for one in worst.choices] == [("P0",), ("P1",)]
    assert {one.role for one in worst.choices} == {"sire"}


def test_a_choice_that_changes_nothing_is_not_told():
    records = clutches(1)
    sire = records[-1][1]
    family = Lineage([*records, ("Q", sire, "C")])
    assert family.worst_choice("P0", "Q").choices == ()


def test_a_candidate_that_may_be_an_outsider_is_told():
    family = Lineage([("A", None, None), ("P", OneOf({"A": 0.1}, name="K"), None)])
    assert [one.chosen for one in family.worst_choice("A", "P").choices] == ["A"]


def test_a_pair_is_told_as_a_pair():
    pair = PairOf({("X", "Y"): 0.5, ("Z", "Y"): 0.5}, name="K")
    family = Lineage([*((key, None, None) for key in "XYZ"), ("P", pair, pair)])
    [choice] = family.worst_choice("Z", "P").choices
    assert (choice.role, choice.chosen, choice.young) == ("pair", ("Z", "Y"), ("P",))


def test_a_figure_is_a_number_that_keeps_what_it_knows():
    figure = AtWorst(0.25, is_bound=True)
    assert figure == 0.25
    assert f"{figure:.2f}" == "0.25"
    assert copy.copy(figure).is_bound
    assert pickle.loads(pickle.dumps(figure)).is_bound


def test_a_table_tells_bounds_and_exact_figures_side_by_side():
    records, last = bred_together(13)
    family = Lineage(records)
    figures, bounds = family.at_worst_table([last, "P0"], ["X2", "P1", "C"])
    assert bounds.tolist() == [[True, True, False], [False, False, False]]
    for row, one in enumerate([last, "P0"]):
        for column, other in enumerate(["X2", "P1", "C"]):
            assert figures[row, column] == pytest.approx(family.at_worst(one, other), abs=1e-12)
