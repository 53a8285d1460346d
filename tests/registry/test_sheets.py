"""Lists handed in: every way one can be wrong is one clear sentence, and nothing is carried out."""

import io
import zipfile

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from openpyxl import Workbook

from registry.sheets import MOST_BYTES, MOST_ROWS, SheetRefused, rows_of_file, rows_of_text
from registry.stock import headed


def file(content, name="list.csv"):
    """Return a file as it is handed in."""
    return SimpleUploadedFile(name, content)


def book(*rows):
    """Return a spreadsheet with these rows."""
    made, kept = Workbook(), io.BytesIO()
    for row in rows:
        made.active.append(row)
    made.save(kept)
    return kept.getvalue()


def package(**parts):
    """Return a package of files, as spreadsheets are."""
    kept = io.BytesIO()
    with zipfile.ZipFile(kept, "w", zipfile.ZIP_DEFLATED) as made:
        for name, content in parts.items():
            made.writestr(name.replace("__", "/").replace("_x", ".x").replace("_b", ".b"), content)
    return kept.getvalue()


ENTITIES = b"""<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbbbbbbbb">
<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]><workbook>&c;</workbook>"""

HOSTILE = {
    "nothing": (b"", "empty"),
    "only blanks": (b" \n\n ", "empty"),
    "commas only": (b",,,\n,,\n", "empty"),
    "too large": (b"a" * (MOST_BYTES + 1), "at most 2 MB"),
    "another encoding": ("code\nD-01 müller\n".encode("cp1252"), "letters of line 2"),
    "no text": (b"\x00\x01\x02code", "no list"),
    "an old workbook": (b"\xd0\xcf\x11\xe0" + b"\x00" * 600, "old kind, or locked"),
    "a damaged package": (b"PK\x03\x04" + b"x" * 60, "damaged"),
    "another package": (package(word__document_xml="<a/>"), "no spreadsheet that can be read"),
    "macros": (package(xl__workbook_xml="<a/>", xl__vbaProject_bin="x"), "macros"),
    "entities": (package(xl__workbook_xml=ENTITIES), "cannot be read"),
    "a bomb": (package(xl__workbook_xml=b"0" * 42_000_000), "too large once unpacked"),
    "a formula": (book(["code"], ["=1+1"]), "Cell A2 holds a formula"),
    "an open quotation": (b'code,note\nD-01,"never closed\n', "quotation mark"),
    "too many rows": (b"code\n" + b"x\n" * 100_000, f"more than {MOST_ROWS} rows"),
    "too wide": (b"code" + b",x" * 50, "more than 40 columns"),
    "a huge cell": (b"code\n" + b"x" * 3000, "more than 2000 characters"),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_file_that_is_no_list_is_refused_with_a_sentence(kind):
    content, said = HOSTILE[kind]
    with pytest.raises(SheetRefused, match=said):
        rows_of_file(file(content))


def test_a_spreadsheet_of_100_000_rows_is_refused_without_reading_all_of_it():
    many = Workbook(write_only=True)
    sheet, kept = many.create_sheet(), io.BytesIO()
    for _ in range(20_000):
        sheet.append(["x"])
    many.save(kept)
    with pytest.raises(SheetRefused, match="more than 500 rows"):
        rows_of_file(file(kept.getvalue(), "many.xlsx"))


@pytest.mark.parametrize("mark", [";", ",", "\t"])
def test_columns_may_be_parted_in_three_ways(mark):
    text = f"code{mark}note\nD-01{mark}two  words\n\n"
    assert rows_of_text(text) == [["code", "note"], ["D-01", "two words"]]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
def test_an_encoding_that_is_certain_is_read(encoding):
    rows = rows_of_file(file("code;name\r\nD-01;Müller\r\n".encode(encoding)))
    assert rows == [["code", "name"], ["D-01", "Müller"]]


def test_what_a_spreadsheet_holds_is_read_as_somebody_would_have_typed_it():
    from datetime import date, datetime

    rows = book(
        ["code", "born"], [12, datetime(2024, 3, 10)], [None, None], [1.5, date(2024, 1, 2)]
    )
    assert rows_of_file(file(rows, "a.xlsx")) == [
        ["code", "born"], ["12", "2024-03-10"], ["1.5", "2024-01-02"],
    ]  # fmt: skip


HEADS = {
    "no headings": ([["D-01", "male"]], "The first row names the columns"),
    "no code": ([["sex"], ["male"]], "No column is headed “code”"),
    "an unknown one": ([["code", "shoe size"], ["a", "4"]], "“shoe size” is no column known here"),
    "an empty one": ([["code", "", "sex"], ["a", "b", "c"]], "A column has no heading"),
    "one twice": ([["code", "animal"], ["a", "b"]], "Two columns are headed “code”"),
    "a longer row": ([["code"], ["a", "b"]], "Row 2 has 2 cells under 1 headings"),
    "no animal": ([["code"]], "no animal under the headings"),
}


@pytest.mark.parametrize("kind", HEADS)
def test_headings_are_known_or_refused_and_nothing_is_left_out_unseen(kind):
    rows, said = HEADS[kind]
    with pytest.raises(SheetRefused, match=said):
        headed(rows)


def test_headings_are_known_by_other_words_too():
    assert headed([["Code *", "Date of birth"], ["D-01", "2024"], ["D-02"]]) == [
        {"code": "D-01", "born": "2024"}, {"code": "D-02"},
    ]  # fmt: skip
