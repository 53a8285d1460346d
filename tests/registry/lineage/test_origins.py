"""How far an animal is traced to the wild, and how many generations it is from there."""

import pytest

from registry.lineage import Generation, Lineage, OneOf, PairOf, source_group

FOUNDERS = [("A", None, None), ("B", None, None), ("Z", None, None)]
WILD = {"A", "B"}


@pytest.mark.parametrize(
    ("sire", "dam", "traced"),
    [
        ("A", "B", 1),
        ("A", None, 1 / 2),
        ("A", "Z", 1 / 2),
        (None, None, 0),
        (OneOf({"A": 0.5, "B": 0.5}), "B", 1),
        (OneOf({"A": 0.5, "Z": 0.25}), "B", 3 / 4),
        (OneOf({}), "B", 1 / 2),
    ],
)
def test_the_traced_share_is_the_mean_of_the_parents(sire, dam, traced):
    """0 for a missing parent, an outsider and a founder not known to be wild."""
    records = [*FOUNDERS, ("P", sire, dam), ("Q", "P", "P")]
    family = Lineage(records, wild=WILD)
    assert family.traced("P") == traced
    assert family.traced("Q") == traced


def test_both_parents_of_a_pair_are_traced():
    pair = PairOf({("A", "Z"): 0.5, ("A", None): 0.5})
    family = Lineage([*FOUNDERS, ("P", pair, pair)], wild=WILD)
    assert family.traced("P") == 1 / 2


def test_every_founder_counts_as_wild_where_nothing_is_said():
    family = Lineage([*FOUNDERS, ("P", "A", None)])
    assert family.traced("Z") == 1
    assert family.traced("P") == 1 / 2


def test_unseen_founders_never_count_as_wild():
    assert Lineage(source_group("box", "PQ", 1, 1)).traced("P") == 0


def test_a_wild_animal_with_recorded_parents_is_traced_through_them():
    assert Lineage([("A", None, None), ("P", "A", None)], wild={"A", "P"}).traced("P") == 1 / 2


def generations(records, wild=None):
    """The generation of the last animal recorded."""
    return Lineage(records, wild=wild).generation(records[-1][0])


def test_the_wild_is_generation_nothing():
    assert generations(FOUNDERS) == Generation(0, 0, 0)
    assert str(generations(FOUNDERS)) == "wild"


def test_young_of_the_wild_are_the_first_in_both_counts():
    assert generations([*FOUNDERS, ("P", "A", "B")]) == Generation(1, 1, 1)


def test_f1_and_f3_give_f2_to_f4():
    records = [*FOUNDERS, ("F1", "A", "B")]
    for born in (1, 2):
        mate = f"M{born}"
        records += [(mate, "A", "B")] if born == 1 else [(mate, "F1", "M1")]
        records.append((f"F{born + 1}", f"F{born}", mate))
    found = generations([*records, ("X", "F1", "F3")])
    assert found == Generation(2, 4, 2)
    assert str(found) == "F2-F4"


def test_any_wild_parent_makes_the_young_f1_for_cites():
    records = [*FOUNDERS, ("P", "A", "B"), ("Q", "A", "B"), ("R", "P", "Q")]
    assert generations([*records, ("X", "R", "Z")]) == Generation(1, 3, 1)


def test_an_unknown_parent_leaves_the_generation_unknown():
    found = generations([*FOUNDERS, ("P", "A", "B"), ("X", "P", None)])
    assert found == Generation(None, None, None)
    assert str(found) == "unknown"


def test_a_wild_parent_settles_the_cites_count_whoever_the_other_is():
    assert generations([*FOUNDERS, ("X", "A", None)]) == Generation(None, None, 1)


def test_a_founder_not_known_to_be_wild_is_of_unknown_generation():
    assert generations(FOUNDERS, wild=WILD) == Generation(None, None, None)


def test_one_of_several_spans_all_of_them():
    records = [*FOUNDERS, ("P", "A", "B"), ("Q", "A", "B"), ("R", "P", "Q")]
    sire = OneOf({"P": 0.5, "R": 0.5})
    assert generations([*records, ("X", sire, "Q")]) == Generation(2, 3, 2)


def test_a_possible_outsider_is_of_unknown_generation():
    found = generations([*FOUNDERS, ("P", "A", "B"), ("X", OneOf({"P": 0.9}), "P")])
    assert found == Generation(None, None, None)


def test_asking_for_young_first_and_for_parents_later_gives_the_same():
    records = [*FOUNDERS, ("P", "A", "B"), ("Q", "A", "B"), ("R", "P", "Q")]
    family = Lineage(records)
    assert family.generation("R") == Generation(2, 2, 2)
    assert family.generation("P") == Generation(1, 1, 1)
