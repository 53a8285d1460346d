"""Alleles dropped down the pedigree by chance, and which of them a collection keeps."""

import pytest
from hypothesis import given, settings

from registry.lineage import (
    Lineage,
    Missing,
    OneOf,
    Outsider,
    PairOf,
    PedigreeError,
    alleles_kept,
    genedrop,
)
from tests.registry.lineage.pedigrees import pedigrees

FOUNDERS = [("A", None, None), ("B", None, None)]


def young(count):
    """So many young of A and B."""
    return [(f"P{n}", "A", "B") for n in range(count)]


def test_living_founders_keep_all_they_have():
    kept = alleles_kept(Lineage(FOUNDERS + young(3)), ["A", "B", "P0"], seed=1, runs=50)
    assert set(kept.kept) == {4}
    assert kept.share == 1
    assert dict(kept.by_founder) == {"A": 2, "B": 2}


def test_one_young_has_half_of_its_parents_alleles():
    kept = alleles_kept(Lineage(FOUNDERS + young(1)), ["P0"], seed=1, runs=50)
    assert (kept.at_start, kept.mean, kept.share) == (4, 2, 0.5)


@pytest.mark.parametrize("count", [2, 3, 5])
def test_n_young_keep_one_allele_less_one_in_two_to_the_n(count):
    """Each of the four alleles misses all n young with probability (1/2)^n."""
    keys = [f"P{n}" for n in range(count)]
    kept = alleles_kept(Lineage(FOUNDERS + young(count)), keys, seed=7, runs=4000)
    assert kept.mean == pytest.approx(4 * (1 - 0.5**count), abs=0.06)


@given(pedigrees())
@settings(max_examples=15, deadline=None)
def test_an_animal_has_two_alleles_unless_they_are_one_by_descent(records):
    """So one animal keeps 2 - F on average, which a drop must come near."""
    family = Lineage(records)
    key = records[0][0]
    kept = alleles_kept(family, [key], seed=3, runs=3000)
    assert kept.mean == pytest.approx(2 - family.inbreeding()[key], abs=0.06)


@given(pedigrees())
@settings(max_examples=15, deadline=None)
def test_two_animals_share_alleles_as_their_kinship_says(records):
    """Alleles of a and b that are one, over the four pairings, are the kinship on average."""
    family = Lineage(records)
    one, other = records[0][0], records[-1][0]
    drop = genedrop._Drop(family, family.pedigree.points([one, other]))
    alleles = drop.alleles(genedrop.np.random.default_rng(5), 3000)[drop.members]
    same = (alleles[0][:, None] == alleles[1][None, :]).mean()
    assert same == pytest.approx(family.kinship(one, other), abs=0.04)


def test_a_parent_is_drawn_anew_in_every_run():
    sire = OneOf({"A": 0.25, "B": 0.5}, name="K")
    kept = alleles_kept(Lineage([*FOUNDERS, ("P", sire, None)]), ["P"], seed=2, runs=4000)
    shares = dict(kept.by_founder)
    assert shares["A"] == pytest.approx(0.25, abs=0.05)
    assert shares["B"] == pytest.approx(0.5, abs=0.05)
    assert shares[Outsider("K")] == pytest.approx(0.25, abs=0.05)
    assert shares[Missing("P", "dam")] == 1


def test_the_two_sides_of_a_pair_are_drawn_together():
    pair = PairOf({("A", "B"): 0.5, ("B", "A"): 0.5})
    kept = alleles_kept(Lineage([*FOUNDERS, ("P", pair, pair)]), ["P"], seed=2, runs=200)
    assert dict(kept.by_founder) == {"A": 1, "B": 1}


def test_the_same_seed_and_runs_give_the_same():
    family = Lineage(FOUNDERS + young(4))
    drops = [alleles_kept(family, ["P0", "P1"], seed=s, runs=250) for s in (1, 1, 2)]
    assert drops[0] == drops[1]
    assert drops[0].kept != drops[2].kept
    assert len(drops[0].kept) == 250


def test_progress_is_told_up_to_the_last_run():
    told = []
    family = Lineage(FOUNDERS + young(1))
    alleles_kept(family, ["P0"], seed=1, runs=250, progress=lambda *done: told.append(done))
    assert told == [(100, 250), (200, 250), (250, 250)]


@pytest.mark.parametrize(("keys", "runs"), [([], 10), (["A"], 0)])
def test_a_drop_needs_animals_and_runs(keys, runs):
    with pytest.raises(PedigreeError):
        alleles_kept(Lineage(FOUNDERS), keys, seed=1, runs=runs)
