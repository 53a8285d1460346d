"""Clutches reared together: one mix, with young of which nobody knows the clutch."""

from itertools import product

import numpy as np
import pytest

from registry.conflicts import conflicts
from registry.correcting import correct
from registry.headcount import living, remaining
from registry.housing import Window
from registry.inheriting import possible_pairs, source_code_of
from registry.kin import kin_of, why
from registry.laying import CountRefused, count_stage, end_clutch, lose
from registry.lifetime import NotOnThatDay
from registry.mixing import MixRefused, take_back_part
from registry.models import Clutch, ClutchPart, RegisterLine, Stay
from registry.objections import Stopped
from registry.parentage import StatementRefused, state_parents
from registry.pedigree import Ancestry, ancestry_of, stated_parents
from registry.picturing import parentage
from registry.placement import Placement, place
from registry.proof_facts import Facts
from registry.proof_gaps import gaps
from registry.separating import SeparationRefused
from tests import make
from tests.registry.lineage.every_choice import tabular
from tests.registry.mixed import NOON, clutch, day, furnished, out, together

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]


@pytest.fixture
def room():
    """Return founders, two clutches that hatched 6 and 2, and a tub."""
    return furnished()


def test_they_go_on_as_one_clutch_in_one_place(room):
    mix = together(room)
    there = Stay.objects.current().running(day(11)).filter(clutch__isnull=False)
    assert [(s.clutch, s.enclosure) for s in there] == [(mix, room["tub"])]
    assert mix.code == "K3"
    on_the_day = Stay.objects.current().filter(start=day(10), enclosure=room["tub"])
    assert {s.clutch.code for s in on_the_day} == {"K1", "K2", "K3"}


def test_one_that_stood_there_before_is_there_on_the_day_too(room):
    place(
        Placement(day=day(5), enclosure=room["tub"], clutches=(room["K1"],)),
        by=make.user(),
        at=NOON,
    )
    together(room)
    spans = [(s.start, s.end) for s in room["K1"].stays.current().filter(enclosure=room["tub"])]
    assert spans == [(day(5), day(10)), (day(10), day(10))]


def test_shares_are_by_the_living_counts_unless_somebody_says_otherwise(room):
    lose(room["K1"], 2, "eaten", day(10), make.user(), at=NOON)
    assert (living(room["K1"], day(9)), living(room["K1"], day(10))) == (6, 4)
    assert weights(together(room)) == {"K1": 4, "K2": 2}


def weights(mix):
    return {part.clutch.code: part.weight for part in mix.current_parts()}


def test_what_was_never_counted_gets_an_equal_part(room):
    cup = make.enclosure()
    room["K5"] = clutch("K5", at=cup, sires=[room["A"]], dam=room["D"])
    mix = together(room, names=("K1", "K5"))
    assert weights(mix) == {"K1": 1, "K5": 1}
    assert remaining(mix) is None
    named = {room["K1"].pk: 3, room["K2"].pk: 1}
    other = room | {"K1": clutch("K16", at=cup, sires=[room["A"]], dam=room["D"])}
    named[other["K1"].pk] = 3
    assert weights(together(other, weights=named)) == {"K2": 1, "K16": 3}


def by_every_choice(shares):
    """Kinship of K (of K1), P and Q (of the mix) and A, by taking every choice in turn."""
    keys, chance_of = ["K", "P", "Q", "A"], dict(zip(["K1", "K2"], shares, strict=True))
    founders = [(key, None, None) for key in "ABCD"]
    expected, worst = np.zeros((4, 4)), np.zeros((4, 4))
    for sire, p, q in product("AB", chance_of, chance_of):
        parents = {"K1": (sire, "C"), "K2": ("B", "D")}
        records = [*founders, ("K", *parents["K1"]), ("P", *parents[p]), ("Q", *parents[q])]
        at, table = tabular(records)
        found = table[np.ix_(*[[at[key] for key in keys]] * 2)]
        expected += 0.5 * chance_of[p] * chance_of[q] * found
        worst = np.maximum(worst, found)
    return expected, worst


def test_kinship_is_that_of_one_clutch_or_the_other_drawn_apart_for_each(room):
    (k,) = out(room["K1"], "K", on=9)
    mix = together(room)
    p, q = (*out(mix, "P"), *out(mix, "Q", on=62))
    assert weights(mix) == {"K1": 5, "K2": 2}
    lineage = ancestry_of([k, p, q]).lineage()
    keys = [one.pk for one in (k, p, q, room["A"])]
    expected, worst = by_every_choice([5 / 7, 2 / 7])
    assert lineage.kinship_table(keys, keys) == pytest.approx(expected, abs=1e-12)
    assert lineage.at_worst_table(keys, keys)[0] == pytest.approx(worst, abs=1e-12)
    for one, other in ((k, p), (p, q)):
        account = why(one, other)
        assert sum(part.contribution for part in account.parts) == pytest.approx(account.expected)
    assert lineage.traced(p.pk) == 1
    assert str(lineage.generation(p.pk)) == "F1"


def test_a_share_changed_by_an_act_changes_the_figures_and_nothing_else_does(room):
    mix = together(room)
    (p,) = out(mix, "P")
    part = mix.parts.get(clutch=room["K1"])
    before = ancestry_of([p]).lineage().kinship(p.pk, room["D"].pk)
    assert before == 1 / 4 * 1 / 4
    correct(part, {"weight": 0.0}, by=make.user(), why="Its young were all seen dead.", at=NOON)
    assert ancestry_of([p]).lineage().kinship(p.pk, room["D"].pk) == 1 / 4
    assert [share for _, share, _ in stated_parents(p)] == [1.0]
    with pytest.raises(MixRefused, match="above it"):
        correct(mix.parts.current().get(clutch=room["K2"]), {"weight": 0}, by=None, why="No.")
    assert ancestry_of([p], known_on=day(1)).statements(p) == []


def test_a_sire_or_dam_they_share_is_known_for_certain(room):
    room["K7"] = clutch("K7", at=make.enclosure(), sires=[room["A"]], dam=room["C"], hatched=6)
    mix = together(room, names=("K1", "K7"))
    p = out(mix, "P", "Q")[0]
    told = parentage(ancestry_of([p]), p)
    assert [(one.key, one.weight) for one in told.parents] == [
        (str(room["A"].pk), 0.75),
        (str(room["B"].pk), 0.25),
        (str(room["C"].pk), 1.0),
    ]
    words = {one.animal.code: one.words for one in kin_of(p, day(70))}
    assert (words["C"], words["Q"]) == ("parent", "half-sibling")


def test_the_picture_shows_pairs_that_fit(room):
    mix = together(room)
    (p,) = out(mix, "P")
    told = parentage(ancestry_of([p]), p)
    named = {room[code].pk: code for code in "ABCD"}
    pairs = {tuple(named[int(key)] for key in pair) for pair in told.pairs}
    assert pairs == {("A", "C"), ("B", "C"), ("B", "D")}


def test_a_mix_can_be_put_together_with_one_more_clutch(room):
    room["mix"] = together(room)
    (p,) = out(room["mix"], "P", on=20)
    room["K8"] = clutch("K8", at=make.enclosure(), sires=[room["A"]], dam=room["D"], hatched=7)
    more = together(room, names=("mix", "K8"), into="tub", on=30)
    assert weights(more) == {"K3": 7, "K8": 7}
    assert remaining(more) == 14
    (q,) = out(more, "Q")
    found = {c.code: share for c, share, _ in stated_parents(q)}
    assert found == pytest.approx({"K1": 3 / 8, "K2": 1 / 8, "K8": 1 / 2})
    assert {c.code for c, *_ in stated_parents(p)} == {"K1", "K2"}
    assert ancestry_of([p, q]).lineage().kinship(q.pk, room["D"].pk) == pytest.approx(5 / 8 / 4)


def test_losses_and_young_are_kept_against_the_mix_and_limited_by_the_sum(room):
    mix = together(room)
    assert remaining(mix) == 8
    lose(mix, 5, "fungus", day(20), make.user(), at=NOON)
    with pytest.raises(CountRefused, match="3 left in K3"):
        lose(mix, 4, "fungus", day(20), make.user(), at=NOON)
    out(mix, "P", "Q", "R")
    with pytest.raises(SeparationRefused, match="At most 0"):
        out(mix, "S")
    assert remaining(mix) == 0
    assert (remaining(room["K1"]), remaining(room["K2"])) == (6, 2)


@pytest.mark.parametrize(("number", "allowed"), [(7, True), (8, True), (9, False)])
def test_no_more_reach_a_stage_than_the_clutches_brought(room, number, allowed):
    mix = together(room)
    if allowed:
        assert count_stage(mix, "metamorphosed", day(60), number, make.user(), at=NOON)
        return
    with pytest.raises(CountRefused, match="brought: 8"):
        count_stage(mix, "metamorphosed", day(60), number, make.user(), at=NOON)


@pytest.mark.parametrize(("on", "allowed"), [(9, True), (10, True), (11, False)])
def test_nothing_is_said_of_one_alone_after_the_day_they_came_together(room, on, allowed):
    together(room)
    k1 = room["K1"]
    acts = [
        lambda: count_stage(k1, "hatched", day(on), 6, make.user(), at=NOON),
        lambda: lose(k1, 1, "eaten", day(on), make.user(), at=NOON),
        lambda: out(k1, f"P{on}", on=on),
    ]
    if not allowed:
        acts.append(lambda: end_clutch(k1, day(on), make.user(), at=NOON))
    for act in acts:
        if allowed:
            act()
            continue
        with pytest.raises(NotOnThatDay, match="together with others in K3 since 10 Mar 2026"):
            act()


def test_nor_is_one_moved_alone(room):
    together(room)
    with pytest.raises(Stopped, match="move K3"):
        place(
            Placement(day=day(11), enclosure=make.enclosure(), clutches=(room["K1"],)),
            by=make.user(),
        )


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"names": ("K1",)}, "two different"),
        ({"names": ("K1", "K1")}, "two different"),
        ({"on": 1}, "found only on 2 Mar 2026"),
        ({"on": 8}, "counted on 9 Mar 2026"),
        ({"on": 500}, None),
        ({"weights": {0: 1}}, "above it"),
    ],
)
def test_what_cannot_be_put_together_is_refused_and_nothing_is_kept(room, change, said):
    with pytest.raises(MixRefused if said else NotOnThatDay, match=said):
        together(room, **change)
    assert not Clutch.objects.filter(mixed=True).exists()
    assert not ClutchPart.objects.exists()


def test_a_clutch_is_in_one_mix_at_a_time_and_of_one_taxon(room):
    mix = together(room)
    room["K9"] = clutch("K9", at=make.enclosure(), sires=[room["A"]], dam=room["C"])
    with pytest.raises(MixRefused, match="in K3 already; name K3"):
        together(room, names=("K1", "K9"), on=20)
    room["K9"].taxon = make.taxon("Ranitomeya imitator")
    room["mix"] = mix
    with pytest.raises(MixRefused, match="two taxa"):
        together(room, names=("mix", "K9"), on=20)


def test_parents_are_stated_for_each_clutch_not_for_the_mix(room):
    with pytest.raises(StatementRefused, match="K1 and K2, reared together"):
        state_parents(together(room), "sire", [(room["A"], 1)], "seen", day(20), make.user())


def test_a_late_correction_of_one_clutch_reaches_the_young_of_the_mix(room):
    mix = together(room)
    (p,) = out(mix, "P")
    descent = room["K2"].descents.get(role="sire")
    state_parents(
        room["K2"], "sire", [(room["A"], 1)], "dna", day(70), make.user(),
        replaces=descent, why="Tested.", at=NOON,
    )  # fmt: skip
    keys = p.pk, room["A"].pk
    assert ancestry_of([p]).lineage().kinship(*keys) == pytest.approx((3 / 4 / 2 + 1 / 4) / 4)


def test_what_is_stated_of_a_young_itself_goes_before(room):
    mix = together(room)
    (p,) = out(mix, "P")
    make.parent(p, "sire", room["A"], basis="dna")
    lineage = ancestry_of([p]).lineage()
    assert lineage.kinship(p.pk, room["A"].pk) == 1 / 4
    assert lineage.kinship(p.pk, room["C"].pk) == pytest.approx(3 / 4 / 4)
    make.parent(p, "dam", room["D"], basis="dna")
    assert ancestry_of([p]).lineage().kinship(p.pk, room["C"].pk) == 0
    assert [c for c, *_ in stated_parents(p)] == [None]


def test_a_parent_found_impossible_is_listed_and_nothing_is_changed(room):
    mix = together(room)
    (p,) = out(mix, "P")
    make.finding(room["B"], sex="female", basis="laid")
    said = [c.sentence for c in conflicts()]
    assert sum("B is female" in one and "K2" in one for one in said) == 1
    assert {c.code for c, *_ in stated_parents(p)} == {"K1", "K2"}


def test_young_have_what_all_possible_parents_would_give(room):
    mix = together(room)
    pairs = {(sire.code, dam.code) for sire, dam in possible_pairs(mix)}
    assert pairs == {("A", "C"), ("B", "C"), ("B", "D")}
    assert source_code_of(possible_pairs(mix)) == "F"


def test_a_birth_before_any_of_them_was_laid_is_refused(room):
    room["K4"] = clutch("K4", at=make.enclosure(), sires=[room["A"]], dam=room["C"], found=9)
    mix = together(room, names=("K1", "K4"))
    with pytest.raises(NotOnThatDay, match="laid on 2 Mar 2026"):
        out(mix, "P", born=day(1))
    assert out(mix, "P", born=day(2))


def test_a_proof_names_the_parents_of_every_clutch_and_says_what_is_not_known(room):
    mix = together(room)
    (p,) = out(mix, "P")
    facts = Facts([p], day(80))
    told = {(one.role, one.animal.code): one.weight for one in facts.parents(p)}
    assert told == {
        ("sire", "A"): 0.375,
        ("sire", "B"): 0.625,
        ("dam", "C"): 0.75,
        ("dam", "D"): 0.25,
    }
    said = " ".join(gaps(facts, p))
    assert "P is of clutch K1 or K2, which were reared together" in said
    assert "The sire of clutch K1 may be A or B." in said


def kept():
    return sum(RegisterLine.objects.values_list("change", flat=True))


def test_the_register_counts_nobody_twice(room):
    assert kept() == 8
    mix = together(room)
    assert kept() == 8
    count_stage(mix, "metamorphosed", day(60), 7, make.user(), at=NOON)
    assert kept() == 8
    lose(mix, 1, "fungus", day(61), make.user(), at=NOON)
    out(mix, "P", "Q", on=62)
    assert kept() == 7
    end_clutch(mix, day(70), make.user(), at=NOON)
    assert kept() == 2


def test_a_clutch_put_in_by_mistake_is_taken_back_with_the_reason(room):
    mix = together(room)
    (p,) = out(mix, "P")
    part = mix.parts.get(clutch=room["K2"])
    with pytest.raises(MixRefused, match="Say why"):
        take_back_part(part, by=make.user(), why=" ")
    take_back_part(part, by=make.user(), why="It stood beside it.", at=NOON)
    assert [share for _, share, _ in stated_parents(p)] == [1.0]
    assert remaining(mix) == 5
    assert place(
        Placement(day=day(10), enclosure=make.enclosure(), clutches=(room["K2"],)), by=make.user()
    )
    with pytest.raises(MixRefused, match="No other clutch"):
        take_back_part(mix.parts.current().get(clutch=room["K1"]), by=make.user(), why="Nor it.")


def test_an_ancestry_reads_what_was_known_on_a_day(room):
    mix = together(room)
    (p,) = out(mix, "P")
    early = Ancestry(known_on=day(12))
    early.add([p])
    assert [key for key, *_ in early.families(p)] == [mix.pk]
    assert Window() == Window(first=None, last=None)
