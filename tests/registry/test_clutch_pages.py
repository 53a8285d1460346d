"""A clutch on its pages: found with its parents, counted, taken out as animals, corrected."""

from datetime import date, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from registry.models import Animal, Clutch, Descent, Locality, StageCount
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
HUGE = "x" * 100_000


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


def errors(answer):
    """Return every error on a page, in one text."""
    form = answer.context["form"]
    return " ".join(text for said in form.errors.values() for text in said)


def pair():
    """Return a male and a female in a tank."""
    tank = make.enclosure("E10")
    m, f = make.animal("M", sex="male"), make.animal("F", sex="female")
    make.stay(m, tank)
    make.stay(f, tank)
    return m, f, tank


def found(keeper, tank, **told):
    sent = {
        "code": "K1", "taxon": make.taxon().pk, "found_as": "laid", "found_on": "2026-03-02",
        "began_seen": "on", "laid_precision": "day", "into": tank.pk, "count": "5", "do": "1",
    } | told  # fmt: skip
    return keeper.post(reverse("clutch-add", args=[tank.pk]), sent)


def test_a_clutch_is_proposed_ready_to_save_but_for_the_count(keeper):
    _, _, tank = pair()
    form = keeper.get(reverse("clutch-add", args=[tank.pk]), {"found_as": "laid"}).context["form"]
    assert form["code"].value() == "K1"
    assert form["found_on"].value() == timezone.localdate()
    assert form["into"].value() == tank.pk
    assert form["taxon"].value() == make.taxon().pk


def test_its_parents_are_shown_before_it_is_entered(keeper):
    _, _, tank = pair()
    sent = keeper.post(
        reverse("clutch-add", args=[tank.pk]),
        {
            "code": "K1", "taxon": make.taxon().pk, "found_as": "laid", "found_on": "2026-03-02",
            "began_seen": "on", "laid_precision": "day", "into": tank.pk, "show": "1",
        },
    )  # fmt: skip
    text = sent.content.decode()
    assert "Begun between 2 Mar 2026 and 2 Mar 2026; in E10 then: F and M." in text
    assert not Clutch.objects.exists()


def test_a_clutch_of_a_pair_is_entered_with_both_parents(keeper):
    m, f, tank = pair()
    assert found(keeper, tank).status_code == 302
    clutch = Clutch.objects.get()
    stated = {d.role: (d.candidates.get().animal, d.basis) for d in clutch.descents.all()}
    assert stated == {"sire": (m, "housed"), "dam": (f, "housed")}
    assert clutch.stages.get().count == 5
    assert clutch.stays.get().enclosure == tank


def test_one_seen_laying_is_the_dam_for_certain(keeper):
    _, f, tank = pair()
    make.stay(make.animal("G", sex="female"), tank)
    found(keeper, tank, dam=f.pk)
    dam = Descent.objects.get(role="dam")
    assert (dam.candidates.get().animal, dam.basis) == (f, "seen")
    assert Descent.objects.get(role="sire").basis == "housed"


def test_several_are_one_of_and_shown_with_their_doubt(keeper):
    _, _, tank = pair()
    make.stay(make.animal("N", sex="male"), tank)
    found(keeper, tank)
    text = keeper.get(reverse("clutch-show", args=[Clutch.objects.get().pk])).content.decode()
    assert text.count("(50 %)") == 2


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"code": "m"}, "is in use already"),
        ({"code": ""}, "required"),
        ({"code": "<b>"}, "cannot be a code"),
        ({"code": HUGE}, "at most 40 characters"),
        ({"found_on": "2099-01-01"}, "still to come"),
        ({"laid": "2026-03-03"}, "found before it was laid"),
        ({"count": "-1"}, "greater than or equal to 0"),
        ({"count": "many"}, "whole number"),
        ({"count": "99999999999"}, "less than or equal to"),
        ({"taxon": "7777"}, "valid choice"),
        ({"into": ""}, "required"),
        ({"dam": "7777"}, "valid choice"),
    ],
)
def test_a_clutch_that_cannot_be_is_refused_and_nothing_is_half_saved(keeper, told, said):
    _, _, tank = pair()
    page = found(keeper, tank, **told)
    assert said in errors(page)
    assert not Clutch.objects.exists()
    assert not StageCount.objects.exists()


def test_one_animal_is_not_both_parents(keeper):
    m, _, tank = pair()
    assert "another animal than the dam" in errors(found(keeper, tank, dam=m.pk, sire=m.pk))


def test_a_seen_dam_known_as_male_is_refused_and_nothing_is_saved(keeper):
    m, _, tank = pair()
    page = found(keeper, tank, dam=m.pk)
    assert "M is male" in errors(page)
    assert not Clutch.objects.exists()


def brood(**more):
    """Return a clutch with two parents of one place, counted."""
    m, f, tank = pair()
    clutch = make.clutch("K1", enclosure=tank, found_on=date(2025, 11, 1), **more)
    make.parent(clutch, "sire", m)
    make.parent(clutch, "dam", f)
    clutch.stages.create(stage="metamorphosed", day=date(2026, 2, 10), count=3)
    return clutch


def take(keeper, clutch, **told):
    told.setdefault("enclosure", make.enclosure().pk)
    sent = {
        "count": "2", "codes": "K1-##", "day": "2026-03-02", "born": "2026-02-10",
        "born_precision": "day", "locality": make.locality().pk, "source_code": "F", "do": "1",
    } | told  # fmt: skip
    return keeper.post(reverse("clutch-separate", args=[clutch.pk]), sent)


def test_place_and_origin_of_young_are_proposed_from_their_parents(keeper):
    clutch = brood()
    form = keeper.get(reverse("clutch-separate", args=[clutch.pk])).context["form"]
    assert form["locality"].value() == make.locality().pk
    assert form["source_code"].value() == "F"
    assert form["born"].value() == date(2026, 2, 10)
    assert form["codes"].value() == "K1-##"


def test_young_of_two_places_are_proposed_as_their_mix_which_is_made_at_its_first_use(keeper):
    clutch = brood()
    Animal.objects.filter(code="F").update(locality=make.locality("Alder Ford"))
    form = keeper.get(reverse("clutch-separate", args=[clutch.pk])).context["form"]
    assert form["locality"].value() == "mix"
    assert ("mix", "mixed Alder Ford x Grey Mill") in form.fields["locality"].choices
    assert not Locality.objects.filter(name__startswith="mixed").exists()
    assert take(keeper, clutch, locality="mix").status_code == 302
    assert Animal.objects.get(code="K1-01").locality.name == "mixed Alder Ford x Grey Mill"


def test_young_are_taken_out_in_bulk_by_a_pattern(keeper):
    clutch = brood()
    assert take(keeper, clutch).status_code == 302
    assert [a.code for a in clutch.young.all()] == ["K1-01", "K1-02"]
    assert {a.stays.count() for a in clutch.young.all()} == {1}


def test_young_are_taken_out_under_codes_of_their_own(keeper):
    clutch = brood()
    assert take(keeper, clutch, codes="Ada, Bea").status_code == 302
    assert [a.code for a in clutch.young.all()] == ["Ada", "Bea"]


def test_whom_young_join_is_shown_first_and_makes_no_animals(keeper):
    clutch, tank = brood(), make.enclosure("E20", room_for=1)
    sent = {
        "count": "2", "codes": "K1-##", "enclosure": tank.pk, "day": "2026-03-02", "show": "1",
        "born_precision": "day", "source_code": "F",
    }  # fmt: skip
    text = keeper.post(reverse("clutch-separate", args=[clutch.pk]), sent).content.decode()
    assert "K1-01 and K1-02 together; 0.0.2 in E20" in text
    assert "E20 has room for 1; 2 would be in it." in text
    assert not clutch.young.exists()


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"count": "4"}, "At most 3 are left"),
        ({"count": "0"}, "greater than or equal to 1"),
        ({"codes": "F, X"}, "F is a code on record already"),
        ({"codes": "X, x"}, "given twice"),
        ({"codes": "X"}, "2 young, but 1 codes"),
        ({"codes": "##-##"}, "one run of #"),
        ({"codes": "=1+1, Y"}, "cannot be a code"),
        ({"codes": HUGE}, "at most 20000 characters"),
        ({"day": "2099-01-01"}, "still to come"),
        ({"day": "2025-10-31"}, "was found on 1 Nov 2025"),
        ({"born": "2026-03-03"}, "were born by then"),
        ({"born": "2025-10-31"}, "was laid on 1 Nov 2025 or later"),
        ({"locality": "7777"}, "valid choice"),
        ({"source_code": "?"}, "valid choice"),
    ],
)
def test_young_that_cannot_be_are_refused_all_together(keeper, told, said):
    clutch = brood()
    assert said in errors(take(keeper, clutch, **told))
    assert not clutch.young.exists()


def test_counts_and_losses_are_entered_and_refused_in_words(keeper):
    clutch = brood()
    count = reverse("clutch-count", args=[clutch.pk])
    assert "3 metamorphosed" in errors(
        keeper.post(count, {"stage": "hatched", "day": "2026-03-01", "count": "2"})
    )
    assert keeper.post(
        count, {"stage": "hatched", "day": "2026-03-01", "count": ""}
    ).status_code == 302  # fmt: skip
    lose = reverse("clutch-lose", args=[clutch.pk])
    assert "There are 3 left in K1." in errors(
        keeper.post(lose, {"count": "4", "reason": "mould", "day": "2026-03-01"})
    )
    assert keeper.post(
        lose, {"count": "1", "reason": "<i>mould</i>", "day": "2026-03-01"}
    ).status_code == 302  # fmt: skip
    text = keeper.get(reverse("clutch-show", args=[clutch.pk])).content.decode()
    assert "at most 2 left in it" in text or "It stands nowhere now" in text
    assert "<i>mould</i>" not in text


def test_stages_are_shown_as_a_funnel_with_their_shares(keeper):
    clutch = make.clutch("K1")
    for stage, count, days in (("laid", 8, 0), ("hatched", 6, 10), ("hatched", None, 12)):
        clutch.stages.create(stage=stage, count=count, day=make.DAY + timedelta(days=days))
    steps = keeper.get(reverse("clutch-show", args=[clutch.pk])).context["funnel"]
    assert [(s.label, s.count, s.part) for s in steps] == [
        ("laid", 8, "100 %"),
        ("hatched", 6, "75 %"),
    ]


def stated(keeper, child, role="sire", **told):
    name = "clutch-parents" if isinstance(child, Clutch) else "animal-parents"
    sent = {"basis": "housed", "day": "2026-03-02"} | told
    return keeper.post(f"{reverse(name, args=[child.pk])}?role={role}", sent)


def test_parents_are_stated_with_shares_empty_ones_taking_the_rest(keeper):
    clutch = make.clutch("K1")
    for code in "ABC":
        make.animal(code)
    told = {"animal_1": "A", "share_1": "50", "animal_2": "b", "animal_3": "C"}
    assert stated(keeper, clutch, **told).status_code == 302
    made = {c.animal.code: c.weight for c in Descent.objects.get().candidates.all()}
    assert made == {"A": 0.5, "B": 0.25, "C": 0.25}


def test_a_correction_shows_what_it_corrects_and_says_why(keeper):
    clutch, a, b = make.clutch("K1"), make.animal("A"), make.animal("B")
    first = make.parent(clutch, "sire", a, b, basis="housed")
    page = keeper.get(reverse("clutch-parents", args=[clutch.pk]))
    assert page.context["replaces"] == first
    assert page.context["form"]["animal_1"].value() == "A"
    assert "required" in errors(stated(keeper, clutch, animal_1="A"))
    assert stated(keeper, clutch, animal_1="A", why="B laid.").status_code == 302
    assert Descent.objects.current().get().why == "B laid."


def test_an_unknown_parent_is_stated_by_naming_nobody(keeper):
    clutch = make.clutch("K1")
    make.parent(clutch, "sire", make.animal("A"))
    assert stated(keeper, clutch, why="It was another frog.").status_code == 302
    assert not Descent.objects.current().get().candidates.exists()


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"animal_1": "X-9"}, "X-9 is not on record"),
        ({"animal_1": "A, B"}, "Name one only"),
        ({"animal_1": "A", "animal_2": "A"}, "A is named twice"),
        ({"animal_1": "A", "share_1": "60", "animal_2": "B", "share_2": "60"}, "more than 100 %"),
        ({"animal_1": "A", "share_1": "0"}, "above 0 and at most 100 %"),
        ({"animal_1": "A", "share_1": "-5"}, "above 0 and at most 100 %"),
        ({"animal_1": "A", "share_1": "half"}, "Enter a number"),
        ({"share_1": "50"}, "Name whose share this is"),
        ({"animal_1": "A", "day": "2099-01-01"}, "still to come"),
        ({"animal_1": "A", "basis": "guess"}, "valid choice"),
        ({"animal_1": "A", "note": HUGE}, "at most 2000 characters"),
        ({"animal_1": "F"}, "F is female"),
    ],
)
def test_parents_that_cannot_be_are_refused_and_kept_in_the_form(keeper, told, said):
    clutch = make.clutch("K1")
    make.animal("A")
    make.animal("B")
    make.animal("F", sex="female")
    page = stated(keeper, clutch, **told)
    assert said in errors(page)
    assert page.context["form"]["animal_1"].value() == told.get("animal_1")
    assert not Descent.objects.exists()


def test_a_pair_that_could_be_either_names_both(keeper):
    clutch = make.clutch("K1")
    make.animal("X")
    make.animal("Y")
    assert "Name both" in errors(stated(keeper, clutch, role="pair", animal_1="X"))
    told = {"animal_1": "X", "mate_1": "Y", "animal_2": "Y", "mate_2": "X"}
    assert stated(keeper, clutch, role="pair", **told).status_code == 302
    assert [c.weight for c in Descent.objects.get().candidates.all()] == [0.5, 0.5]


def test_many_candidates_fit_in_by_asking_for_more_rows(keeper):
    clutch = make.clutch("K1")
    page = keeper.get(reverse("clutch-parents", args=[clutch.pk]), {"rows": "12"})
    assert "animal_12" in page.context["form"].fields
    page = keeper.get(reverse("clutch-parents", args=[clutch.pk]), {"rows": "999999"})
    assert "animal_40" in page.context["form"].fields
    assert "animal_41" not in page.context["form"].fields
