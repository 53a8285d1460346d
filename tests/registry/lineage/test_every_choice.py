"""In any small pedigree the engine says what taking every choice in turn says."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings

from registry.lineage import ClutchOf, Lineage, descent, table, worst, worst_table
from tests.registry.lineage.every_choice import (
    certain,
    drawn,
    kinships,
    outcomes,
    tabular,
    who,
)
from tests.registry.lineage.pedigrees import pedigrees

EXACT = {"abs": 1e-12, "rel": 0}


@given(pedigrees())
@settings(max_examples=150, deadline=None)
def test_both_figures_are_those_of_every_choice(records):
    keys = [key for key, _, _ in records]
    expected, at_worst = kinships(records, keys)
    family = Lineage(records)
    found, bounds = family.at_worst_table(keys, keys)
    assert family.kinship_table(keys, keys) == pytest.approx(expected, **EXACT)
    assert found == pytest.approx(at_worst, **EXACT)
    assert not bounds.any()
    assert list(family.inbreeding().values()) == pytest.approx(2 * np.diag(expected) - 1, **EXACT)


@given(pedigrees())
@settings(max_examples=40, deadline=None)
def test_one_question_at_a_time_gives_the_same(records):
    keys = [key for key, _, _ in records]
    expected, at_worst = kinships(records, keys)
    for column, other in enumerate(keys):
        family = Lineage(records)
        assert family.at_worst(keys[0], other) == pytest.approx(at_worst[0, column], **EXACT)
        assert family.kinship(keys[0], other) == pytest.approx(expected[0, column], **EXACT)


@given(pedigrees(names=(True,)))
@settings(max_examples=60, deadline=None)
def test_the_worst_choice_gives_the_figure(records):
    one, other = records[0][0], records[-1][0]
    found = Lineage(records).worst_choice(one, other)
    assert found.attained == found.figure == Lineage(records).at_worst(one, other)
    assert _highest_with(found.choices, records, one, other) == pytest.approx(found.figure, **EXACT)


def _highest_with(told, records, one, other):
    """The highest kinship over all choices in which what is told holds."""
    choices = drawn(records)
    highest = 0.0
    for way in product(*map(outcomes, choices.values())):
        chosen = dict(zip(choices, (found for found, _ in way), strict=True))
        if all(_holds(made, choices[made.name], chosen) for made in told):
            at, kinship = tabular(certain(records, chosen))
            highest = max(highest, kinship[at[one], at[other]])
    return highest


def _holds(made, choice, chosen):
    """Whether what is told of one choice holds."""
    found = [who(choice, side, chosen) for side in (0, 1)]
    found = [None if isinstance(one, tuple) else one for one in found]
    if made.role == "pair":
        return tuple(found) == made.chosen
    return made.chosen == found[made.role == "dam" and isinstance(choice, ClutchOf)]


@given(pedigrees())
@settings(max_examples=50, deadline=None)
def test_columns_of_gene_flow_and_the_tabular_method_agree(records):
    keys = [key for key, _, _ in records]
    told = []
    for wide in (0, 1000):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(descent, "WIDE", wide)
            patch.setattr(descent, "COLUMNS_AT_ONCE", 2)
            told.append(Lineage(records).kinship_table(keys, keys))
    assert told[0] == pytest.approx(told[1], **EXACT)


@given(pedigrees())
@settings(max_examples=50, deadline=None)
def test_looking_branch_by_branch_finds_the_same_as_taking_all_apart(records):
    keys = [key for key, _, _ in records]
    at_worst = kinships(records, keys)[1]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(worst, "CELLS_AT_ONCE", 0)
        patch.setattr(worst_table, "CELLS_AT_ONCE", 0)
        assert Lineage(records).at_worst_table(keys, keys)[0] == pytest.approx(at_worst, **EXACT)


@given(pedigrees())
@settings(max_examples=50, deadline=None)
def test_the_bound_takes_the_best_at_each_step_and_no_choice_exceeds_it(records):
    keys = [key for key, _, _ in records]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(worst, "MOST_CHOICES", 0)
        patch.setattr(worst_table, "MOST_CHOICES", 0)
        family = Lineage(records)
        bound, told = family.at_worst_table(keys, keys)
        single = family.at_worst(keys[0], keys[-1])
    expected, at_worst = kinships(records, keys)
    assert (bound >= at_worst - 1e-12).all()
    assert (told == (bound > expected + 1e-12)).all()
    assert (single, single.is_bound) == (pytest.approx(bound[0, -1], **EXACT), told[0, -1])
    by_hand = _bound(family)
    points = [family.pedigree.index[key] for key in keys]
    assert bound == pytest.approx(
        np.array([[by_hand(one, other) for other in points] for one in points]), **EXACT
    )


def _bound(family):
    """The recursive bound, as the sentence says it: youngest first, best candidate each step."""
    pedigree = family.pedigree
    age = {}

    def level(point):
        if point not in age:
            age[point] = 1 + max(map(level, above(point)), default=-1)
        return age[point]

    def above(point):
        draw = pedigree.draws.get(point)
        if draw is None:
            return [one for one in (pedigree.sire[point], pedigree.dam[point]) if one >= 0]
        return [*draw.candidates, *pedigree.draws[draw.partner].candidates]

    def bound(one, other):
        if min(one, other) < 0:
            return 0.0
        one, other = sorted((one, other), key=lambda p: (level(p), p in pedigree.draws, p))
        draw = pedigree.draws.get(other)
        if draw is None and one == other:
            return (1 + bound(pedigree.sire[one], pedigree.dam[one])) / 2
        if draw is None:
            return (bound(one, pedigree.sire[other]) + bound(one, pedigree.dam[other])) / 2
        if one == other:
            return max((bound(own, own) for own in draw.candidates), default=0.5)
        if one == draw.partner:
            return max((bound(own, mate) for own, mate, _ in draw.pairs), default=0.0)
        return max((bound(one, own) for own in draw.candidates), default=0.0)

    return bound


@given(pedigrees())
@settings(max_examples=25, deadline=None)
def test_mean_kinship_is_the_mean_of_the_table(records):
    family = Lineage(records)
    points = family.pedigree.points([key for key, _, _ in records][::2])
    by_table = table.kinship_table(family.descent, points, points).mean(axis=1)
    assert table.mean_kinship(family.descent, points) == pytest.approx(by_table, **EXACT)
