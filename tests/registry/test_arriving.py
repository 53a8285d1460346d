"""Animals come through one door, saved whole or not at all."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from registry import arriving as a
from registry import models as m
from tests import make

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)


def coming(*codes, **more):
    """Return an arrival told in full; a test names what it is about."""
    taxon = make.taxon("Epipedobates anthonyi", grouping="group")
    told = {
        "day": DAY,
        "kind": "import",
        "holding": make.holding(),
        "supplier": m.Party.objects.first(),
        "taxon": taxon,
        "locality": make.locality("Rio Candelo", taxon),
        "source_code": "C",
        "newcomers": tuple(a.Newcomer(code=c) for c in codes),
    }
    return a.Coming(**told | more)


def test_an_arrival_brings_its_animals_their_source_and_papers():
    """All of it is there, and the seller's word on sex is a weak finding."""
    paper = a.PaperGiven(kind="permit", number="P-1", issuer="Office", day=DAY)
    newcomers = (a.Newcomer(code="EA-1", sex="male", supplier_code="x9"), a.Newcomer(code="EA-2"))
    told = a.Told(belief="counted", sires=1, dams=2)
    arrival = a.register_arrival(
        coming(newcomers=newcomers, papers=(paper,), told=told), by=make.user()
    )
    first, second = arrival.animals.order_by("code")
    assert first.source_group == second.source_group
    assert (first.source_group.sires, first.source_group.dams) == (1, 2)
    assert [f.basis for f in first.sex_findings.all()] == ["seller"]
    assert not second.sex_findings.exists()
    assert first.marks.get().value == "x9"
    assert set(arrival.papers.get().animals.all()) == {first, second}


def test_two_of_one_source_with_nothing_said_are_expected_kin():
    """Expected as from two sires and two dams: 1/8; at worst full siblings: 1/4."""
    from registry.herd import Herd

    arrival = a.register_arrival(coming("EA-1", "EA-2"), by=make.user())
    one, two = arrival.animals.all()
    expected, worst = Herd([one, two]).kinship(one, two)
    assert (expected, worst) == (0.125, 0.25)


def test_arrivals_of_one_breeder_may_share_a_source():
    """The second names the group of the first."""
    first = a.register_arrival(coming("EA-1"), by=make.user())
    group = first.animals.get().source_group
    second = a.register_arrival(coming("EA-2", told=a.Told(group=group)), by=make.user())
    assert second.animals.get().source_group == group


@pytest.mark.parametrize(
    ("more", "field"),
    [
        ({"day": timezone.localdate() + timedelta(days=1)}, "day"),
        ({"born": DAY + timedelta(days=1), "born_precision": "day"}, "born"),
        ({"newcomers": ()}, "animals"),
        ({"newcomers": tuple(a.Newcomer(code=f"N{i}") for i in range(501))}, "animals"),
        ({"newcomers": (a.Newcomer(code="X"), a.Newcomer(code="x"))}, "animals"),
        ({"newcomers": (a.Newcomer(code="<script>"),)}, "animals"),
        ({"newcomers": (a.Newcomer(code="TAKEN"),)}, "animals"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_saved(more, field):
    """The refusal names the field, and no arrival, animal or source is left behind."""
    make.animal("taken")
    before = m.Animal.objects.count(), m.Arrival.objects.count()
    with pytest.raises(a.ArrivalRefused) as refused:
        a.register_arrival(coming("OK", **more), by=make.user())
    assert refused.value.field == field
    assert (m.Animal.objects.count(), m.Arrival.objects.count()) == before
    assert not m.SourceGroup.objects.exists()


def test_a_place_of_another_taxon_is_refused():
    """A locality belongs to its taxon."""
    with pytest.raises(a.ArrivalRefused, match="not of Epipedobates"):
        a.register_arrival(coming("EA-1", locality=make.locality()), by=make.user())


@pytest.mark.parametrize(("days", "refused"), [(-1, True), (0, False), (1, False)])
def test_an_animal_comes_back_only_after_it_left(days, refused):
    """Before it left it is here; on the day it left and later it can return."""
    animal = make.animal()
    make.departure(animal, day=DAY, kind="loan")
    day = DAY + timedelta(days=days)
    how = {"kind": "return", "supplier": make.party(), "holding": make.holding()}
    back = a.Return(day=day, animals=(animal,), **how)
    if refused:
        with pytest.raises(a.ArrivalRefused, match="here already"):
            a.register_return(back, by=make.user())
    else:
        a.register_return(back, by=make.user())
        assert animal in m.Animal.objects.here(day)
