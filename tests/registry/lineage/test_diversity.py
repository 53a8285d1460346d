"""What a collection keeps of its founders."""

import pytest
from hypothesis import given, settings

from registry.lineage import (
    Lineage,
    Missing,
    OneOf,
    Outsider,
    PairOf,
    PedigreeError,
    UnknownAnimal,
    collection,
)
from tests.registry.lineage.pedigrees import pedigrees

FOUNDERS = [(key, None, None) for key in "ABC"]
HALF = {"A": 0.5, "B": 0.5}


def male_who_laid(first, second):
    """The line of the male who laid: two clutches of C, each sire told or one of two."""
    return Lineage([*FOUNDERS, ("P", first, "C"), ("Q", first, "C"), ("R", second, "C")])


def test_before_the_sire_is_settled():
    figures = collection(male_who_laid(OneOf(HALF, "K1"), OneOf(HALF, "K2")), "ABCPQR")
    assert round(figures.gene_diversity, 3) == 0.799
    assert round(figures.founder_genome_equivalents, 2) == 2.48


def test_once_the_sire_is_settled():
    figures = collection(male_who_laid("A", "A"), "ABCPQR")
    assert figures.gene_diversity == pytest.approx(19 / 24)
    assert round(figures.founder_genome_equivalents, 2) == 2.40


def test_without_the_animal_that_never_bred():
    figures = collection(male_who_laid("A", "A"), "ACPQR")
    assert figures.gene_diversity == pytest.approx(0.72)
    assert round(figures.founder_genome_equivalents, 2) == 1.79


def test_founders_alone_are_as_many_as_they_are():
    figures = collection(Lineage(FOUNDERS), "ABC")
    assert figures.founder_genome_equivalents == pytest.approx(3)
    assert figures.effective_founders == pytest.approx(3)
    assert figures.mean_kinships == {key: pytest.approx(1 / 6) for key in "ABC"}


def test_founders_that_are_dead_count_by_their_descendants():
    figures = collection(male_who_laid("A", "A"), "PQR")
    assert {one.founder: one.share for one in figures.contributions} == {"A": 0.5, "C": 0.5}
    assert figures.effective_founders == pytest.approx(2)


def test_uneven_founders_are_fewer_in_effect():
    records = [*FOUNDERS, ("P", "A", "B"), ("Q", "A", "C"), ("R", "P", "A")]
    figures = collection(Lineage(records), "PQR")
    shares = {one.founder: one.share for one in figures.contributions}
    assert shares == pytest.approx({"A": 7 / 12, "B": 3 / 12, "C": 2 / 12})
    assert [one.founder for one in figures.contributions] == ["A", "B", "C"]
    assert figures.effective_founders == pytest.approx(144 / (49 + 9 + 4))


def test_missing_parents_and_outsiders_count_as_founders():
    sire = OneOf({"A": 0.75}, name="K1")
    figures = collection(Lineage([("A", None, None), ("P", sire, None)]), ["P"])
    shares = {one.founder: one.share for one in figures.contributions}
    assert shares == {Missing("P", "dam"): 0.5, "A": 0.375, Outsider("K1"): 0.125}
    assert str(Missing("P", "dam")) == "unknown dam of P"
    assert figures.traced == 0.375


def test_each_animal_counts_once():
    family = male_who_laid("A", "A")
    assert collection(family, "ABCPQRR") == collection(family, "ABCPQR")


def test_both_sides_of_a_pair_give_a_half():
    pair = PairOf({("A", "B"): 0.5, ("B", "C"): 0.5})
    figures = collection(Lineage([*FOUNDERS, ("P", pair, pair)]), ["P"])
    shares = {one.founder: one.share for one in figures.contributions}
    assert shares == {"A": 0.25, "B": 0.5, "C": 0.25}


@given(pedigrees())
@settings(max_examples=60, deadline=None)
def test_contributions_are_shares_of_the_whole(records):
    family = Lineage(records)
    some = [key for key, _, _ in records][1::2]
    figures = collection(family, some)
    assert sum(one.share for one in figures.contributions) == pytest.approx(1)
    assert figures.mean_kinship == pytest.approx(family.kinship_table(some, some).mean())
    assert figures.traced == pytest.approx(sum(map(family.traced, some)) / len(some))
    # Kin share genes, so no collection holds more founder genomes than its founders count for.
    assert figures.founder_genome_equivalents <= figures.effective_founders + 1e-9


def test_nobody_has_no_figures():
    with pytest.raises(PedigreeError):
        collection(Lineage(FOUNDERS), [])
    with pytest.raises(UnknownAnimal):
        collection(Lineage(FOUNDERS), ["Z"])
