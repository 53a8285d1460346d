"""Source groups: what is believed about the parents of animals that came together."""

import pytest

from registry.lineage import Lineage, PedigreeError, Unseen, source_group


@pytest.mark.parametrize(("sires", "dams"), [(1, 1), (1, 3), (2, 2), (3, 2), (20, 30)])
def test_two_of_a_group_are_related_by_how_many_parents_there_were(sires, dams):
    group = Lineage(source_group("box", ["P", "Q"], sires=sires, dams=dams))
    assert group.kinship("P", "Q") == pytest.approx((1 / sires + 1 / dams) / 8, abs=1e-12)
    assert group.inbreeding()["P"] == 0


def test_one_pair_makes_full_siblings_and_two_pairs_half_of_that():
    assert Lineage(source_group("box", "PQ", sires=1, dams=1)).kinship("P", "Q") == 1 / 4
    assert Lineage(source_group("box", "PQ", sires=2, dams=2)).kinship("P", "Q") == 1 / 8


def test_nothing_said_is_two_and_two_expected_and_one_and_one_at_worst():
    group = Lineage(source_group("box", "PQ"))
    assert group.kinship("P", "Q") == 1 / 8
    assert group.at_worst("P", "Q") == 1 / 4
    assert not group.at_worst("P", "Q").is_bound


def test_at_worst_stays_exact_however_many_animals_came():
    """All unseen founders of one side are alike, so the worst is that there was one of each."""
    members = [f"m{n}" for n in range(16)]
    records = source_group("box", members)
    while len(members) > 1:
        pairs = list(zip(members[::2], members[1::2], strict=True))
        members = [f"{sire}{dam}" for sire, dam in pairs]
        records += [(f"{sire}{dam}", sire, dam) for sire, dam in pairs]
    from_one_pair = Lineage(_of_one_pair(records))
    group = Lineage(records)
    last = members[0]
    assert group.at_worst(last, last) == from_one_pair.kinship(last, last)
    assert not group.at_worst(last, last).is_bound


def _of_one_pair(records):
    young = [record for record in records if not isinstance(record[0], Unseen)]
    first = [(key, "sire", "dam") for key, sire, _ in young if not isinstance(sire, str)]
    return [("sire", None, None), ("dam", None, None), *first, *young[len(first) :]]


def test_an_unseen_founder_may_be_asked_about():
    group = Lineage(source_group("box", "PQ"))
    for number in (1, 2):
        assert group.at_worst("P", Unseen("box", "sire", number)) == 1 / 4


def test_unseen_founders_are_not_traced():
    group = Lineage([*source_group("box", "PQ"), ("W", None, None), ("R", "P", "W")])
    assert group.traced("P") == 0
    assert group.traced("R") == 1 / 2


def test_groups_of_different_names_are_unrelated():
    both = Lineage([*source_group("one", "P", 1, 1), *source_group("two", "Q", 1, 1)])
    assert both.kinship("P", "Q") == both.at_worst("P", "Q") == 0


@pytest.mark.parametrize("count", [0, -1, 1.5])
def test_a_group_has_parents(count):
    with pytest.raises(PedigreeError):
        source_group("box", "P", sires=count)


def test_an_unseen_founder_tells_what_it_is():
    assert str(Unseen("box", "sire", 2)) == "unseen sire 2 of box"
