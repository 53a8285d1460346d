"""Parents are stated through one door, which refuses what cannot be."""

from datetime import UTC, date, datetime, timedelta

import pytest

from registry.contradictions import (
    LoopOfDescent,
    OtherTaxon,
    OwnParent,
    ParentDead,
    ParentImmature,
    ParentYounger,
    WrongSex,
)
from registry.lifetime import NotOnThatDay
from registry.models import Descent
from registry.parentage import (
    AlreadyStated,
    NamedTwice,
    NotItsStatement,
    PairAndParents,
    ReasonMissing,
    WeightsRefused,
    state_parents,
    withdraw_parents,
)
from tests import make

pytestmark = pytest.mark.django_db
DAY = make.DAY
NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)
ONE = timedelta(days=1)


def state(child, role, *candidates, basis="housed", day=DAY, at=NOON, **more):
    named = [c if isinstance(c, tuple) else (c, 1) for c in candidates]
    return state_parents(child, role, named, basis, day, make.user(), at=at, **more)


def test_a_parent_is_kept_with_its_basis_and_the_day():
    sire, clutch = make.animal(), make.clutch()
    descent = state(clutch, "sire", sire, basis="seen", note="seen on the eggs")
    assert [(c.animal, c.weight) for c in descent.candidates.all()] == [(sire, 1)]
    assert (descent.clutch, descent.basis, descent.entered_at) == (clutch, "seen", NOON)
    assert descent.note == "seen on the eggs"


def test_one_of_several_leaves_room_for_an_outsider():
    descent = state(make.clutch(), "sire", (make.animal(), 0.5), (make.animal(), 0.25))
    assert sum(c.weight for c in descent.candidates.all()) == 0.75


@pytest.mark.parametrize(("rest", "allowed"), [(0.4, True), (0.5, True), (0.51, False)])
def test_weights_come_to_at_most_one(rest, allowed):
    pair = (make.animal(), 0.5), (make.animal(), rest)
    if allowed:
        assert state(make.clutch(), "sire", *pair)
    else:
        with pytest.raises(WeightsRefused, match=r"come to 1.01; together they are at most 1"):
            state(make.clutch(), "sire", *pair)
        assert not Descent.objects.exists()


@pytest.mark.parametrize("weight", [0, -0.1, 1.1])
def test_a_weight_is_a_share(weight):
    with pytest.raises(WeightsRefused, match="above 0 and at most 1"):
        state(make.clutch(), "sire", (make.animal(), weight))


def test_nobody_is_named_twice():
    sire = make.animal("D-01")
    with pytest.raises(NamedTwice, match="D-01 is named twice"):
        state(make.clutch(), "sire", (sire, 0.5), (sire, 0.5))


def test_two_who_could_be_either_are_drawn_as_a_pair():
    x, y = make.animal(), make.animal()
    descent = state(make.clutch(), "pair", (x, y, 0.5), (y, x, 0.5))
    assert {(c.animal, c.mate) for c in descent.candidates.all()} == {(x, y), (y, x)}


def test_a_pair_is_two_animals():
    x = make.animal()
    with pytest.raises(WeightsRefused, match="two different animals"):
        state(make.clutch(), "pair", (x, x, 1))
    with pytest.raises(WeightsRefused, match="two different animals"):
        state(make.clutch(), "pair", x)


def test_an_animal_is_not_its_own_parent():
    animal = make.animal("D-01", born=date(2020, 1, 1))
    with pytest.raises(OwnParent, match="D-01 is given as its own parent"):
        state(animal, "sire", animal)


def test_a_loop_of_descent_is_refused_and_named():
    a, b, c = (make.animal(code) for code in ("A", "B", "C"))
    state(b, "sire", a)
    state(c, "dam", b)
    with pytest.raises(
        LoopOfDescent, match="A, B and C would descend from themselves: A > B > C > A"
    ):
        state(a, "dam", c)
    assert a.descents.count() == 0


def test_young_of_a_clutch_are_no_parents_of_it():
    clutch = make.clutch(found_on=date(2023, 1, 1))
    young = make.young(clutch, "P")
    make.parent(clutch, "dam", make.animal("C"))
    with pytest.raises((ParentYounger, LoopOfDescent)):
        state(clutch, "sire", young)


def test_a_loop_through_a_clutch_is_refused_where_no_birth_is_known():
    a = make.animal("A")
    clutch = make.clutch(laid=None, found_as="independent", began_seen=False, found_on=DAY)
    young = make.young(clutch, "P", born=None, separated_on=DAY)
    make.parent(a, "sire", young)
    with pytest.raises(LoopOfDescent):
        state(clutch, "sire", a)


@pytest.mark.parametrize(
    ("born", "refused"),
    [
        (DAY + ONE, ParentYounger),
        (DAY, ParentImmature),
        (DAY - timedelta(days=364), ParentImmature),
        (DAY - timedelta(days=365), None),
        (DAY - timedelta(days=366), None),
    ],
)
def test_a_parent_was_born_and_mature_when_the_clutch_was_laid(born, refused):
    clutch, parent = make.clutch(found_on=DAY), make.animal(born=born)
    if refused is None:
        assert state(clutch, "dam", parent)
    else:
        with pytest.raises(refused):
            state(clutch, "dam", parent)


@pytest.mark.parametrize(
    ("precision", "allowed"), [("day", False), ("month", False), ("year", True)]
)
def test_an_inexact_birth_refuses_only_what_is_certain(precision, allowed):
    parent = make.animal(born=date(2025, 6, 1), born_precision=precision)
    clutch = make.clutch(found_on=date(2026, 1, 1))
    if allowed:
        assert state(clutch, "dam", parent)
    else:
        with pytest.raises(ParentImmature):
            state(clutch, "dam", parent)


def test_a_parent_born_after_its_child_came_is_refused_where_the_birth_is_unknown():
    child = make.animal(here_since=date(2024, 1, 1))
    parent = make.animal(born=date(2024, 1, 2), here_since=date(2025, 1, 1))
    with pytest.raises(ParentYounger, match="is younger than"):
        state(child, "sire", parent)


@pytest.mark.parametrize(("died", "allowed"), [(-1, False), (0, True), (1, True)])
def test_a_parent_lived_when_the_clutch_was_laid(died, allowed):
    clutch, dam = make.clutch(found_on=DAY), make.animal()
    make.departure(dam, kind="death", day=DAY + timedelta(days=died))
    if allowed:
        assert state(clutch, "dam", dam)
    else:
        with pytest.raises(ParentDead, match="died on 1 Mar 2026"):
            state(clutch, "dam", dam)


@pytest.mark.parametrize(("days", "allowed"), [(31, False), (30, True), (29, True)])
def test_stored_sperm_lets_a_dead_sire_be_a_parent_but_not_a_dead_dam(days, allowed):
    taxon = make.taxon("Storing taxon", stored_sperm_days=30)
    clutch = make.clutch(found_on=DAY, taxon=taxon)
    sire, dam = make.animal(taxon=taxon), make.animal(taxon=taxon)
    for one in (sire, dam):
        make.departure(one, kind="death", day=DAY - timedelta(days=days))
    if allowed:
        assert state(clutch, "sire", sire)
    else:
        with pytest.raises(ParentDead):
            state(clutch, "sire", sire)
    with pytest.raises(ParentDead):
        state(clutch, "dam", dam)


def test_an_animal_sold_before_the_laying_is_not_refused():
    clutch, sire = make.clutch(found_on=DAY), make.animal()
    make.departure(sire, kind="sale", day=DAY - timedelta(days=90))
    assert state(clutch, "sire", sire)


@pytest.mark.parametrize(("role", "sex"), [("sire", "female"), ("dam", "male")])
def test_a_strong_sex_rules_a_role_out_and_a_weak_one_does_not(role, sex):
    strong, weak = make.animal(sex=sex, basis="dna"), make.animal(sex=sex, basis="looks")
    assert state(make.clutch(), role, weak)
    with pytest.raises(WrongSex, match=f"is {sex} .DNA"):
        state(make.clutch(), role, strong)


def test_a_contradicted_sex_rules_nothing_out():
    both = make.animal(sex="female", basis="dna")
    make.finding(both, sex="male", basis="calling")
    assert state(make.clutch(), "sire", both)


def test_one_seen_as_a_dam_is_no_sire():
    dam = make.animal()
    state(make.clutch(), "dam", dam, basis="seen")
    with pytest.raises(WrongSex, match="parent of young"):
        state(make.clutch(), "sire", dam)


def test_a_parent_of_a_taxon_that_cannot_cross_is_refused():
    stranger = make.animal(taxon=make.taxon("Epipedobates anthonyi"))
    with pytest.raises(OtherTaxon, match="Epipedobates anthonyi"):
        state(make.clutch(), "sire", stranger)


def test_a_parent_of_a_taxon_that_can_cross_is_taken():
    kin = make.animal(taxon=make.taxon("Dendrobates leucomelas"))
    assert state(make.clutch(), "sire", kin)


def test_a_second_statement_for_one_role_is_refused_until_it_names_the_first():
    clutch, a, b = make.clutch(), make.animal("A"), make.animal("B")
    first = state(clutch, "sire", a)
    with pytest.raises(AlreadyStated, match=r"sire of K.*: A"):
        state(clutch, "sire", b)
    with pytest.raises(ReasonMissing):
        state(clutch, "sire", b, replaces=first, why=" ")
    second = state(clutch, "sire", b, replaces=first, why="B was heard calling.")
    assert [c.animal for c in second.candidates.all()] == [b]
    assert [c.animal for c in first.candidates.all()] == [a]
    assert second.replaces == first
    assert list(Descent.objects.current()) == [second]


def test_a_statement_corrected_already_cannot_be_corrected_again():
    clutch, a, b = make.clutch(), make.animal(), make.animal()
    first = state(clutch, "sire", a)
    state(clutch, "sire", b, replaces=first, why="B called.")
    with pytest.raises(NotItsStatement):
        state(clutch, "sire", a, replaces=first, why="No, A.")


def test_a_correction_is_of_the_same_child():
    first = state(make.clutch(), "sire", make.animal())
    with pytest.raises(NotItsStatement):
        state(make.clutch(), "sire", make.animal(), replaces=first, why="A slip.")


def test_parents_are_drawn_as_a_pair_or_stated_each_for_itself():
    clutch, x, y = make.clutch(), make.animal(), make.animal()
    pair = state(clutch, "pair", (x, y, 0.5), (y, x, 0.5))
    with pytest.raises(PairAndParents):
        state(clutch, "sire", x)
    sire = state(clutch, "sire", x, replaces=pair, why="X called.")
    state(clutch, "dam", y)
    with pytest.raises(PairAndParents):
        state(clutch, "pair", (x, y, 1), replaces=sire, why="Not sure after all.")


def test_a_refused_correction_leaves_the_first_statement_in_force():
    clutch, a = make.clutch(), make.animal()
    first = state(clutch, "sire", a)
    with pytest.raises(WrongSex):
        state(clutch, "sire", make.animal(sex="female"), replaces=first, why="A guess.")
    assert list(Descent.objects.current()) == [first]


def test_a_mistaken_dam_may_be_stated_as_the_sire_in_the_same_correction():
    clutch, a = make.clutch(), make.animal()
    slip = state(clutch, "dam", a, basis="seen")
    assert state(clutch, "sire", a, basis="seen", replaces=slip, why="Wrong box ticked.")


def test_a_withdrawn_statement_makes_room_for_another():
    clutch, a, b = make.clutch(), make.animal(), make.animal()
    first = state(clutch, "sire", a)
    with pytest.raises(ReasonMissing):
        withdraw_parents(first, make.user(), "")
    withdraw_parents(first, make.user(), "A was never in there.")
    assert state(clutch, "sire", b)


@pytest.mark.parametrize(("day", "allowed"), [(9, True), (10, True), (11, False)])
def test_nothing_is_stated_ahead(day, allowed):
    if allowed:
        assert state(make.clutch(), "sire", make.animal(), day=date(2026, 3, day))
    else:
        with pytest.raises(NotOnThatDay):
            state(make.clutch(), "sire", make.animal(), day=date(2026, 3, day))
