"""Clutches together through their stages: of a pairing, a line, a year; nothing unknown is zero."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from registry.breeding_record import record_of
from registry.charts.funnel import StageSum
from registry.funnels import clutches_of_line, clutches_of_year, summed
from registry.laying import end_clutch
from registry.lines import Line
from registry.mixing import Mixing, rear_together
from registry.models import Pairing, StageCount
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
DAY = date(2026, 3, 2)


def clutch(code, *, on=0, ended=False, sire=None, **counts):
    """Return a clutch found some days after the first, with its counts."""
    found = DAY + timedelta(days=on)
    made = make.clutch(code, found_on=found, laid=found)
    make.stay(made, make.enclosure(), start=found)
    for n, (stage, count) in enumerate(counts.items()):
        day = found + timedelta(days=n)
        StageCount.objects.create(clutch=made, stage=stage, day=day, count=count)
    if sire:
        make.parent(made, "sire", sire)
    if ended:
        end_clutch(made, found + timedelta(days=5), make.user())
    return made


def told(*clutches):
    return {one.stage: one for one in summed(clutches)}


def test_what_nobody_counted_is_said_and_never_nothing():
    found = told(
        clutch("K1", laid=10, fertile=None, hatched=5),
        clutch("K2", laid=10, fertile=8),
        clutch("K3", laid=4, hatched=0),
    )
    assert found["laid"] == StageSum(stage="laid", count=24, clutches=3, share=1.0)
    assert found["fertile"] == StageSum(
        stage="fertile", count=8, clutches=1, unknown=2, share=8 / 10
    )
    assert found["hatched"] == StageSum(stage="hatched", count=5, clutches=2, share=5 / 14)
    assert "metamorphosed" not in found


def test_a_stage_that_nobody_counted_in_any_has_no_sum():
    found = told(clutch("K1", laid=None, hatched=3))["laid"]
    assert (found.count, found.clutches, found.unknown, found.share) == (None, 0, 1, None)


def test_animals_are_the_last_stage():
    one = clutch("K1", laid=4, hatched=3)
    make.young(one)
    found = told(one)
    assert list(found)[-1] == "taken out as animals"
    assert found["metamorphosed"].unknown == 1
    assert "carried" not in found
    assert (found["taken out as animals"].count, found["taken out as animals"].share) == (1, 0.25)


def mix_of(*clutches):
    mixing = Mixing(
        clutches=clutches, enclosure=make.enclosure(), day=DAY + timedelta(days=9), code="M"
    )
    return rear_together(mixing, by=make.user())


def test_a_mix_counts_for_all_in_it_and_is_unknown_for_one_alone():
    one, two = clutch("K1", laid=6, hatched=4), clutch("K2", laid=5, hatched=2)
    mix = mix_of(one, two)
    StageCount.objects.create(clutch=mix, stage="metamorphosed", day=date(2026, 6, 1), count=5)
    make.young(mix)
    both, alone = told(one, two), told(one)
    assert [both[s].count for s in ("laid", "hatched", "metamorphosed")] == [11, 6, 5]
    assert both["metamorphosed"].share == pytest.approx(5 / 11)
    assert both["taken out as animals"].count == 1
    assert (alone["hatched"].count, alone["hatched"].unknown) == (4, 0)
    for stage in ("metamorphosed", "taken out as animals"):
        assert (alone[stage].count, alone[stage].unknown) == (None, 1)


def test_a_line_has_the_clutches_all_of_whose_possible_parents_are_of_it():
    here, there = make.locality("Grey Mill"), make.locality("Rio Candelo")
    a, b = make.animal("A", locality=here), make.animal("B", locality=there)
    mine, mixed, nobody = clutch("K1", sire=a), clutch("K2", sire=a), clutch("K3")
    make.parent(mixed, "dam", b)
    line = Line(taxon=a.taxon, locality=here)
    assert list(clutches_of_line(line)) == [mine]
    assert nobody not in clutches_of_line(Line(taxon=a.taxon, locality=None))


@pytest.mark.parametrize(("day", "year"), [(date(2025, 12, 31), 2025), (date(2026, 1, 1), 2026)])
def test_a_clutch_counts_in_the_year_it_was_laid(day, year):
    one = make.clutch("K1", found_on=date(2026, 1, 5), laid=day)
    assert list(clutches_of_year(year)) == [one]
    assert not clutches_of_year(4051 - year)


@pytest.fixture
def pair():
    """Return a pairing with five clutches: a good one, two failed ones, one open, one counted."""
    a, b = make.animal("A", sex="male"), make.animal("B", sex="female")
    pairing = Pairing.objects.create(first=a, second=b, planned_on=DAY, began_on=DAY)
    kept = [
        clutch("K1", laid=6, fertile=3, hatched=2),
        clutch("K2", on=20, laid=4, fertile=0, ended=True),
        clutch("K3", on=30, laid=4, ended=True),
        clutch("K4", on=45, laid=5),
    ]
    for one in kept:
        one.pairing = pairing
        one.save()
    return pairing


def test_what_came_of_a_pairs_clutches(pair):
    record = record_of(pair.clutches.all(), DAY + timedelta(days=60))
    assert [one.outcome for one in record.clutches] == ["good", "failed", "failed", "open"]
    assert record.fertility == 3 / 10
    assert record.counted_both == 2
    assert str(record.last_good.clutch) == "K1"
    assert (record.failed_since, record.longest_failed) == (2, 2)
    assert record.intervals == [20, 10, 15]
    said = " ".join(record.sentences())
    assert "30% of the eggs were fertile, by the counts of 2 clutches." in said
    assert "The last 2 whose outcome is known failed." in said
    assert "Between two layings 10 to 20 days, half of them 15 or fewer." in said


def test_nothing_known_is_said_as_such():
    record = record_of([clutch("K1", ended=True), clutch("K2", on=3, laid=None)], DAY)
    assert record.fertility is None
    assert "Fertility is not known" in " ".join(record.sentences())
    assert "not counted" in list(record.clutches[1].shown())


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


def test_the_pages_show_picture_and_table(keeper, pair):
    page = keeper.get(reverse("pairing-show", args=[pair.pk])).content.decode()
    for part in ("<svg", "Clutches not counted", "Days since the last", "The last good one"):
        assert part in page
    year = reverse("clutch-year", args=[2026])
    page = keeper.get(year).content.decode()
    assert "<svg" in page
    assert "K4" in page
    assert "No clutches" in keeper.get(year, {"taxon": make.taxon("Mantella").pk}).content.decode()
    assert keeper.get(year, {"taxon": "x" * 9999}).status_code == 200
    assert keeper.get(reverse("clutch-year", args=[1999])).status_code == 404
    one = pair.first
    line = reverse("line-plot", args=[one.taxon_id, one.locality_id, "funnel"])
    assert "Clutches not counted" in keeper.get(line).content.decode()
