"""Young of clutches reared together: their parents are those of one of the clutches."""

import pytest

from registry.lineage import (
    ClutchOf,
    HalfAPair,
    ImpossibleWeights,
    Lineage,
    NameUsedTwice,
    OneOf,
    OwnParent,
    UnknownAnimal,
    alleles_kept,
)
from registry.lineage.founders import Outsider

FOUNDERS = [(key, None, None) for key in "ABCD"]


def mixed(name, *families):
    """A record of one young of a mix."""
    clutch = ClutchOf(families, name=f"clutch of {name}")
    return name, clutch, clutch


def test_sire_and_dam_are_of_one_clutch():
    family = Lineage([*FOUNDERS, mixed("P", ("A", "C", 0.5), ("B", "D", 0.5)), ("X", "A", "D")])
    assert family.kinship("P", "X") == 1 / 8
    assert family.at_worst("P", "X") == 1 / 8  # drawn apart, sire A with dam D would give 1/4
    assert family.kinship("P", "P") == 1 / 2


def test_two_found_apart_may_be_of_two_clutches():
    two = [mixed(name, ("A", "C", 0.5), ("B", "D", 0.5)) for name in "PQ"]
    family = Lineage([*FOUNDERS, *two])
    assert (family.kinship("P", "Q"), family.at_worst("P", "Q")) == (1 / 8, 1 / 4)
    assert sum(path.contribution for path in family.paths("P", "Q")) == 1 / 8


def test_a_dam_that_all_clutches_share_is_no_choice():
    two = [mixed(name, ("A", "C", 0.5), ("B", "C", 0.5)) for name in "PQ"]
    family = Lineage([*FOUNDERS, *two])
    assert (family.kinship("P", "Q"), family.at_worst("P", "Q")) == (3 / 16, 1 / 4)
    roles = {one.role for one in family.worst_choice("P", "Q").choices}
    assert roles == {"sire"}


def test_one_of_the_mix_shares_whoever_the_sire_of_its_clutch_is():
    sire = OneOf({"A": 0.5, "B": 0.5}, name="sire of K1")
    young = [("K", sire, "C"), mixed("P", (sire, "C", 0.5), ("B", "D", 0.5))]
    family = Lineage([*FOUNDERS, *young])
    assert family.kinship("K", "P") == pytest.approx(1 / 2 * 1 / 4 + 1 / 2 * 1 / 16)
    assert family.at_worst("K", "P") == 1 / 4
    assert sum(path.contribution for path in family.paths("K", "P")) == pytest.approx(5 / 32)


def test_the_worst_choice_names_the_animals_and_no_clutch():
    sire = OneOf({"A": 0.5, "B": 0.5}, name="sire of K1")
    family = Lineage([*FOUNDERS, mixed("P", (sire, "C", 0.5), ("D", "C", 0.5))])
    told = {one.name: (one.role, one.young, one.chosen) for one in _choices(family, "P", "B")}
    assert told == {
        "clutch of P": ("sire", ("P",), "B"),
        "sire of K1": ("sire", ("P",), "B"),
    }


def _choices(family, one, other):
    return family.worst_choice(one, other).choices


def test_what_is_traced_and_counted_is_the_mean_over_the_clutches():
    records = [*FOUNDERS, ("F", "A", "B"), mixed("P", ("A", "C", 0.25), ("F", None, 0.75))]
    family = Lineage(records)
    assert family.traced("P") == 0.25 * 1 + 0.75 * 1 / 2
    assert str(family.generation("P")) == "unknown"
    records[-1] = mixed("P", ("A", "C", 0.25), ("F", "D", 0.75))
    assert str(Lineage(records).generation("P")) == "F1-F2"


def test_a_clutch_nobody_named_is_two_outsiders():
    family = Lineage([*FOUNDERS, mixed("P", ("A", "C", 0.5))])
    assert family.kinship("A", "P") == 1 / 8
    founders = {one[0] for one in alleles_kept(family, ["P"], seed=1, runs=20).by_founder}
    assert Outsider("clutch of P") in founders


def test_genes_drop_from_one_clutch_at_a_time():
    kept = alleles_kept(
        Lineage([*FOUNDERS, mixed("P", ("A", "C", 0.5), ("B", "D", 0.5))]), ["P"], seed=3, runs=400
    )
    assert set(kept.kept) == {2}
    assert dict(kept.by_founder)["A"] == pytest.approx(0.5, abs=0.1)


@pytest.mark.parametrize(
    ("records", "error"),
    [
        ([("P", ClutchOf([("A", "C", 1)]), "C")], HalfAPair),
        ([mixed("P", ("A", "P", 0.5), ("B", "C", 0.5))], OwnParent),
        ([mixed("P", ("A", "Z", 0.5), ("B", "C", 0.5))], UnknownAnimal),
        ([mixed("P", ("A", "C", 1)), ("Q", *mixed("P", ("A", "D", 1))[1:])], NameUsedTwice),
    ],
)
def test_what_cannot_be_is_refused(records, error):
    with pytest.raises(error):
        Lineage([*FOUNDERS, *records])


def test_weights_are_shares():
    with pytest.raises(ImpossibleWeights):
        ClutchOf([("A", "C", 0.75), ("B", "D", 0.5)])
