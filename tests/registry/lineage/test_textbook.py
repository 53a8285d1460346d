"""Figures that every textbook has: systems of mating by their recurrences, and cousins."""

import pytest

from registry.lineage import Lineage

GENERATIONS = 10


def recurrence(step, first=(0.0, 0.0)):
    """F of each generation by a rule that takes F of the last and of the one before."""
    inbreeding = list(first)
    while len(inbreeding) <= GENERATIONS + 1:
        inbreeding.append(step(inbreeding[-1], inbreeding[-2]))
    return inbreeding


def test_full_siblings_mated_again_and_again():
    """Wright (1921): F' = (1 + 2 F + F of before) / 4."""
    records = [("m0", None, None), ("f0", None, None)]
    for born in range(1, GENERATIONS + 2):
        older = f"m{born - 1}", f"f{born - 1}"
        records += [(f"m{born}", *older), (f"f{born}", *older)]
    inbreeding = Lineage(records).inbreeding()
    expected = recurrence(lambda last, before: (1 + 2 * last + before) / 4)
    assert [inbreeding[f"m{born}"] for born in range(GENERATIONS + 2)] == expected[:12]
    assert expected[2:6] == [0.25, 0.375, 0.5, 0.59375]


def test_half_siblings_mated_again_and_again():
    """Wright (1921): F' = (1 + 6 F + F of before) / 8, the females half-sisters of each other."""
    females = [f"f0.{n}" for n in range(GENERATIONS + 2)]
    male, records = "m0", [("m0", None, None), *((one, None, None) for one in females)]
    told = []
    for born in range(1, GENERATIONS + 2):
        young = [f"f{born}.{n}" for n in range(len(females) - 1)]
        records.append((f"m{born}", male, females[0]))
        records += [(one, male, dam) for one, dam in zip(young, females[1:], strict=True)]
        told.append(f"m{born}")
        male, females = f"m{born}", young
    inbreeding = Lineage(records).inbreeding()
    expected = recurrence(lambda last, before: (1 + 6 * last + before) / 8)
    assert [inbreeding[one] for one in told] == pytest.approx(expected[1:12], abs=1e-12)
    assert expected[2] == 0.125


def test_young_mated_to_the_younger_parent():
    """Wright (1921): as for full siblings."""
    records = [("x0", None, None), ("x1", None, None)]
    records += [(f"x{n}", f"x{n - 2}", f"x{n - 1}") for n in range(2, GENERATIONS + 3)]
    inbreeding = Lineage(records).inbreeding()
    expected = recurrence(lambda last, before: (1 + 2 * last + before) / 4)
    assert [inbreeding[f"x{n}"] for n in range(1, GENERATIONS + 3)] == expected[:12]


def test_young_mated_back_to_one_sire():
    """F' = (1 + 2 F) / 4, towards a half, for a sire that is not inbred."""
    records = [("sire", None, None), ("x0", None, None)]
    records += [(f"x{n}", "sire", f"x{n - 1}") for n in range(1, GENERATIONS + 2)]
    inbreeding = Lineage(records).inbreeding()
    expected = recurrence(lambda last, before: (1 + 2 * last) / 4)
    assert [inbreeding[f"x{n}"] for n in range(1, GENERATIONS + 2)] == expected[1:12]
    assert expected[2:5] == [0.25, 0.375, 0.4375]


@pytest.mark.parametrize(("degree", "kinship"), [(1, 1 / 16), (2, 1 / 64), (3, 1 / 256)])
def test_cousins(degree, kinship):
    records = [("A", None, None), ("B", None, None), ("l0", "A", "B"), ("r0", "A", "B")]
    for n in range(1, degree + 1):
        records += [(f"l{n}", f"l{n - 1}", None), (f"r{n}", f"r{n - 1}", None)]
    assert Lineage(records).kinship(f"l{degree}", f"r{degree}") == kinship


def test_double_first_cousins():
    founders = [(key, None, None) for key in "ABCD"]
    siblings = [("P", "A", "B"), ("Q", "A", "B"), ("R", "C", "D"), ("S", "C", "D")]
    family = Lineage([*founders, *siblings, ("X", "P", "R"), ("Y", "Q", "S")])
    assert family.kinship("X", "Y") == 1 / 8


def test_near_kin():
    family = Lineage(
        [*((key, None, None) for key in "ABC"), ("P", "A", "B"), ("Q", "A", "B"), ("R", "A", "C")]
    )
    assert family.kinship("A", "A") == 1 / 2
    assert family.kinship("A", "B") == 0
    assert family.kinship("A", "P") == 1 / 4
    assert family.kinship("P", "Q") == 1 / 4
    assert family.kinship("P", "R") == 1 / 8


def test_a_table_has_the_rows_and_columns_asked_for():
    family = Lineage([("P", "A", None), ("A", None, None), ("B", None, None)])
    assert family.kinship_table(["P", "A"], ["B", "P", "P"]).tolist() == [
        [0.0, 0.5, 0.5],
        [0.0, 0.25, 0.25],
    ]
    assert family.kinship_table([], ["A"]).shape == (0, 1)
    assert family.kinship_table(["A"], []).shape == (1, 0)
