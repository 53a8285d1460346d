"""The four protocols shipped, figure by figure, and the protocols that cannot be."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

import pytest

from quarantine.clock import true_on
from quarantine.protocols import (
    ASSAYS,
    CAPTIVE_BRED,
    IMPORT,
    REPTILE,
    RESIDENT,
    SHIPPED,
    ImpossibleProtocol,
    Per,
    Protocol,
    Scope,
    contradictions,
    refuse_impossible,
)
from tests.quarantine.evidence import asking, batch, joins, on, protocol


def figures(protocol):
    return [
        (t.assay, t.negatives, t.gap, t.first_from, t.last_from, t.tailed_only)
        for t in protocol.tests
    ]


def test_import_and_wild_caught():
    assert IMPORT.min_days == 90
    assert figures(IMPORT) == [
        ("bd-pcr", 2, 14, 0, 45, False),
        ("ranavirus-pcr", 1, 0, 14, 14, False),
        ("faecal", 3, 14, 0, 28, False),
        ("bsal-pcr", 2, 14, 0, 45, True),
    ]


def test_captive_bred():
    assert CAPTIVE_BRED.min_days == 60
    assert figures(CAPTIVE_BRED) == [
        ("bd-pcr", 1, 0, 14, 14, False),
        ("ranavirus-pcr", 1, 0, 14, 14, False),
        ("faecal", 2, 14, 0, 14, False),
    ]


def test_exposed_or_sick_resident():
    assert RESIDENT.min_days == 60
    assert figures(RESIDENT) == [
        ("bd-pcr", 2, 14, 14, 28, False),
        ("ranavirus-pcr", 2, 14, 14, 28, False),
    ]


def test_reptile():
    assert REPTILE.min_days == 90
    assert figures(REPTILE) == [("faecal", 2, 14, 0, 60, False)]


@pytest.mark.parametrize("shipped", SHIPPED, ids=lambda p: p.name)
def test_what_is_shipped_is_possible_and_asks_known_assays(shipped):
    refuse_impossible(shipped)
    assert {t.assay for t in shipped.tests} <= {assay.code for assay in ASSAYS}
    assert {t.per for t in shipped.tests if t.assay == "faecal"} <= {Per.ENCLOSURE}
    assert {t.per for t in shipped.tests if t.assay != "faecal"} <= {Per.ANIMAL}
    assert (shipped.scope, shipped.laboratory_days, shipped.washout_days) == (Scope.BATCH, 7, 14)


@pytest.mark.parametrize("shipped", SHIPPED, ids=lambda p: p.name)
def test_kept_to_the_day_a_shipped_protocol_lasts_its_days(shipped):
    facts = batch("M1", joins("T1", "2 Mar", tailed=True), rules=shipped)
    assert true_on(facts, on("2 Mar")).best == on("2 Mar") + timedelta(days=shipped.min_days)


IMPOSSIBLE = {
    "A protocol needs a name.": replace(protocol(), name=" "),
    "A protocol cannot last less than 0 days.": protocol(min_days=-1),
    "A laboratory takes at least one day.": protocol(laboratory_days=0),
    "A washout cannot last less than 0 days.": protocol(washout_days=-1),
    "The weight that may be lost is from 0 to under 100 percent.": protocol(
        weight_loss_percent=Decimal(100)
    ),
    "The days since the last meal cannot be less than 0.": protocol(eaten_within_days=-1),
    "bd-pcr is asked twice; put both into one line.": protocol(asking(), asking()),
    "bd-pcr: a test asks at least one negative.": protocol(asking(negatives=0)),
    "bd-pcr: samples cannot be less than 0 days apart.": protocol(asking(gap=-1)),
    "bd-pcr: 2 negatives need at least one day between two samples.": protocol(asking(negatives=2)),
    "bd-pcr: the first sample cannot be due before day zero.": protocol(asking(first_from=-1)),
    "bd-pcr: the last sample (from day 13) cannot be due before the first (from day 14).": protocol(
        asking(first_from=14, last_from=13)
    ),
    "bd-pcr: a test of some of the batch asks at least one animal.": protocol(
        asking(members_asked=0)
    ),
    "bd-pcr: 2 negatives, 14 days apart and the first from day 47, need 61 days;"
    " the protocol lasts 60.": protocol(asking(negatives=2, gap=14, first_from=47, last_from=47)),
    "bd-pcr: the last sample is due from day 61; the protocol lasts 60 days.": protocol(
        asking(last_from=61)
    ),
    "bd-pcr: the last sample is due from day 70; the protocol lasts 60 days.": protocol(
        asking(first_from=60, last_from=70)
    ),
}
POSSIBLE = {
    "no tests at all": protocol(),
    "0 days": protocol(min_days=0),
    "a day for the laboratory": protocol(laboratory_days=1),
    "no washout": protocol(washout_days=0),
    "no weight may be lost": protocol(weight_loss_percent=Decimal(0)),
    "99.9 percent": protocol(weight_loss_percent=Decimal("99.9")),
    "eaten today": protocol(eaten_within_days=0),
    "a day apart": protocol(asking(negatives=2, gap=1)),
    "the last on the day of the first": protocol(asking(first_from=14, last_from=14)),
    "one animal of the batch": protocol(asking(members_asked=1)),
    "on the last day": protocol(asking(negatives=2, gap=14, first_from=46, last_from=46)),
    "the only one on the last day": protocol(asking(last_from=60)),
}


@pytest.mark.parametrize("sentence", IMPOSSIBLE)
def test_an_impossible_protocol_is_refused_in_a_sentence(sentence):
    with pytest.raises(ImpossibleProtocol) as refused:
        refuse_impossible(IMPOSSIBLE[sentence])
    assert refused.value.sentences == (sentence,)


@pytest.mark.parametrize("case", POSSIBLE)
def test_what_is_just_possible_is_not_refused(case):
    assert list(contradictions(POSSIBLE[case])) == []


def test_all_that_is_wrong_is_said_at_once():
    wrong = Protocol(name="", min_days=-1, tests=(asking(negatives=0, gap=-1),))
    assert len(list(contradictions(wrong))) == 4
