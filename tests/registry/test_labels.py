"""Labels fit common sheets, and their codes open the page of the enclosure."""

import re
from datetime import date

import pytest
import segno
from django.urls import reverse

from registry.labels import SHEETS, Label, as_pdf, scannable
from tests import make
from tests.registry.pdf import places_of, reader, text_of

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)
PAPER = {"a4": (210, 297), "us-letter": (215.9, 279.4)}
ADDRESS = "https://frogs.example/e/abc/"


def labels(count):
    return [Label(code=f"E{n}", text="Room 1", address=f"{ADDRESS}{n}/") for n in range(count)]


def places(page):
    """Return where the code of each label stands, in millimetres from the top left corner."""
    return [(x, y) for text, x, y in places_of(page) if re.fullmatch(r"E\d+", text)]


@pytest.fixture
def keeper(client):
    client.force_login(make.user())
    return client


@pytest.mark.parametrize("sheet", SHEETS.values(), ids=SHEETS)
class TestSheets:
    def test_the_labels_fit_on_the_paper(self, sheet):
        wide, high = PAPER[sheet.paper]
        columns = sheet.columns * sheet.width + (sheet.columns - 1) * sheet.gap
        assert sheet.left + columns <= wide
        assert sheet.top + sheet.rows * sheet.height <= high

    def test_a_full_sheet_is_one_page_and_one_label_more_is_two(self, sheet):
        assert len(reader(as_pdf(labels(sheet.count), sheet, 1, DAY)).pages) == 1
        assert len(reader(as_pdf(labels(sheet.count + 1), sheet, 1, DAY)).pages) == 2

    def test_the_page_has_the_size_of_the_paper(self, sheet):
        box = reader(as_pdf(labels(1), sheet, 1, DAY)).pages[0].mediabox
        size = [round(float(x) / 72 * 25.4, 1) for x in (box.width, box.height)]
        assert size == pytest.approx(PAPER[sheet.paper], abs=0.2)

    def test_a_used_sheet_is_filled_from_the_first_free_label(self, sheet):
        whole = places(reader(as_pdf(labels(sheet.count), sheet, 1, DAY)).pages[0])
        last = places(reader(as_pdf(labels(1), sheet, sheet.count, DAY)).pages[0])
        assert last[0] == pytest.approx(whole[-1], abs=0.3)
        two = reader(as_pdf(labels(2), sheet, sheet.count, DAY))
        assert len(two.pages) == 2

    def test_labels_stand_as_far_apart_as_on_the_sheet(self, sheet):
        found = places(reader(as_pdf(labels(sheet.count), sheet, 1, DAY)).pages[0])
        step = found[1][0] - found[0][0]
        down = found[sheet.columns][1] - found[0][1]
        assert step == pytest.approx(sheet.width + sheet.gap, abs=0.3)
        assert down == pytest.approx(sheet.height, abs=0.3)


def test_the_picture_is_the_code_of_the_address():
    assert scannable(ADDRESS) != scannable(ADDRESS + "x")
    modules = segno.make_qr(ADDRESS, error="m").symbol_size(border=2)[0]
    assert f'width="{modules * 4}"' in scannable(ADDRESS).decode()


def test_the_page_prints_those_chosen_and_all_of_a_unit_none_twice(keeper):
    rack = make.unit("Rack 2")
    make.enclosure("cup 1", unit=rack, kind="cup")
    make.enclosure("gone", unit=rack, retired_on=DAY)
    make.enclosure("E10")
    data = {"enclosures": "E10, cup 1", "units": [rack.pk], "sheet": "a4-24", "start": 1}
    answer = keeper.post(reverse("label-print"), data | {"copies": 2})
    assert answer["Content-Type"] == "application/pdf"
    assert "attachment" in answer["Content-Disposition"]
    text = text_of(answer.content)
    assert (text.count("cup 1"), text.count("E10"), text.count("gone")) == (2, 2, 0)


def test_the_code_leads_to_the_enclosure_after_signing_in(client):
    enclosure = make.enclosure("E10")
    path = reverse("enclosure-label", args=[enclosure.token])
    assert client.get(path).url.startswith(reverse("sign-in"))
    client.force_login(make.user())
    assert client.get(path).url == reverse("enclosure-show", args=[enclosure.pk])


def test_the_address_of_a_label_is_the_one_the_page_was_opened_at(keeper, settings):
    settings.ALLOWED_HOSTS = ["frogs.example", "localhost"]
    enclosure = make.enclosure("E10")
    data = {"enclosures": "E10", "sheet": "a4-24", "start": 1, "copies": 1}
    made = keeper.post(reverse("label-print"), data, headers={"host": "frogs.example"}).content
    assert f"http://frogs.example/e/{enclosure.token}/" in _alternatives(made)
    page = keeper.get(reverse("label-print"), headers={"host": "localhost:8000"}).content.decode()
    assert "only this machine can reach" in page


def _alternatives(content):
    """Return what is read aloud in place of pictures."""
    made, said = reader(content), []
    for number in made.xref[0]:
        thing = made.get_object(number)
        if isinstance(thing, dict) and "/Alt" in thing:
            said.append(str(thing["/Alt"]))
    return " ".join(said)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"enclosures": ""}, "Name an enclosure, or choose a unit."),
        ({"enclosures": "E99"}, "E99 is not on record."),
        ({"start": 25}, "There are 24 labels on that sheet."),
        ({"start": 0}, "greater than or equal to 1"),
        ({"sheet": "a0"}, "Select a valid choice"),
        ({"copies": 11}, "less than or equal to 10"),
    ],
)
def test_nonsense_is_answered_with_a_sentence(keeper, changes, sentence):
    make.enclosure("E10")
    data = {"enclosures": "E10", "sheet": "a4-24", "start": 1, "copies": 1} | changes
    answer = keeper.post(reverse("label-print"), data)
    assert answer.status_code == 200
    assert sentence in answer.content.decode()
