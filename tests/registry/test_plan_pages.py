"""The plan of a line as a keeper steers it and makes it so."""

import re
from datetime import date

import pytest
from django.urls import reverse
from django.utils import timezone

from registry import kin_tables
from registry.models import Answer, Pairing, Reckoning
from registry.objections import stop
from tests import make

from .test_planning import pair, two_families
from .umbral import line_of, umbral

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
NASTY = "<script>alert(1)</script>"


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody who may join pairs has signed in."""
    client.force_login(make.user(rights=["registry.join_pair"]))
    return client


def address(animals, name="line-plan"):
    """Return the address of the plan of the line of some animals."""
    return reverse(name, args=line_of(next(iter(animals.values()))).address)


def key(*animals):
    """Return a pair as an address tells it."""
    return "{}-{}".format(*pair(*animals))


def shown(page):
    """Return the pairs a page would enter."""
    return set(re.findall(r'name="pair" value="([0-9-]+)"', page))


def text(answer):
    """Return a page as its words, without markup."""
    assert answer.status_code == 200
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def links(page):
    """Return the addresses a page leads to."""
    return {href.replace("&amp;", "&") for href in re.findall(r'href="([^"]+)"', page)}


def reason_boxes(page):
    """Return the names of the boxes in which a reason is asked for."""
    return re.findall(r'<textarea id="(reason-[0-9a-f]+)"', page)


def test_the_plan_is_shown_with_its_figures(keeper):
    page = text(keeper.get(address(two_families())))
    assert "their young would have a gene diversity of" in page
    for figure in ("This plan", "Pairs in force", "Random pairs", "The living now"):
        assert figure in page


def test_a_pair_is_kept_by_a_link_and_let_go_by_another(keeper):
    animals = two_families()
    page = keeper.get(address(animals)).content.decode()
    two = min(shown(page))
    keep = f"{address(animals)}?keep={two}"
    assert keep in links(page)
    kept = keeper.get(keep).content.decode()
    assert '<span class="tag">kept</span>' in kept
    assert f"{address(animals)}?" in links(kept)


def test_a_pair_is_forbidden_by_a_link_and_allowed_again(keeper):
    animals = two_families()
    page = keeper.get(address(animals)).content.decode()
    two = min(shown(page))
    forbid = f"{address(animals)}?forbid={two}"
    assert forbid in links(page)
    without = keeper.get(forbid).content.decode()
    assert two not in shown(without)
    assert "What you took out" in without
    assert f"{address(animals)}?" in links(without)
    turned = "-".join(reversed(two.split("-")))
    other_way = keeper.get(f"{address(animals)}?forbid={turned}").content.decode()
    assert f"{address(animals)}?" in links(other_way)


def test_somebody_is_left_out_by_a_link_and_taken_back_in(keeper):
    animals = two_families()
    page = keeper.get(address(animals)).content.decode()
    who = min(shown(page)).split("-")[0]
    without = f"{address(animals)}?without={who}"
    assert without in links(page)
    left = keeper.get(without).content.decode()
    assert not any(who in two.split("-") for two in shown(left))
    assert f"{address(animals)}?" in links(left)


def test_choices_are_kept_while_limits_change(keeper):
    animals = two_families()
    query = {"keep": key(animals["A"], animals["D"]), "without": animals["M1"].pk}
    page = keeper.get(address(animals), query).content.decode()
    for name, value in query.items():
        assert f'<input type="hidden" name="{name}" value="{value}">' in page


def test_leaving_somebody_out_lets_go_of_the_pair_it_is_kept_in(keeper):
    animals = two_families()
    kept = key(animals["A"], animals["D"])
    page = keeper.get(address(animals), {"keep": kept}).content.decode()
    assert f"{address(animals)}?without={animals['A'].pk}" in links(page)


@pytest.mark.parametrize(
    ("query", "sentence"),
    [
        ("keep={A}-{M1}", "are of one sex"),
        ("keep={A}-{D}&keep={A}-{F2}", "kept in another"),
        ("keep={A}-{D}&forbid={A}-{D}", "left out or kept in another"),
        ("keep={A}-{D}&without={A}", "left out or kept in another"),
        ("keep=1-2-3", "not one of two that can breed here"),
        ("keep={A}-{A}", "not one of two that can breed here"),
        ("forbid=999999-{A}", "not one of two that can breed here"),
        ("keep=" + "9" * 400 + "-1", "not one of two that can breed here"),
        (f"forbid={NASTY}", "not one of two that can breed here"),
        ("without=999999", "cannot breed here"),
        ("without=%00", "cannot breed here"),
        ("without=-1", "cannot breed here"),
        ("below=0", "greater than or equal to 0.001"),
        ("below=2", "less than or equal to 1"),
        ("below=nan", "Enter a number"),
        ("below=1e999", "Enter a number"),
        ("worst=much", "Enter a number"),
        ("most=0", "greater than or equal to 1"),
        ("most=99999999999999999999", "less than or equal to 500"),
        ("most=%F0%9F%90%B8", "Enter a whole number"),
        ("unknown=key&keep=", "not one of two that can breed here"),
    ],
)
def test_nonsense_in_the_address_is_answered_and_a_plan_is_shown(keeper, query, sentence):
    animals = two_families()
    keys = {code: one.pk for code, one in animals.items() if not code.startswith("K")}
    answer = keeper.get(f"{address(animals)}?{query.format(**keys)}")
    assert sentence in text(answer)
    assert NASTY not in answer.content.decode()
    assert shown(answer.content.decode())


def test_a_thousand_choices_are_borne(keeper):
    animals = two_families()
    query = {"forbid": [f"{n}-{n + 1}" for n in range(1000)], "without": list(range(1000, 2000))}
    assert keeper.get(address(animals), query).status_code == 200


def test_the_pairs_shown_become_planned_pairings(keeper):
    animals = two_families()
    pairs = shown(keeper.get(address(animals)).content.decode())
    answer = keeper.post(address(animals, "line-plan-enter"), {"pair": sorted(pairs)})
    assert answer.headers["Location"] == reverse("pairing-list")
    assert {key(*p.animals) for p in Pairing.objects.all()} == pairs
    assert "planned" in text(keeper.get(reverse("pairing-list")))


def test_once_planned_nothing_is_left_to_enter(keeper):
    animals = two_families()
    pairs = sorted(shown(keeper.get(address(animals)).content.decode()))
    query = "?" + "&".join(f"keep={two}" for two in pairs)
    keeper.post(address(animals, "line-plan-enter"), {"pair": pairs})
    page = keeper.get(address(animals) + query)
    assert shown(page.content.decode()) == set()
    assert "Nothing is left to enter" in text(page)


def test_looking_enters_nothing(keeper):
    keeper.get(address(two_families()))
    assert not Pairing.objects.exists()


def test_an_ask_wants_a_reason_and_what_was_typed_is_kept(keeper):
    animals = two_families()
    where = f"?keep={key(animals['A'], animals['B'])}&keep={key(animals['C'], animals['D'])}"
    page = keeper.get(address(animals) + where).content.decode()
    one, other = reason_boxes(page)
    sent = {"pair": sorted(shown(page)), one: "The last two <b>"}
    enter = address(animals, "line-plan-enter") + where
    again = keeper.post(enter, sent)
    assert "Give a reason for each question below; nothing was changed." in text(again)
    assert "The last two &lt;b&gt;</textarea>" in again.content.decode()
    assert not Pairing.objects.exists()
    assert keeper.post(enter, sent | {other: "They too."}).status_code == 302
    assert {a.reason for a in Answer.objects.all()} == {"The last two <b>", "They too."}


def never(proposal):
    """Pair nobody."""
    yield stop("Never.", *proposal.animals)


def test_a_stop_that_came_up_meanwhile_stops_all(keeper, settings):
    animals = two_families()
    pairs = sorted(shown(keeper.get(address(animals)).content.decode()))
    settings.PAIRING_RULES = [f"{__name__}.never"]
    page = text(keeper.post(address(animals, "line-plan-enter"), {"pair": pairs}))
    assert "This is stopped; nothing was changed." in page
    assert "Never." in page
    assert not Pairing.objects.exists()


def test_reasons_and_a_breach_do_not_wave_a_stop_through(client, settings):
    client.force_login(make.user(superuser=True))
    animals = two_families()
    settings.PAIRING_RULES = [f"{__name__}.never"]
    told = {"breach": 1, "breach-who": "I", "breach-why": "I wanted to"}
    sent = {"pair": key(animals["A"], animals["D"]), **told}
    assert client.post(address(animals, "line-plan-enter"), sent).status_code == 200
    assert not Pairing.objects.exists()


@pytest.mark.parametrize(
    ("pairs", "sentence"),
    [
        ([], "A plan has a pair at least"),
        (["nonsense"], "A plan has a pair at least"),
        ([NASTY], "A plan has a pair at least"),
        (["9" * 400 + "-1"], "A plan has a pair at least"),
        (["999998-999999"], "Not all of these animals are of"),
        (["{A}-{A}"], "each animal in one pair only"),
        (["{A}-{D}", "{A}-{F2}"], "each animal in one pair only"),
        (["{A}-{D}", "{D}-{A}"], "each animal in one pair only"),
    ],
)
def test_nonsense_in_the_form_enters_nothing(keeper, pairs, sentence):
    animals = two_families()
    keys = {code: one.pk for code, one in animals.items() if not code.startswith("K")}
    sent = {"pair": [two.format(**keys) for two in pairs]}
    answer = keeper.post(address(animals, "line-plan-enter"), sent)
    assert sentence in text(answer)
    assert "Nothing was changed." in text(answer)
    assert NASTY not in answer.content.decode()
    assert not Pairing.objects.exists()


def test_entering_asks_for_the_right(client):
    animals = two_families()
    client.force_login(make.user())
    assert shown(client.get(address(animals)).content.decode()) == set()
    sent = {"pair": key(animals["A"], animals["D"])}
    assert client.post(address(animals, "line-plan-enter"), sent).status_code == 403
    assert not Pairing.objects.exists()


def test_entering_is_posted(keeper):
    assert keeper.get(address(two_families(), "line-plan-enter")).status_code == 405


def test_a_line_that_cannot_breed_is_told_what_a_plan_is(keeper):
    animal = make.animal(born=timezone.localdate())
    assert "Nobody of this line can breed yet" in text(keeper.get(address({"A": animal})))


def test_limits_no_pair_stays_below_say_what_to_do(keeper):
    animals = umbral()
    for code in ("A", "B", "C"):
        make.departure(animals[code], kind="death", day=date(2026, 3, 2))
    page = text(keeper.get(address({"P": animals["P"]}), {"below": "0.01"}))
    assert "No pair stays below these limits" in page


def test_the_plan_of_the_young_shows_both_figures(keeper):
    animals = umbral()
    for code in ("A", "B", "C", "Q"):
        make.departure(animals[code], kind="death", day=date(2026, 3, 2))
    page = text(keeper.get(address({"P": animals["P"]}), {"below": "0.3", "worst": "0.3"}))
    assert "0.188 expected, 0.25 at worst" in page


def test_a_plan_that_takes_long_is_asked_for_and_come_back_to(keeper, monkeypatch):
    monkeypatch.setattr(kin_tables, "MANY", 2)
    animals = two_families()
    where = f"{address(animals)}?below=0.2"
    assert "Work the plan out" in text(keeper.get(where))
    assert keeper.post(where).headers["Location"] == where
    assert Reckoning.objects.get().state == "done"
    assert shown(keeper.get(where).content.decode())
    assert "Work the plan out" in text(keeper.get(f"{address(animals)}?below=0.21"))


def test_a_plan_is_worked_out_again_once_something_it_rests_on_changes(keeper, monkeypatch):
    monkeypatch.setattr(kin_tables, "MANY", 2)
    animals = two_families()
    keeper.post(address(animals))
    assert shown(keeper.get(address(animals)).content.decode())
    make.departure(animals["M1"], kind="death", day=date(2026, 3, 2))
    assert "Work the plan out" in text(keeper.get(address(animals)))


def test_a_plan_takes_as_many_queries_for_many_pairs_as_for_few(
    keeper, django_assert_max_num_queries
):
    animals = two_families()

    def grow(count):
        for number in range(count):
            make.animal(sex="male" if number % 2 else "female", locality=animals["A"].locality)

    grow(4)
    with django_assert_max_num_queries(60) as few:
        before = shown(keeper.get(address(animals)).content.decode())
    grow(20)
    with django_assert_max_num_queries(len(few)):
        assert len(shown(keeper.get(address(animals)).content.decode())) >= len(before) + 10
