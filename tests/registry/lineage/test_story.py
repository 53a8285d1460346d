"""The male who laid: figures of one small line, before and after a sire is settled."""

import pytest

from registry.lineage import Lineage, OneOf

FOUNDERS = [("A", None, None), ("B", None, None), ("C", None, None)]


def young_of(first, second):
    return [("P", first, "C"), ("Q", first, "C"), ("R", second, "C")]


@pytest.fixture
def unsettled():
    half = {"A": 0.5, "B": 0.5}
    return Lineage(FOUNDERS + young_of(OneOf(half, "sire K1"), OneOf(half, "sire K2")))


def test_clutchmates_share_the_sire_nobody_saw(unsettled):
    assert unsettled.kinship("P", "Q") == 0.25


def test_young_of_two_clutches_have_sires_drawn_apart(unsettled):
    assert unsettled.kinship("P", "R") == 3 / 16
    assert unsettled.at_worst("P", "R") == 0.25
    assert not unsettled.at_worst("P", "R").is_bound


def test_a_possible_sire_is_half_as_related(unsettled):
    assert unsettled.kinship("A", "P") == 0.125


def test_gene_diversity_of_the_six(unsettled):
    six = list("ABCPQR")
    mean = unsettled.kinship_table(six, six).mean()
    assert round(1 - mean, 3) == 0.799
    assert round(1 / (2 * mean), 2) == 2.48
