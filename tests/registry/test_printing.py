"""Papers are printed from data: what people typed is shown as it is, and runs nothing."""

from datetime import date

import pytest

from registry import printing
from registry.labels import SHEETS, Label, as_pdf
from tests.registry.pdf import places_of, reader, text_of

DAY = date(2026, 3, 2)
REGISTER = {
    "title": "Register of Lantern Row",
    "author": "Keeper",
    "holding": "Lantern Row",
    "keeper": "Keeper",
    "address": "Keeper",
    "lead": "",
    "printed": "",
    "heads": ["Head"] * 11,
    "pages": [],
    "balance": "",
    "balances": [],
}
HOSTILE = (
    "#panic[x] #set page(width: 1mm)",
    "$x^2$ *bold* _it_ `raw` <label> @ref",
    '"quotes" \\ \\n \\u{41} //comment /* too */',
    "= Heading - list + numbered",
    "#read(\"/etc/passwd\") #import \"@preview/a:1.0.0\"",
    "<script>alert(1)</script>{{ x }}{% x %}",
)  # fmt: skip


def register(holding):
    return printing.printed("register", REGISTER | {"holding": holding}, DAY)


@pytest.mark.parametrize("name", HOSTILE)
def test_markup_that_people_typed_is_printed_as_they_typed_it(name):
    assert name.replace(" ", "") in text_of(register(name)).replace(" ", "")


@pytest.mark.parametrize("name", HOSTILE)
def test_markup_on_a_label_is_printed_as_it_was_typed(name):
    label = Label(code=name[:40], text=name, address="https://frogs.example/e/a/")
    made = as_pdf([label], SHEETS["a4-8"], 1, DAY)
    assert name.replace(" ", "") in text_of(made).replace(" ", "")


@pytest.mark.parametrize("name", ["Жук Ёж", "Ευρώπη", "Ångström Čačak", "Đặng Thị"])
def test_letters_of_other_scripts_are_printed(name):
    assert name in text_of(register(name))


def test_right_to_left_names_are_printed_from_the_fonts_inside():
    for name in ("שלום", "العربية"):
        assert register(name).startswith(b"%PDF")


def test_a_letter_no_font_here_has_is_printed_as_its_number():
    assert "Kept [U+1F0FF] here" in text_of(register("Kept \U0001f0ff here"))


def test_signs_that_turn_the_direction_of_text_are_left_out():
    assert "Grey Mill fdp.exe" in text_of(register("Grey Mill \u202efdp.exe\u2066"))


def test_control_signs_and_halves_of_letters_break_nothing():
    assert "a b c d" in text_of(register("a\x00b\x1bc\ud800d"))


def test_three_hundred_letters_without_a_gap_stay_on_the_page():
    name = "".join(chr(65 + n % 26) for n in range(300))
    row = [["1", "2 Mar 2026", "arrival", "D", "1", "+1", name, name, "EC", name, name]]
    data = REGISTER | {"pages": [{"number": 1, "lines": row}]}
    made = printing.printed("register", data, DAY)
    for page in reader(made).pages:
        assert all(x < 297 - 12 and y < 210 for _, x, y in places_of(page))
    assert text_of(made).replace(" ", "").count(name) == 4


def test_an_accent_is_never_torn_from_its_letter():
    text = printing.plain("e\u0323\u0301" * 60)
    for part in text.split(printing.GAP):
        assert not part.startswith(("\u0323", "\u0301"))


def test_the_same_data_make_the_same_file():
    assert register("Lantern Row") == register("Lantern Row")


def test_a_paper_is_tagged_archival_and_dated():
    made = reader(register("Lantern Row"))
    metadata = made.trailer["/Root"]["/Metadata"].get_data().decode()
    assert "<pdfaid:part>2" in metadata
    assert "<pdfaid:conformance>A" in metadata
    assert "<pdfuaid:part>1" in metadata
    assert made.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert made.metadata.title == "Register of Lantern Row"
    assert made.metadata.creation_date.date() == DAY


def test_a_fault_of_a_template_is_not_hushed_up():
    with pytest.raises(Exception, match="title"):
        printing.printed("register", {}, DAY)
