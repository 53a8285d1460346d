"""A plan for a line: which pairs to make."""

import pytest

from registry.lineage import Lineage, OneOf, PedigreeError, UnknownAnimal, Wishes, plan_pairs

FOUNDERS = [(key, None, None) for key in "ABCD"]
SIBLINGS = [("P", "A", "B"), ("Q", "A", "B"), ("R", "C", "D"), ("S", "C", "D")]
FAMILIES = Lineage(FOUNDERS + SIBLINGS)


def made(plan):
    """The pairs of a plan, whoever comes first."""
    return {frozenset((pair.one, pair.other)) for pair in plan.pairs}


def pairs(*letters):
    """Pairs written as two letters each."""
    return {frozenset(pair) for pair in letters}


def test_kin_are_not_paired_where_others_can_be():
    plan = plan_pairs(FAMILIES, males="PR", females="QS")
    assert made(plan) == pairs("PS", "RQ")
    assert {pair.expected for pair in plan.pairs} == {0}
    assert plan.unpaired == ()


def test_each_animal_is_in_one_pair_at_most_and_sexes_fit():
    plan = plan_pairs(FAMILIES, males="PQ", females="R", unsexed="S")
    paired = [key for pair in plan.pairs for key in (pair.one, pair.other)]
    assert len(set(paired)) == len(paired) == 4
    assert made(plan) in (pairs("PR", "QS"), pairs("QR", "PS"))


@pytest.mark.parametrize(("below", "count"), [(1 / 4, 0), (1 / 4 + 1e-9, 1)])
def test_inbreeding_stays_below_what_is_wished(below, count):
    wishes = Wishes(below=below, below_at_worst=1)
    assert len(plan_pairs(FAMILIES, males="P", females="Q", wishes=wishes).pairs) == count


@pytest.mark.parametrize(("below", "count"), [(1 / 4, 0), (1 / 4 + 1e-9, 1)])
def test_so_does_inbreeding_at_worst(below, count):
    half = {"A": 0.5, "B": 0.5}
    records = [*FOUNDERS, ("X", OneOf(half), "C"), ("Y", OneOf(half), "C")]
    wishes = Wishes(below=1, below_at_worst=below)
    plan = plan_pairs(Lineage(records), males="X", females="Y", wishes=wishes)
    assert len(plan.pairs) == count
    if count:
        assert (plan.pairs[0].expected, plan.pairs[0].at_worst) == (3 / 16, 1 / 4)


def test_locked_pairs_are_made_whatever_comes_of_them():
    plan = plan_pairs(FAMILIES, males="PR", females="QS", wishes=Wishes(locked=(("P", "Q"),)))
    assert frozenset("PQ") in made(plan)
    assert [pair.locked for pair in plan.pairs if {pair.one, pair.other} == {"P", "Q"}] == [True]
    assert made(plan) == pairs("PQ")
    assert plan.unpaired == ("R", "S")


def test_forbidden_pairs_are_not_made():
    wishes = Wishes(forbidden=(("S", "P"),))
    assert made(plan_pairs(FAMILIES, males="PR", females="QS", wishes=wishes)) == pairs("RQ")


def test_animals_left_out_are_in_no_pair():
    plan = plan_pairs(FAMILIES, males="PR", females="QS", wishes=Wishes(left_out=("P",)))
    assert made(plan) == pairs("RQ")
    assert plan.unpaired == ("S",)


def test_there_are_no_more_pairs_than_wished():
    assert len(plan_pairs(FAMILIES, males="PR", females="QS", wishes=Wishes(most=1)).pairs) == 1


def test_a_common_family_gives_way_to_rare_founders():
    """Of six siblings and a pair of founders, pairing all would crowd out the founders."""
    siblings = [(f"P{n}", "A", "B") for n in range(6)]
    family = Lineage([*FOUNDERS, *siblings])
    males, females = ["C", "P0", "P1", "P2"], ["D", "P3", "P4", "P5"]
    wishes = Wishes(below=1, below_at_worst=1)
    plan = plan_pairs(family, males=males, females=females, wishes=wishes)
    every = dict(zip(males, females, strict=True)).items()
    by_hand = family.kinship_table(males + females, males + females).mean()
    assert plan.figures.mean_kinship < by_hand
    assert {"C", "D"} <= {key for pair in plan.pairs for key in (pair.one, pair.other)}
    compared = plan_pairs(family, males=males, females=females, wishes=wishes, today=every)
    assert compared.today.mean_kinship == pytest.approx(by_hand)
    assert compared.today.pairs == 4


def test_a_plan_keeps_more_than_chance():
    siblings = [(f"{a}{n}", a, b) for a, b in ("AB", "CD") for n in range(4)]
    family = Lineage([*FOUNDERS, *siblings])
    males = [key for key, _, _ in siblings if key[1] in "01"]
    females = [key for key, _, _ in siblings if key[1] in "23"]
    plan = plan_pairs(family, males=males, females=females, seed=4)
    assert plan.figures.inbreeding == 0
    assert plan.random.inbreeding > 0
    assert plan.random.mean_kinship >= plan.figures.mean_kinship - 1e-12
    assert plan.random.pairs == plan.figures.pairs == 4
    assert plan == plan_pairs(family, males=males, females=females, seed=4)


def test_mean_kinship_of_the_young_is_what_many_young_would_have():
    plan = plan_pairs(FAMILIES, males="PR", females="QS")
    young = [
        (f"{pair.one}{pair.other}{n}", pair.one, pair.other)
        for pair in plan.pairs
        for n in range(200)
    ]
    reared = FAMILIES.extended(young)
    keys = [key for key, _, _ in young]
    assert plan.figures.mean_kinship == pytest.approx(
        reared.kinship_table(keys, keys).mean(), abs=2e-3
    )
    assert plan.figures.gene_diversity == 1 - plan.figures.mean_kinship


def test_nobody_to_pair_is_an_empty_plan():
    plan = plan_pairs(FAMILIES, males="P")
    assert (plan.pairs, plan.unpaired, plan.figures.pairs) == ((), ("P",), 0)
    assert plan.figures.gene_diversity is None
    assert plan_pairs(FAMILIES).pairs == ()


@pytest.mark.parametrize(
    ("animals", "wishes"),
    [
        ({"males": "PP"}, Wishes()),
        ({"males": "P", "unsexed": "P"}, Wishes()),
        ({"males": "P", "females": "QS"}, Wishes(locked=(("P", "Q"), ("P", "S")))),
        ({"males": "P", "females": "Q"}, Wishes(locked=(("P", "Q"),), left_out=("P",))),
    ],
)
def test_what_contradicts_itself_is_refused(animals, wishes):
    with pytest.raises(PedigreeError) as caught:
        plan_pairs(FAMILIES, wishes=wishes, **animals)
    assert caught.value.animals == ("P",)


def test_who_has_no_record_is_refused():
    with pytest.raises(UnknownAnimal):
        plan_pairs(FAMILIES, males="P", females="Z")
