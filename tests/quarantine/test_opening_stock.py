"""Opening stock as a list: read, shown back with what is wrong, and entered whole or not at all."""

import io
from datetime import date, timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone
from openpyxl import load_workbook

from quarantine.held import standings
from quarantine.models import Clearance
from registry.models import Animal, Arrival, Descent, Locality, Party, SexFinding, Stay
from registry.sheets import rows_of_text
from registry.stock import headed, read_rows
from registry.stock_columns import COLUMNS
from tests import make

pytestmark = pytest.mark.django_db
OPEN = "/arrivals/opening/"
FROG = "Dendrobates tinctorius"
LIST = f"""code; species; locality; origin; sex; sex from; born; arrived; supplier; sire; dam; \
parents from; marks; enclosure
D-01;{FROG};Grey Mill;W;male;heard calling;;2019-05-03;Old Box;;;;ring 7, chip 9410;F1
D-02;dendrobates TINCTORIUS;Grey Mill;W;f;laid;;2019-05-03;Old Box;;;;;F1
D-03;{FROG};Grey Mill;C;;;May 2023;;;D-01;D-02;seen;;F2
D-04;{FROG};Grey Mill;C;male;seller;about 3 Oct 2023;04.11.2023;Isa;d-01 or D-05;;housed together;;
D-05;{FROG};Grey Mill;U;male;;2020;2021-01-02;;;;;;F3
"""


@pytest.fixture
def room():
    """Return premises, a species and three enclosures, on record."""
    make.holding(), make.taxon()
    return [make.enclosure(code, room_for=2) for code in ("F1", "F2", "F3")]


@pytest.fixture
def keeper(client, room):
    """Return a browser in which somebody with every right has signed in."""
    client.force_login(make.user("owner", superuser=True))
    return client


def shown_back(keeper, text="", **more):
    """Hand in a list, and return the page that shows it back."""
    first = {"day": timezone.localdate(), "holding": make.holding().pk, "text": text}
    return keeper.post(OPEN, first | more)


def typed(page, **changes):
    """Return what the page would send, with some cells or buttons changed."""
    rows = page.context["rows"]
    sent = {cell.id: cell.text for row in rows for cell in row.cells}
    begins = {"day": timezone.localdate(), "holding": make.holding().pk, "rows": len(rows)}
    return sent | begins | changes


def problems(page):
    """Return what is wrong, by row and column."""
    return {
        (row.number, cell.column.name): cell.problem
        for row in page.context["rows"]
        for cell in row.problems
    }


def test_a_list_is_shown_back_before_anything_is_saved(keeper):
    page = shown_back(keeper, LIST)
    assert problems(page) == {}
    assert "5 animals, and nothing stands against the rows" in page.text
    assert "New suppliers: Old Box and Isa." in page.text
    assert not Animal.objects.exists()
    assert not Party.objects.filter(name="Isa").exists()


def test_a_list_is_entered_by_one_act_with_all_it_tells(keeper):
    page = shown_back(keeper, LIST)
    done = keeper.post(OPEN, typed(page, do="1", grounds="Here for years."), follow=True)
    assert "5 animals are on record and cleared." in done.text
    one, two, three, four, five = Animal.objects.order_by("code")
    assert one.arrivals.get().day == date(2019, 5, 3), "an arrival keeps its own date"
    assert one.arrivals.get() == two.arrivals.get(), "those that came together came once"
    assert one.arrivals.get().supplier.name == "Old Box"
    assert {str(mark) for mark in one.marks.all()} == {"ring 7", "chip 9410"}
    assert set(SexFinding.objects.values_list("animal__code", "sex", "basis")) == {
        ("D-01", "male", "calling"), ("D-02", "female", "laid"),
        ("D-04", "male", "seller"), ("D-05", "male", "looks"),
    }  # fmt: skip
    assert (three.born_precision, four.born_precision, five.born_precision) == (
        "month", "about", "year",
    )  # fmt: skip
    assert three.arrivals.get().day == timezone.localdate()
    sires = Descent.objects.get(animal=four, role="sire").candidates
    assert set(sires.values_list("animal__code", "weight")) == {("D-01", 0.5), ("D-05", 0.5)}
    assert Descent.objects.get(animal=three, role="dam").basis == "seen"
    stays = Stay.objects.values_list("animal__code", "enclosure__code", "start")
    today = timezone.localdate()
    assert set(stays) == {
        ("D-01", "F1", today), ("D-02", "F1", today), ("D-03", "F2", today), ("D-05", "F3", today),
    }  # fmt: skip
    signed = Clearance.objects.get()
    assert (signed.signed_by.username, signed.grounds) == ("owner", "Here for years.")
    told = standings(list(Animal.objects.all()), today)
    assert {one.state for one in told.values()} == {"cleared"}


def test_animals_of_one_source_have_one_source_whenever_they_were_born(keeper):
    text = "code;species;born;supplier\nA;Dendrobates tinctorius;2020;Isa\n"
    page = shown_back(keeper, text + "B;Dendrobates tinctorius;2021;Isa\n")
    keeper.post(OPEN, typed(page, do="1", held="on"))
    one, two = Animal.objects.order_by("code")
    assert one.source_group == two.source_group
    assert one.born.year + 1 == two.born.year


WRONG = (
    ("code", "=cmd|'/c calc'!A1", "formula"),
    ("code", "", "Each animal has a code."),
    ("code", "D-01", "given to two animals"),
    ("code", "old", "on record already"),
    ("taxon", "Dendrobates tinctorious", "Did you mean Dendrobates tinctorius?"),
    ("taxon", "", "Say which species"),
    ("sex", "boy", "it may be female and male"),
    ("basis", "horoscope", "it may be DNA"),
    ("origin", "Q", "“Q” is not known here"),
    ("born", "10/03/2020", "may be 10 Mar 2020 or 3 Oct 2020"),
    ("born", "2999-01-01", "is not on record here"),
    ("arrived", "May 2020", "is not one day"),
    ("arrived", "3.10.21", "four digits"),
    ("arrived", "31.02.2021", "not in the calendar"),
    ("arrived", "45000", "own number for a day"),
    ("sire", "D-9", "neither in this list nor on record"),
    ("sire", "D-03", "not its own parent"),
    ("parents", "", "Say what the parents rest on"),
    ("enclosure", "F9", "no enclosure in use. Add it"),
    ("locality", "mixed A x B", "leave it empty"),
    ("name", "n" * 81, "At most 80"),
)


def test_what_is_wrong_with_a_row_is_said_beside_its_column(room):
    make.animal("old")
    for column, text, said in WRONG:
        rows = headed(rows_of_text(LIST))
        rows[2][column] = text
        found = read_rows(rows, timezone.localdate()).problems
        assert said in found[2][column]


def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_is_kept(keeper):
    right = shown_back(keeper, LIST)
    wrong = {"row-2-enclosure": "F9", "row-1-born": "10/03/2020", "row-3-code": "<b>"}
    page = keeper.post(OPEN, typed(right, do="1", grounds="my word", **wrong))
    assert set(problems(page)) == {(2, "enclosure"), (1, "born"), (3, "code")}
    for name, text in (wrong | {"row-3-code": "&lt;b&gt;"}).items():
        assert f'id="{name}" name="{name}" value="{text}"' in page.text
        assert f'aria-describedby="{name}-problem"' in page.text
    assert "my word" in page.text
    assert not Animal.objects.exists()


def test_a_row_that_contradicts_another_is_refused_by_the_same_doors_as_anywhere(keeper):
    page = shown_back(keeper, LIST)
    page = keeper.post(
        OPEN, typed(page, do="1", grounds="x", **{"row-0-sire": "D-03", "row-0-parents": "seen"})
    )
    assert "row-0-sire" in page.text
    assert any(column == "sire" for _, column in problems(page))
    assert not Animal.objects.exists()


def test_a_row_can_be_taken_out_and_one_added(keeper):
    page = shown_back(keeper, LIST)
    more = {"leave-3": "1", "row-5-code": "D-06", "row-5-taxon": "Dendrobates tinctorius"}
    keeper.post(OPEN, typed(page, do="1", grounds="x", **more))
    codes = set(Animal.objects.values_list("code", flat=True))
    assert codes == {"D-01", "D-02", "D-03", "D-05", "D-06"}


def test_rules_are_asked_of_opening_stock_as_of_everybody(keeper):
    text = LIST.replace("U;male;;2020;2021-01-02;;;;;;F3", "U;male;dna;2020;2021-01-02;;;;;;F1")
    page = shown_back(keeper, text)
    assert "2 males" in page.text
    assert "has room for 2" in page.text
    send = typed(page, do="1", grounds="x")
    refused = keeper.post(OPEN, send)
    assert not Animal.objects.exists()
    assert "Why it is right all the same" in refused.text
    keeper.post(OPEN, send | {"reason-all": "They have lived so for years."})
    assert Animal.objects.count() == 5


def test_animals_left_held_cannot_share_an_enclosure_unless_they_came_together(keeper):
    page = shown_back(keeper, LIST.replace(";F3", ";F2"))
    refused = keeper.post(OPEN, typed(page, do="1", held="on"))
    assert "This is stopped" in refused.text
    assert "D-03 is held" in refused.text
    assert not Animal.objects.exists()


def test_whoever_may_not_sign_enters_animals_that_stay_held(client, room):
    rights = ("register_arrival", "add_sexfinding", "add_mark", "add_descent", "place_animal")
    client.force_login(make.user(rights=[f"registry.{name}" for name in rights]))
    page = shown_back(client, "code;species\nA;Dendrobates tinctorius\n")
    assert page.context["sign"] is None
    client.post(OPEN, typed(page, do="1", grounds="I say so"))
    assert not Clearance.objects.exists()
    told = standings(list(Animal.objects.all()), timezone.localdate())
    assert [one.state for one in told.values()] == ["held"]


def test_nobody_signs_without_grounds(keeper):
    page = shown_back(keeper, LIST)
    refused = keeper.post(OPEN, typed(page, do="1"))
    assert "Say on what grounds, or leave them held for now." in refused.text
    assert not Animal.objects.exists()


def test_a_day_the_register_begins_that_is_to_come_is_refused_and_keeps_the_rows(keeper):
    page = shown_back(keeper, LIST)
    ahead = timezone.localdate() + timedelta(days=1)
    refused = keeper.post(OPEN, typed(page, do="1", grounds="x", day=ahead))
    assert "still to come" in refused.text
    assert len(refused.context["rows"]) == 6


def test_the_list_to_fill_in_is_read_back_as_it_was_filled(keeper):
    sent = keeper.get(reverse("stock-template", args=["xlsx"])).content
    book = load_workbook(io.BytesIO(sent))
    sheet = book["Animals"]
    assert [cell.value for cell in sheet[1]] == [column.heading for column in COLUMNS]
    sheet["A2"], sheet["B2"], sheet["G2"] = "D-01", "Dendrobates tinctorius", date(2024, 3, 10)
    filled = io.BytesIO()
    book.save(filled)
    page = shown_back(keeper, file=SimpleUploadedFile("stock.xlsx", filled.getvalue()))
    assert problems(page) == {}
    keeper.post(OPEN, typed(page, do="1", held="on"))
    assert Animal.objects.get().born == date(2024, 3, 10)
    assert keeper.get(reverse("stock-template", args=["csv"])).text.startswith("\ufeffcode,species")


def test_a_list_that_cannot_be_read_says_so_and_is_kept_in_its_box(keeper):
    page = shown_back(keeper, 'code;species\n"A;Dendrobates\n')
    assert "quotation mark" in page.text
    assert "&quot;A;Dendrobates" in page.text
    both = shown_back(keeper, LIST, file=SimpleUploadedFile("a.csv", b"code\nA\n"))
    assert "not both" in both.text


def test_thirty_animals_ask_the_database_a_bounded_number_of_times(
    keeper, django_assert_max_num_queries
):
    rows = "".join(f"X-{n:02};Dendrobates tinctorius;Grey Mill;C\n" for n in range(30))
    with django_assert_max_num_queries(250):
        page = shown_back(keeper, f"code;species;locality;origin\n{rows}")
    assert problems(page) == {}
    assert not Locality.objects.filter(name="Nowhere").exists()
    assert Arrival.objects.count() == 0
