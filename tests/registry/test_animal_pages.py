"""The list of animals, its export, and the pages on which one is entered and put right."""

import csv
import io
from datetime import date, timedelta

import pytest
from django.contrib.admin.models import LogEntry
from django.urls import reverse
from django.utils import timezone

from registry.models import Animal, Mark
from tests import make

pytestmark = pytest.mark.django_db
HUGE = "x" * 100_000


@pytest.fixture
def keeper(client):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user(superuser=True))
    return client


def listed(keeper, **asked):
    """Return the codes on the page of the list."""
    page = keeper.get(reverse("animal-list"), asked)
    return [row.animal.code for row in page.context["rows"]]


def exported(keeper, **asked):
    """Return the rows of the exported table."""
    sent = keeper.get(reverse("animal-export"), asked)
    text = b"".join(sent.streaming_content).decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def test_the_list_shows_who_is_here(keeper):
    make.animal("here")
    make.departure(make.animal("sold"), kind="sale")
    make.departure(make.animal("dead"), kind="death")
    make.animal("ancestor", arrived=False)
    assert listed(keeper) == ["here"]
    assert set(listed(keeper, where="alive")) == {"here", "sold", "ancestor"}
    assert set(listed(keeper, where="all")) == {"here", "sold", "dead", "ancestor"}


@pytest.mark.parametrize(("on", "there"), [("2026-03-01", True), ("2026-03-02", False)])
def test_the_list_is_asked_about_any_day(keeper, on, there):
    make.departure(make.animal("A"), day=make.DAY)
    assert listed(keeper, on=on) == (["A"] if there else [])


def test_the_list_is_narrowed_by_taxon_place_origin_unit_and_enclosure(keeper):
    epi = make.taxon("Epipedobates anthonyi")
    a = make.animal("A", source_code="C")
    b = make.animal("B", taxon=epi)
    make.stay(a, make.enclosure("E1", make.unit("Room 1")))
    make.stay(b, make.enclosure("E2", make.unit("Room 2")))
    assert listed(keeper, taxon=epi.pk) == ["B"]
    assert listed(keeper, locality=a.locality.pk) == ["A"]
    assert listed(keeper, source_code="C") == ["A"]
    assert listed(keeper, unit=make.unit("Room 2").pk) == ["B"]
    assert listed(keeper, enclosure="e1") == ["A"]
    assert listed(keeper, taxon=epi.pk, source_code="C") == []


SEXED = {
    "male": ["called", "looks male"],
    "male-sure": ["called"],
    "male-likely": ["looks male"],
    "female": ["looks female now", "seen dam"],
    "female-sure": ["seen dam"],
    "female-likely": ["looks female now"],
    "unsexed": ["nothing"],
    "contradicted": ["both"],
}


@pytest.mark.parametrize("asked", SEXED)
def test_the_list_is_narrowed_by_sex_and_how_sure(keeper, asked):
    make.animal("called", sex="male", basis="calling")
    make.animal("looks male", sex="male", basis="looks")
    changed = make.animal("looks female now", sex="male", basis="looks")
    make.finding(changed, sex="female", basis="size")
    make.parent(make.clutch(), "dam", make.animal("seen dam"))
    make.animal("nothing").sex_findings.create(sex="male", basis="dna", day=make.DAY).withdrawn(
        by=None, why="A slip."
    )
    both = make.animal("both", sex="female", basis="dna")
    make.finding(both, sex="male", basis="calling")
    assert sorted(listed(keeper, sex=asked)) == SEXED[asked]


def test_the_sexes_that_are_asked_for_are_those_that_are_shown(keeper):
    make.animal("A", sex="male", basis="looks")
    make.finding(make.animal("B", sex="male", basis="looks"), sex="female", basis="dna")
    page = keeper.get(reverse("animal-list"), {"sex": "female-sure"})
    assert [row.sexing.words() for row in page.context["rows"]] == ["female (DNA)"]


def test_the_list_is_narrowed_by_standing(keeper):
    make.animal("old")
    newcomer = make.animal("new", here_since=timezone.localdate() - timedelta(days=3))
    newcomer.clearances.all().delete()
    everyone = {row["code"]: row["standing"] for row in exported(keeper)}
    for code, said in everyone.items():
        state = "cleared" if said.startswith("Cleared") else "held"
        assert code in listed(keeper, standing=state)
        assert code not in listed(keeper, standing="held" if state == "cleared" else "cleared")


def test_the_list_is_narrowed_by_age(keeper):
    today = timezone.localdate()
    make.animal("young", born=today - timedelta(days=100))
    make.animal("old", born=today - timedelta(days=1000))
    make.animal("unknown")
    assert listed(keeper, older=12) == ["old"]
    assert listed(keeper, younger=12) == ["young"]
    assert listed(keeper, older=1, younger=6) == ["young"]


def test_the_list_is_narrowed_by_generation(keeper):
    sire, dam = make.animal("W1"), make.animal("W2")
    clutch = make.clutch(found_on=date(2025, 1, 1))
    make.parent(clutch, "sire", sire)
    make.parent(clutch, "dam", dam)
    make.young(clutch, "F1")
    assert listed(keeper, generation=1) == ["F1"]
    assert sorted(listed(keeper, generation=0)) == ["W1", "W2"]


def test_the_list_is_searched_by_code_name_mark_and_note(keeper):
    one = make.animal("D-01", name="Gilda", note="limps")
    Mark.objects.create(animal=one, kind="chip", value="985-77", day=make.DAY)
    make.animal("D-02")
    for text in ("d-01", "gild", "985", "limps"):
        assert listed(keeper, q=text) == ["D-01"]


@pytest.mark.parametrize("asked", ["taxon", "sex", "standing", "older", "unit", "where", "page"])
@pytest.mark.parametrize("nonsense", ["<script>", "-1", "'; --", "99999999999999999999"])
def test_a_filter_bears_nonsense(keeper, asked, nonsense):
    make.animal("A")
    page = keeper.get(reverse("animal-list"), {asked: nonsense})
    assert page.status_code == 200
    assert b'<script>"' not in page.content


def test_a_long_list_is_turned_page_by_page_and_keeps_its_filter(keeper):
    for n in range(60):
        make.animal(f"A-{n:02}", source_code="C")
    assert len(listed(keeper, source_code="C")) == 50
    assert listed(keeper, source_code="C", page=2)[0] == "A-50"
    page = keeper.get(reverse("animal-list"), {"source_code": "C"}).content.decode()
    assert "source_code=C&amp;page=2" in page


def test_the_export_is_exactly_what_is_filtered_all_pages_of_it(keeper):
    for n in range(60):
        make.animal(f"A-{n:02}", source_code="C")
    make.animal("B", source_code="W")
    assert [row["code"] for row in exported(keeper, source_code="C")] == [
        f"A-{n:02}" for n in range(60)
    ]


def test_nothing_typed_acts_as_a_formula_in_the_export(keeper):
    for n, text in enumerate(("=1+1", "+1", "-1", "@x", "\tx", "plain")):
        make.animal(f"A-{n}", name=text)
    names = [row["name"] for row in exported(keeper)]
    assert names == ["'=1+1", "'+1", "'-1", "'@x", "'\tx", "plain"]


def test_the_export_needs_its_right(client):
    client.force_login(make.user(rights=["registry.view_animal"]))
    assert client.get(reverse("animal-export")).status_code == 403
    assert "table.csv" not in client.get(reverse("animal-list")).content.decode()


def typed(**more):
    """Return the form of an animal, filled in."""
    place = make.locality()
    return {
        "code": "D-01",
        "name": "",
        "taxon": place.taxon.pk,
        "locality": place.pk,
        "source_code": "W",
        "born": "",
        "born_precision": "day",
        "note": "",
    } | more


def test_an_ancestor_is_entered(keeper):
    assert keeper.post(reverse("animal-add"), typed(born="2015-05-01")).status_code == 302
    assert Animal.objects.get().born == date(2015, 5, 1)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"code": ""}, "required"),
        ({"code": "=1+1"}, "cannot be a code"),
        ({"code": "d-99"}, "is in use already"),
        ({"code": HUGE}, "at most 40 characters"),
        ({"name": HUGE}, "at most 80 characters"),
        ({"note": HUGE}, "at most 4000 characters"),
        ({"born": "2099-01-01"}, "still to come"),
        ({"born": "1512-01-01"}, "before 1900"),
        ({"born": "soon"}, "Give a day, as in"),
        ({"taxon": "77777"}, "valid choice"),
        ({"taxon": ""}, "required"),
        ({"locality": "elsewhere"}, "is a place of"),
    ],
)
def test_what_is_wrong_is_said_beside_its_field_and_kept(keeper, wrong, said):
    make.animal("D-99")
    sent = typed(**wrong)
    if sent["locality"] == "elsewhere":
        sent["locality"] = make.locality("Far Ridge", make.taxon("Mantella aurantiaca")).pk
    page = keeper.post(reverse("animal-add"), sent)
    ((field, _),) = wrong.items()
    assert said in " ".join(page.context["form"].errors[field])
    assert str(page.context["form"][field].value())[:50] == str(sent[field])[:50]
    assert not Animal.objects.filter(code="D-01").exists()


def test_markup_and_quotes_are_shown_as_typed(keeper):
    name = '<script>alert(1)</script> "O\'Frog"'
    keeper.post(reverse("animal-add"), typed(name=name))
    page = keeper.get(reverse("animal-show", args=[Animal.objects.get().pk])).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt; &quot;O&#x27;Frog&quot;" in page


def put_right(keeper, animal, **more):
    sent = typed(code=animal.code, locality=animal.locality.pk, taxon=animal.taxon.pk, **more)
    return keeper.post(reverse("animal-edit", args=[animal.pk]), sent)


def test_a_change_of_identity_says_why_and_is_kept_in_the_time_line(keeper):
    animal = make.animal("D-01")
    page = put_right(keeper, animal, born="2019-01-01")
    assert "Say why" in " ".join(page.context["form"].errors["why"])
    assert put_right(keeper, animal, born="2019-01-01", why="From its paper.").status_code == 302
    assert LogEntry.objects.get().change_message == ("Born: unknown → 1 Jan 2019. From its paper.")
    page = keeper.get(reverse("animal-show", args=[animal.pk])).content.decode()
    assert "unknown → 1 Jan 2019. From its paper." in page


def test_a_name_is_changed_without_a_reason(keeper):
    animal = make.animal("D-01")
    assert put_right(keeper, animal, name="Gilda").status_code == 302
    animal.refresh_from_db()
    assert animal.name == "Gilda"


@pytest.mark.parametrize(
    ("born", "allowed"), [("2026-03-01", True), ("2026-03-02", True), ("2026-03-03", False)]
)
def test_a_birth_is_not_put_after_the_first_stay(keeper, born, allowed):
    animal = make.animal("D-01", here_since=make.DAY)
    answer = put_right(keeper, animal, born=born, why="x")
    animal.refresh_from_db()
    assert (answer.status_code == 302) is allowed
    assert (animal.born is not None) is allowed
    if not allowed:
        assert "was born 3 Mar 2026" in " ".join(answer.context["form"].errors["born"])


def test_a_birth_is_not_put_so_late_that_the_young_are_older(keeper):
    animal = make.animal("D-01", here_since=date(2025, 6, 1))
    make.parent(make.clutch(found_on=make.DAY), "sire", animal)
    answer = put_right(keeper, animal, born="2025-05-01", why="x")
    assert "was not mature" in " ".join(answer.context["form"].errors["born"])


def test_a_birth_of_young_bred_here_stays_after_the_laying(keeper):
    young = make.young(make.clutch(found_on=date(2025, 6, 1)), "P", locality=make.locality())
    answer = put_right(keeper, young, born="2025-05-31", why="x", source_code="F")
    assert "was laid on 1 Jun 2025 or later" in " ".join(answer.context["form"].errors["born"])


def test_a_code_changes_only_in_its_case(keeper):
    animal = make.animal("d-01")
    sent = typed(code="D-01", locality=animal.locality.pk, taxon=animal.taxon.pk, why="Label.")
    assert keeper.post(reverse("animal-edit", args=[animal.pk]), sent).status_code == 302


def test_one_animal_shows_its_place_its_parents_with_their_doubt_and_what_was_corrected(keeper):
    a, b, dam = make.animal("A"), make.animal("B"), make.animal("C")
    clutch = make.clutch("K1", found_on=date(2025, 6, 1))
    make.parent(clutch, "sire", a, b, basis="housed")
    make.parent(clutch, "dam", dam)
    young = make.young(clutch, "P")
    make.stay(young, make.enclosure("E10"), start=young.separated_on)
    make.finding(young, sex="male", basis="looks").corrected(
        by=make.user("ann"), why="Looked again.", sex="female"
    )
    text = keeper.get(reverse("animal-show", args=[young.pk])).content.decode()
    for part in ("E10", "(50 %)", "stated for the clutch", "probably female", "Looked again."):
        assert part in text
    assert "<s>Found male: looks.</s>" in text


def test_an_animal_that_left_says_so_and_offers_no_daily_acts(keeper):
    animal = make.animal("D-01")
    make.departure(animal, kind="death")
    text = keeper.get(reverse("animal-show", args=[animal.pk])).content.decode()
    assert "D-01 died on 2 Mar 2026." in text
    assert "Heard calling" not in text


def test_a_page_asks_the_database_a_bounded_number_of_times(keeper, django_assert_max_num_queries):
    animal, tank = make.animal("A", sex="male"), make.enclosure()
    for n in range(12):
        make.stay(
            animal,
            tank,
            start=date(2021, 1, 1) + timedelta(days=n),
            end=date(2021, 1, 2) + timedelta(days=n),
        )
        animal.observations.create(kind="ate", start=date(2021, 1, 1) + timedelta(days=n))
    with django_assert_max_num_queries(60):
        keeper.get(reverse("animal-show", args=[animal.pk]))
