"""Every rule on who may live together holds at the door, on the page and in the administration."""

from datetime import date, timedelta

import pytest

from registry.models import Grouping, Stay
from registry.placement import Placement
from tests import make
from tests.registry.ways import WAYS

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
DAY = make.DAY
ONE = timedelta(days=1)
AROUND = pytest.mark.parametrize("days", [-1, 0, 1], ids=["day before", "the day", "day after"])


@pytest.fixture(params=WAYS)
def refuses(request, client):
    """Return a question: what one of the ways refuses of a move, `{sentence: level}`."""
    user = make.user(superuser=True, staff=True)
    client.force_login(user)
    return lambda placement: WAYS[request.param](client, placement, user)


def into(enclosure, *animals, day=DAY, **more):
    return Placement(day=day, enclosure=enclosure, animals=animals, **more)


def joined(*residents, mover, day=DAY):
    """Return the move of one animal to others."""
    tank = make.enclosure()
    for one in residents:
        make.stay(one, tank)
    return into(tank, mover, day=day)


def test_a_move_nothing_stands_against_is_done_every_way(refuses):
    animal, tank = make.animal(), make.enclosure()
    before = make.stay(animal, make.enclosure())
    assert refuses(into(tank, animal)) == {}
    assert animal.stays.current().get(end__isnull=True).enclosure == tank
    before.refresh_from_db()
    assert before.end == DAY


@AROUND
def test_only_an_animal_that_has_come_is_moved(refuses, days):
    animal = make.animal("D-01", here_since=DAY)
    found = refuses(into(make.enclosure(), animal, day=DAY + days * ONE))
    assert found == ({"D-01 is here only from 2 Mar 2026.": "stop"} if days < 0 else {})


@AROUND
def test_only_an_animal_that_lives_is_moved(refuses, days):
    animal = make.animal("D-01")
    make.departure(animal, kind="death", day=DAY)
    on = DAY + days * ONE
    found = refuses(into(make.enclosure(), animal, day=on, until=DAY if days < 0 else None))
    assert found == ({"D-01 died on 2 Mar 2026.": "stop"} if days >= 0 else {})


@AROUND
def test_only_an_animal_that_has_not_left_is_moved(refuses, days):
    animal = make.animal("D-01")
    make.departure(animal, kind="sale", day=DAY)
    on = DAY + days * ONE
    found = refuses(into(make.enclosure(), animal, day=on, until=DAY if days < 0 else None))
    assert found == ({"D-01 left on 2 Mar 2026 (sale).": "stop"} if days >= 0 else {})


@AROUND
def test_young_are_moved_from_the_day_they_left_their_clutch(refuses, days):
    young = make.young(make.clutch(found_on=date(2025, 6, 1)), "P", separated_on=DAY)
    found = refuses(into(make.enclosure(), young, day=DAY + days * ONE))
    assert bool(found) is (days < 0)


@AROUND
def test_an_animal_is_in_one_place_at_a_time(refuses, days):
    animal = make.animal("D-01")
    make.stay(animal, make.enclosure(), end=DAY)
    make.stay(animal, make.enclosure("E11"), start=DAY)
    found = refuses(into(make.enclosure(), animal, day=DAY - 9 * ONE, until=DAY + days * ONE))
    assert bool(found) is (days > 0)
    if found:
        ((text, level),) = found.items()
        assert text.startswith("D-01 is entered in E11 from 2 Mar 2026; say until when")
        assert level == "stop"


def test_a_clutch_is_in_one_place_at_a_time(refuses):
    clutch, tank = make.clutch("K1", found_on=DAY), make.enclosure()
    make.stay(clutch, make.enclosure("E11"), start=DAY + ONE)
    found = refuses(Placement(day=DAY, enclosure=tank, clutches=(clutch,)))
    assert list(found.values()) == ["stop"]
    assert not Stay.objects.filter(enclosure=tank).exists()


def test_taxa_that_could_cross_never_meet(refuses):
    near = make.animal(taxon=make.taxon("Dendrobates leucomelas"))
    found = refuses(joined(make.animal(), mover=near))
    assert found["Dendrobates leucomelas and Dendrobates tinctorius could cross."] == "stop"


def test_taxa_of_one_genus_that_are_said_not_to_cross_only_ask(refuses):
    apart = make.taxon("Dendrobates leucomelas", crosses_with_genus=False)
    found = refuses(joined(make.animal(), mover=make.animal(taxon=apart)))
    assert list(found.values()) == ["ask"]


def test_taxa_named_as_crossing_never_meet(refuses):
    far = make.taxon("Epipedobates anthonyi")
    far.crosses_with.add(make.taxon())
    found = refuses(joined(make.animal(), mover=make.animal(taxon=far)))
    assert "stop" in found.values()


def test_a_clutch_of_a_crossing_taxon_is_not_put_among_them(refuses):
    tank = make.enclosure()
    make.stay(make.animal(), tank)
    clutch = make.clutch(taxon=make.taxon("Dendrobates leucomelas"), found_on=DAY)
    found = refuses(Placement(day=DAY, enclosure=tank, clutches=(clutch,)))
    assert "stop" in found.values()


@pytest.mark.parametrize(("both", "found"), [(False, ["ask"]), (True, [])])
def test_other_taxa_live_together_for_a_reason_or_where_both_allow_it(refuses, both, found):
    mixing = make.taxon("Epipedobates anthonyi", may_mix_taxa=True)
    own = make.taxon("Phyllobates bicolor", may_mix_taxa=both)
    move = joined(make.animal(taxon=mixing), mover=make.animal(taxon=own))
    assert list(refuses(move).values()) == found


@pytest.mark.parametrize(("allowed", "found"), [(False, ["ask"]), (True, [])])
def test_two_localities_live_together_for_a_reason_or_where_the_taxon_allows_it(
    refuses, allowed, found
):
    taxon = make.taxon("Mantella aurantiaca", grouping="group", may_mix_localities=allowed)
    one = make.animal(taxon=taxon, locality=make.locality("Grey Mill", taxon))
    other = make.animal(taxon=taxon, locality=make.locality("Alder Ford", taxon))
    assert list(refuses(joined(one, mover=other)).values()) == found


def test_an_unknown_locality_differs_from_a_known_one(refuses):
    known, unknown = make.animal(sex="male"), make.animal(sex="female", locality=None)
    found = refuses(joined(known, mover=unknown))
    assert found == {
        "Dendrobates tinctorius of Grey Mill and unknown locality would live together.": "ask"
    }


RIVALS = [
    ("pair", "male", "male", "ask"),
    ("pair", "female", "female", "ask"),
    ("pair", "male", "female", None),
    ("single", "male", "female", "ask"),
    ("one male, females", "male", "male", "ask"),
    ("one male, females", "female", "female", None),
    ("one female, males", "female", "female", "ask"),
    ("one female, males", "male", "male", None),
    ("group", "male", "male", None),
]


@pytest.mark.parametrize(("grouping", "one", "other", "level"), RIVALS)
def test_rivals_live_together_only_for_a_reason(refuses, grouping, one, other, level):
    taxon = make.taxon("Phyllobates bicolor", grouping=Grouping(grouping))
    a, b = make.animal("A", taxon=taxon, sex=one), make.animal("B", taxon=taxon, sex=other)
    found = refuses(joined(a, mover=b))
    assert list(found.values()) == ([level] if level else [])


def test_rivals_by_looks_alone_are_only_noted(refuses):
    a, b = make.animal("A", sex="male"), make.animal("B", sex="male", basis="looks")
    assert refuses(joined(a, mover=b)) == {}


@AROUND
def test_young_are_no_rivals_until_they_are_mature(refuses, days):
    older = make.animal("A", sex="male")
    younger = make.animal("B", sex="male", born=DAY - 365 * ONE, here_since=DAY - 300 * ONE)
    found = refuses(joined(older, mover=younger, day=DAY + days * ONE))
    assert list(found.values()) == ([] if days < 0 else ["ask"])


def test_two_unsexed_of_a_pair_taxon_are_only_noted_and_three_are_asked_about(refuses):
    a, b, c = (make.animal(code) for code in "ABC")
    move = joined(a, mover=b)
    assert refuses(move) == {}
    found = refuses(into(move.enclosure, c, day=DAY + ONE))
    assert list(found.values()) == ["ask"]


def family():
    """Return two full siblings and a half-sibling of theirs, all adult, of a group taxon."""
    taxon = make.taxon("Ranitomeya variabilis", grouping="group")
    sire, dam, other = (make.animal(taxon=taxon) for _ in range(3))
    first = make.clutch(taxon=taxon, found_on=date(2023, 1, 1))
    second = make.clutch(taxon=taxon, found_on=date(2023, 2, 1))
    for clutch, mother in ((first, dam), (second, other)):
        make.parent(clutch, "sire", sire)
        make.parent(clutch, "dam", mother)
    more = {"locality": make.locality(taxon=taxon)}
    young = [make.young(first, "P", **more), make.young(first, "Q", **more)]
    return *young, make.young(second, "R", **more)


def test_kin_live_together_for_a_reason_and_are_never_stopped(refuses):
    p, _, r = family()
    found = refuses(joined(p, mover=r))
    assert found == {
        "Young of P and R would have F 0.125 expected (as related as half-siblings), "
        "0.125 at worst.": "ask"
    }


def test_full_siblings_are_asked_about(refuses):
    p, q, _ = family()
    ((text, level),) = refuses(joined(p, mover=q)).items()
    assert "0.25 expected (as related as full siblings, or parent and young)" in text
    assert level == "ask"


def test_kin_of_one_sex_can_have_no_young(refuses):
    p, q, _ = family()
    for one in (p, q):
        make.finding(one, sex="male")
    assert refuses(joined(p, mover=q)) == {}


@AROUND
def test_young_leave_their_parents_by_their_day(refuses, days):
    parent = make.animal("M", sex="male")
    clutch = make.clutch(found_on=DAY - 280 * ONE)
    make.parent(clutch, "sire", parent)
    young = make.young(clutch, "P", days=100, locality=make.locality())
    assert young.must_leave_parents() == DAY
    found = refuses(joined(parent, mover=young, day=DAY + days * ONE))
    told = {"P should have left M by 2 Mar 2026.": "ask"}
    assert found == (told if days >= 0 else {})


@pytest.mark.parametrize(("room", "asked"), [(1, True), (2, False), (3, False)])
def test_an_enclosure_holds_no_more_than_it_has_room_for(refuses, room, asked):
    tank = make.enclosure("E10", room_for=room)
    make.stay(make.animal(sex="male"), tank)
    found = refuses(into(tank, make.animal(sex="female")))
    assert found == ({"E10 has room for 1; 2 would be in it.": "ask"} if asked else {})


@AROUND
def test_the_rules_look_at_each_later_day_already_planned(refuses, days):
    tank = make.enclosure()
    make.stay(make.animal("B", sex="male"), tank, start=DAY + 9 * ONE)
    mover = make.animal("A", sex="male")
    make.stay(mover, make.enclosure())
    found = refuses(into(tank, mover, until=DAY + (9 + days) * ONE))
    assert list(found.values()) == (["ask"] if days > 0 else [])


def test_residents_are_not_moved_in_with_a_later_comer_unseen(refuses):
    tank = make.enclosure()
    make.stay(make.animal("B", sex="male"), tank, start=DAY, end=DAY)
    found = refuses(into(tank, make.animal("A", sex="male")))
    assert list(found.values()) == ["ask"]
