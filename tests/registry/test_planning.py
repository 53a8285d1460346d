"""A plan for a line: which pairs it makes, what it heeds, and what it is held against."""

import json
from datetime import date

import pytest

from registry.census import Census
from registry.entering_plan import PlanOutdated, enter_plan
from registry.kin_tables import takes_long
from registry.models import Answer, Pairing
from registry.objections import ReasonsMissing, Stopped, stop
from registry.planning import Breeders, Steering, figures_of, named, proposal, work_out
from tests import make

from .umbral import MADE, line_of, umbral

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
DAY = date(2026, 3, 2)


def nothing(one, other):
    """Know no figure beforehand."""
    return None


def two_families():
    """Return eight by code: M1, F1 with young A, B, and M2, F2 with young C, D (odd are male)."""
    found = {}
    for n, (one, other) in (("1", "AB"), ("2", "CD")):
        sire, dam = make.animal(f"M{n}", sex="male"), make.animal(f"F{n}", sex="female")
        clutch = make.clutch(f"K{n}", found_on=MADE)
        make.parent(clutch, "sire", sire)
        make.parent(clutch, "dam", dam)
        more = {"locality": sire.locality}
        found |= {f"M{n}": sire, f"F{n}": dam, f"K{n}": clutch}
        found[one] = make.young(clutch, one, sex="male", **more)
        found[other] = make.young(clutch, other, sex="female", **more)
    return found


def planned(animals, **steering):
    """Return the plan of the line of some animals."""
    first = next(iter(animals.values()))
    breeders = Breeders(Census(line_of(first)), DAY)
    steer = Steering(**steering)
    worked = work_out(breeders.census, DAY, breeders.question(steer))
    return proposal(breeders, steer, worked)


def codes(plan):
    """Return the pairs of a plan as codes, each in the order of the alphabet."""
    return {frozenset((p.one.code, p.other.code)) for p in plan.pairs}


def pair(*animals):
    """Return two animals as a plan takes them."""
    return tuple(sorted(a.pk for a in animals))


def test_pairs_are_unrelated_and_each_animal_is_in_one():
    plan = planned(two_families())
    seen = [code for two in codes(plan) for code in two]
    assert len(seen) == len(set(seen))
    assert plan.pairs
    assert all(p.worst < 1 / 4 and p.expected < 1 / 8 for p in plan.pairs)


def test_the_plan_keeps_at_least_as_much_as_the_pairs_in_force_and_random_ones():
    animals = two_families()
    Pairing.objects.create(first=animals["A"], second=animals["B"], planned_on=DAY)
    plan = planned(animals)
    assert plan.today.pairs == 1
    assert plan.figures.gene_diversity > plan.today.gene_diversity
    assert plan.figures.gene_diversity >= plan.random.gene_diversity


def test_a_pair_that_is_kept_is_made_whatever_comes_of_it():
    animals = two_families()
    plan = planned(animals, locked=(pair(animals["A"], animals["B"]),))
    kept = next(p for p in plan.pairs if p.is_locked)
    assert {kept.one, kept.other} == {animals["A"], animals["B"]}
    assert kept.expected == 0.25


def test_a_forbidden_pair_is_not_made():
    animals = two_families()
    (first, *_) = planned(animals).pairs
    again = planned(animals, forbidden=(pair(first.one, first.other),))
    assert frozenset((first.one.code, first.other.code)) not in codes(again)
    assert again.forbidden == ((animals[first.one.code], animals[first.other.code]),)


def test_somebody_left_out_is_in_no_pair():
    animals = two_families()
    plan = planned(animals, left_out=(animals["M1"].pk,))
    assert plan.left_out == (animals["M1"],)
    assert not any("M1" in two for two in codes(plan))


def test_there_are_no_more_pairs_than_asked():
    assert len(planned(two_families(), most=1).pairs) == 1


@pytest.mark.parametrize(("below", "made"), [(0.25, 0), (0.2501, 1)])
def test_f_of_the_young_stays_below_the_limit_and_is_not_the_limit(below, made):
    animals = two_families()
    for code in ("M1", "M2", "F1", "F2", "C", "D"):
        make.departure(animals[code], kind="death", day=DAY)
    assert len(planned(animals, below=below, worst=0.5).pairs) == made


@pytest.mark.parametrize(("worst", "made"), [(0.25, 0), (0.2501, 1)])
def test_the_limit_at_worst_counts_where_parents_are_uncertain(worst, made):
    animals = umbral()
    for code in ("A", "B", "C", "Q"):
        make.departure(animals[code], kind="death", day=DAY)
    plan = planned(animals, below=0.2, worst=worst)
    assert len(plan.pairs) == made
    if made:
        (only,) = plan.pairs
        assert (only.expected, float(only.worst)) == (3 / 16, 0.25)


def test_two_of_one_sex_are_no_pair():
    animals = [make.animal(sex="male"), make.animal(sex="male")]
    assert planned({a.code: a for a in animals}).pairs == ()


def test_the_young_are_in_no_plan():
    animals = {"M": make.animal(sex="male"), "F": make.animal(sex="female", born=DAY)}
    assert planned(animals).pairs == ()


def test_each_pair_says_how_far_it_is_traced():
    one, other = make.animal(sex="male"), make.animal(sex="female", source_code="U")
    (only,) = planned({"M": one, "F": other}).pairs
    assert only.traced == 0
    assert only.kinship_words() == "no relation on record, 0 % traced"


def test_a_pair_says_whom_they_are_with_today():
    animals = two_families()
    together = Pairing.objects.create(first=animals["C"], second=animals["B"], planned_on=DAY)
    other = Pairing.objects.create(first=animals["A"], second=animals["D"], planned_on=DAY)
    other.ended_on = DAY
    other.save()
    plan = planned(animals, locked=(pair(animals["B"], animals["C"]),))
    kept = next(p for p in plan.pairs if p.is_locked)
    assert (kept.together, kept.elsewhere) == (together, ())
    assert not kept.can_be_entered
    assert all(p.elsewhere == () for p in plan.pairs)


def never_m1(proposal):
    """Keep M1 from everybody."""
    if any(a.code == "M1" for a in proposal.animals):
        yield stop("M1 stays alone.", *proposal.animals)


@pytest.fixture
def m1_alone(only_the_register, settings):
    """Stop every pair with M1."""
    settings.PAIRING_RULES = [*settings.PAIRING_RULES, f"{__name__}.never_m1"]


@pytest.mark.usefixtures("m1_alone")
def test_a_stopped_pair_is_left_out_and_the_plan_is_made_without_it():
    plan = planned(two_families())
    assert not any("M1" in two for two in codes(plan))
    assert plan.pairs
    assert {why for _, _, why in plan.stopped} == {"M1 stays alone."}
    assert "M1" in {a.code for a in plan.unpaired}


@pytest.mark.usefixtures("m1_alone")
def test_a_stopped_pair_that_is_kept_is_shown_but_cannot_be_entered():
    animals = two_families()
    plan = planned(animals, locked=(pair(animals["M1"], animals["D"]),))
    kept = next(p for p in plan.pairs if p.is_locked)
    assert kept.is_stopped
    assert kept not in plan.enterable


@pytest.mark.parametrize(("cleared", "pairs"), [(True, 2), (False, 1)])
def test_a_held_animal_is_in_no_pair_with_a_cleared_one(settings, cleared, pairs):
    settings.PAIRING_RULES = ["quarantine.rules.newcomers_are_cleared"]
    animals = {code: make.animal(code, sex="female") for code in ("F1", "F2")}
    animals["M"] = make.animal("M", sex="male")
    make.animal("H", sex="male", cleared=cleared, here_since=DAY)
    plan = planned(animals)
    assert len(plan.pairs) == pairs
    assert any("H" in two for two in codes(plan)) is cleared
    assert bool(plan.stopped) is not cleared


def test_what_is_worked_out_can_be_kept_as_text():
    animals = two_families()
    breeders = Breeders(Census(line_of(animals["A"])), DAY)
    steer = Steering(locked=(pair(animals["A"], animals["B"]),))
    question = json.loads(json.dumps(breeders.question(steer)))
    worked = work_out(breeders.census, DAY, question)
    assert json.loads(json.dumps(worked)) == worked
    known = figures_of(worked)
    assert known(animals["B"].pk, animals["A"].pk) == (0.25, 0.25)


@pytest.mark.parametrize(("count", "long"), [(60, False), (61, True)])
def test_many_animals_are_not_waited_for(count, long):
    census = Census(line_of(umbral()["A"]))
    assert takes_long(census, range(count)) is long


def test_uncertain_parents_of_a_large_line_are_not_waited_for(monkeypatch):
    census = Census(line_of(umbral()["A"]))
    monkeypatch.setattr("registry.kin_tables.FEW_DRAWS", 1)
    assert not takes_long(census, range(60))
    monkeypatch.setattr("registry.kin_tables.CELLS", 6 * 6**2 - 1)
    assert takes_long(census, range(6))
    monkeypatch.setattr("registry.kin_tables.FEW_DRAWS", 2)
    assert not takes_long(census, range(6))


def entered(animals, *pairs, reasons=None):
    """Enter a plan of some pairs."""
    line = line_of(animals["A"])
    return enter_plan(line, pairs, DAY, by=make.user(), known=nothing, reasons=reasons)


def test_pairs_become_planned_pairings():
    animals = two_families()
    entered(animals, pair(animals["A"], animals["D"]), pair(animals["C"], animals["B"]))
    made = Pairing.objects.all()
    assert {p.state(DAY) for p in made} == {"planned"}
    assert {frozenset(a.code for a in p.animals) for p in made} == {
        frozenset("AD"),
        frozenset("BC"),
    }


def test_an_ask_of_one_pair_stops_all_until_it_has_a_reason():
    animals = two_families()
    kin, far = pair(animals["A"], animals["B"]), pair(animals["C"], animals["F1"])
    with pytest.raises(ReasonsMissing) as missing:
        entered(animals, far, kin)
    assert not Pairing.objects.exists()
    reasons = {o.key: "The last two." for o in missing.value.objections if o.is_ask}
    assert len(reasons) == 1
    entered(animals, far, kin, reasons=reasons)
    answer = Answer.objects.get()
    assert (answer.reason, answer.rule) == ("The last two.", "young_would_not_be_inbred")
    assert {answer.pairing.first, answer.pairing.second} == {animals["A"], animals["B"]}


def test_each_pair_wants_a_reason_of_its_own():
    animals = two_families()
    pairs = [pair(animals["A"], animals["B"]), pair(animals["C"], animals["D"])]
    with pytest.raises(ReasonsMissing) as missing:
        entered(animals, *pairs)
    one, other = (o.key for o in missing.value.objections if o.is_ask)
    with pytest.raises(ReasonsMissing):
        entered(animals, *pairs, reasons={one: "The last two."})
    entered(animals, *pairs, reasons={one: "The last two.", other: "They too."})
    assert {a.reason for a in Answer.objects.all()} == {"The last two.", "They too."}


def test_the_same_sentence_about_two_pairs_has_two_keys():
    (said,) = [stop("Not today.")]
    (one,), (other,) = named("1-2", [said]), named("3-4", [said])
    assert one.key != other.key


@pytest.mark.usefixtures("m1_alone")
def test_a_stop_of_one_pair_stops_all():
    animals = two_families()
    with pytest.raises(Stopped):
        entered(animals, pair(animals["A"], animals["D"]), pair(animals["M1"], animals["F2"]))
    assert not Pairing.objects.exists()


def test_a_pair_that_somebody_planned_meanwhile_is_refused():
    animals = two_families()
    two = pair(animals["A"], animals["D"])
    entered(animals, two)
    with pytest.raises(PlanOutdated, match="A x D is a pair already"):
        entered(animals, two)
    assert Pairing.objects.count() == 1


def test_a_pair_that_ended_can_be_planned_again():
    animals = two_families()
    two = pair(animals["A"], animals["D"])
    (made,) = entered(animals, two)
    made.ended_on = DAY
    made.save()
    assert len(entered(animals, two)) == 1


def test_an_animal_of_another_line_is_refused():
    animals = two_families()
    stranger = make.animal("X", sex="female", locality=make.locality("Low Fen"))
    with pytest.raises(PlanOutdated, match="Not all of these animals are of"):
        entered(animals, pair(animals["A"], stranger))


@pytest.mark.parametrize("pairs", [[], [(1, 1)], [(1, 2), (2, 3)]])
def test_a_plan_has_a_pair_and_each_animal_once(pairs):
    with pytest.raises(PlanOutdated, match="each animal in one pair only"):
        entered(two_families(), *pairs)


def test_the_dead_are_not_planned():
    animals = two_families()
    make.departure(animals["D"], kind="death", day=DAY)
    with pytest.raises(Stopped):
        entered(animals, pair(animals["A"], animals["D"]))
