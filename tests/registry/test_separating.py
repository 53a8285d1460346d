"""Young leave their clutch as animals, all named or none made."""

from datetime import UTC, date, datetime

import pytest

from registry.codes import CodesTaken
from registry.inheriting import locality_of, places_of, possible_pairs, source_code_of
from registry.lifetime import NotOnThatDay
from registry.models import Animal, StageCount
from registry.objections import ReasonsMissing, Stopped
from registry.separating import Separation, SeparationRefused, take_out
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
NOON = datetime(2026, 3, 20, 12, tzinfo=UTC)


def day(n):
    return date(2026, 3, n)


def separation(clutch, codes=("P", "Q"), on=10, **more):
    more.setdefault("enclosure", make.enclosure())
    return Separation(clutch=clutch, day=day(on), codes=tuple(codes), **more)


def take(clutch, codes=("P", "Q"), on=10, **more):
    return take_out(separation(clutch, codes, on, **more), by=make.user(), at=NOON)


def metamorphs(count=None):
    """Return a clutch found as froglets on 2 March, laid in December."""
    clutch = make.clutch(found_as="metamorphosed", laid=None)
    StageCount.objects.create(clutch=clutch, stage="metamorphosed", day=day(2), count=count)
    return clutch


def test_young_become_animals_of_their_clutch_and_are_placed():
    clutch, tank = metamorphs(), make.enclosure("E5")
    p, q = take(clutch, enclosure=tank, born=day(2), source_code="C", locality=make.locality())
    assert (p.code, q.code) == ("P", "Q")
    assert (p.clutch, p.taxon, p.separated_on) == (clutch, clutch.taxon, day(10))
    assert (p.born, p.source_code, p.locality) == (day(2), "C", make.locality())
    assert p.stays.get().enclosure == q.stays.get().enclosure == tank
    assert p in Animal.objects.here(day(10))
    assert p not in Animal.objects.here(day(9))


def test_a_refused_move_makes_no_animals():
    tank = make.enclosure(room_for=1)
    with pytest.raises(ReasonsMissing, match="has room for 1"):
        take(metamorphs(), enclosure=tank)
    near = make.animal(taxon=make.taxon("Dendrobates leucomelas"))
    make.stay(near, tank)
    with pytest.raises(Stopped, match="could cross"):
        take(metamorphs(), enclosure=tank)
    assert not Animal.objects.filter(code="P").exists()


@pytest.mark.parametrize(
    ("codes", "why"),
    [(["P", "p"], "given twice"), ([], "from 1 to 500"), (["="], "cannot be a code")],
)
def test_codes_are_given_once(codes, why):
    with pytest.raises(SeparationRefused, match=why):
        take(metamorphs(), codes)


def test_codes_in_use_are_refused_all_together():
    make.animal("Q")
    with pytest.raises(CodesTaken, match="Q is a code on record already"):
        take(metamorphs())
    assert not Animal.objects.filter(code="P").exists()


@pytest.mark.parametrize(("count", "allowed"), [(1, False), (2, True), (3, True), (None, True)])
def test_no_more_leave_than_were_counted(count, allowed):
    clutch = metamorphs(count)
    if allowed:
        assert take(clutch)
    else:
        with pytest.raises(SeparationRefused, match="At most 1 are left"):
            take(clutch)


@pytest.mark.parametrize(("on", "allowed"), [(1, False), (2, True), (20, True), (21, False)])
def test_young_leave_between_the_finding_and_today(on, allowed):
    if allowed:
        assert take(metamorphs(), on=on)
    else:
        with pytest.raises(NotOnThatDay):
            take(metamorphs(), on=on)


@pytest.mark.parametrize(("born", "allowed"), [(9, True), (10, True), (11, False)])
def test_young_are_born_by_the_day_they_leave(born, allowed):
    if allowed:
        assert take(metamorphs(), born=day(born))
    else:
        with pytest.raises(NotOnThatDay, match="were born by then"):
            take(metamorphs(), born=day(born))


@pytest.mark.parametrize(
    ("born", "allowed"),
    [(date(2026, 2, 28), False), (date(2026, 3, 1), True), (date(2026, 3, 2), True)],
)
def test_young_are_not_born_before_their_clutch_was_laid(born, allowed):
    clutch = make.clutch(found_on=day(5), laid=day(1))
    if allowed:
        assert take(clutch, born=born)
    else:
        with pytest.raises(NotOnThatDay, match="was laid on 1 Mar 2026 or later"):
            take(clutch, born=born)


def place_of(pairs):
    return locality_of(places_of(pairs))


def parents(*, sires, dams):
    clutch = make.clutch()
    make.parent(clutch, "sire", *sires, basis="housed")
    make.parent(clutch, "dam", *dams, basis="housed")
    return possible_pairs(clutch)


def test_young_of_one_place_are_of_that_place():
    pairs = parents(sires=[make.animal(), make.animal()], dams=[make.animal()])
    assert locality_of(places_of(pairs)) == make.locality()


def test_young_of_two_places_are_of_the_mix():
    ford = make.animal(locality=make.locality("Alder Ford"))
    assert place_of(parents(sires=[ford], dams=[make.animal()])).name == (
        "mixed Alder Ford x Grey Mill"
    )


def test_young_whose_place_depends_on_the_sire_have_none_until_it_is_known():
    ford = make.animal(locality=make.locality("Alder Ford"))
    assert place_of(parents(sires=[ford, make.animal()], dams=[make.animal()])) is None


def test_young_of_an_unknown_place_or_parent_have_none():
    unknown = make.animal(locality=None)
    assert place_of(parents(sires=[unknown], dams=[make.animal()])) is None
    assert place_of(possible_pairs(make.clutch())) is None


@pytest.mark.parametrize(
    ("sire", "dam", "code"), [("C", "F", "C"), ("W", "C", "F"), ("U", "C", "F")]
)
def test_bred_in_captivity_is_proposed_where_both_parents_were(sire, dam, code):
    pairs = parents(sires=[make.animal(source_code=sire)], dams=[make.animal(source_code=dam)])
    assert source_code_of(pairs) == code


def test_young_of_unknown_parents_are_proposed_as_born_here():
    assert source_code_of(possible_pairs(make.clutch())) == "F"
