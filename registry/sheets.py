"""Lists people hand in, typed, pasted or as a spreadsheet: read as rows of text, never carried out.

What cannot be read for certain is refused with a sentence that says what to do; nothing is guessed.
"""

import csv
import io
import zipfile
from datetime import date, datetime
from itertools import islice
from xml.etree.ElementTree import ParseError

from openpyxl import Workbook, load_workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.exceptions import InvalidFileException

from .spreadsheet import ACTING
from .telling import decimal, tell, to_tell

MOST_ROWS = 500
MOST_COLUMNS = 40
MOST_BYTES = 2 * 1024 * 1024
MOST_UNPACKED = 40 * 1024 * 1024
MOST_IN_CELL = 2000
MOST_SCANNED = 5000  # rows of a spreadsheet looked through for those that hold anything

ZIP, OLD_OFFICE = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
UNREADABLE = (
    zipfile.BadZipFile, InvalidFileException, ParseError, OSError, EOFError, RuntimeError,
    KeyError, IndexError, ValueError, TypeError, AttributeError, NotImplementedError,
)  # fmt: skip
TOO_MANY = to_tell("The list has more than {most} rows; hand it in as several lists.")


class SheetRefused(Exception):
    """A list cannot be read; the sentence says why, and what to do."""


def rows_of_file(file):
    """Return the rows of a file handed in, by what it holds and not by its name."""
    if file.size > MOST_BYTES:
        most = MOST_BYTES // 2**20
        raise SheetRefused(
            tell(
                "The file has {size} MB; a list has at most {most} MB.",
                size=decimal(f"{file.size / 2**20:.1f}"),
                most=most,
            )
        )
    content = file.read()
    if not content.strip():
        raise SheetRefused(tell("The file is empty."))
    if content.startswith(OLD_OFFICE):
        raise SheetRefused(
            tell(
                "The file is of an old kind, or locked by a password; save it as .xlsx, or as "
                "“CSV UTF-8”, and hand that in."
            )
        )
    if content.startswith(ZIP):
        return _told(_workbook_rows(content))
    return rows_of_text(decoded(content))


def decoded(content):
    """Return the text of a file, which is UTF-8 or says by its first bytes that it is UTF-16."""
    marked = content.startswith((b"\xff\xfe", b"\xfe\xff"))
    try:
        text = content.decode("utf-16" if marked else "utf-8-sig")
    except UnicodeDecodeError as problem:
        line = content[: problem.start].count(b"\n") + 1
        raise SheetRefused(
            tell(
                "The letters of line {line} cannot be read for certain; save the list as "
                "“CSV UTF-8”.",
                line=line,
            )
        ) from problem
    if "\x00" in text:
        raise SheetRefused(
            tell("The file is no list; save it as .xlsx, or as “CSV UTF-8”, and hand that in.")
        )
    return text


def rows_of_text(text):
    """Return the rows of a list whose columns are parted by tabs, semicolons or commas."""
    text = text.removeprefix("\ufeff")
    first = next((line for line in text.splitlines() if line.strip()), "")
    mark = next((m for m in "\t;," if m in first), ",")
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    try:
        return _told(islice(lines, MOST_SCANNED))
    except csv.Error as problem:
        raise SheetRefused(
            tell(
                "Line {line} cannot be read: look for a quotation mark that is opened and not "
                "closed.",
                line=lines.line_num,
            )
        ) from problem


def _told(rows):
    """Return the rows that hold anything, refused where they are too many, too wide or too long."""
    kept = []
    for row in rows:
        cells = [" ".join(str(cell).split()) for cell in row]
        while cells and not cells[-1]:
            cells.pop()
        if not cells:
            continue
        kept.append(cells)
        _refuse_too_much(kept, cells)
    if not kept:
        raise SheetRefused(tell("The list is empty."))
    return kept


def _refuse_too_much(kept, cells):
    if len(kept) > MOST_ROWS + 1:  # and one that names the columns
        raise SheetRefused(tell(TOO_MANY, most=MOST_ROWS))
    if len(cells) > MOST_COLUMNS:
        raise SheetRefused(
            tell("Row {row} has more than {most} columns.", row=len(kept), most=MOST_COLUMNS)
        )
    for number, cell in enumerate(cells, 1):
        if len(cell) > MOST_IN_CELL:
            raise SheetRefused(
                tell(
                    "Row {row}, column {number} has more than {most} characters.",
                    row=len(kept),
                    number=number,
                    most=MOST_IN_CELL,
                )
            )


def _workbook_rows(content):
    _refuse_package(content)
    try:
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=False, keep_links=False)
        sheet = book.worksheets[0]
        return list(_sheet_rows(sheet))
    except UNREADABLE as problem:
        raise SheetRefused(
            tell(
                "The spreadsheet cannot be read; save it as .xlsx, or as “CSV UTF-8”, and hand "
                "that in."
            )
        ) from problem


def _refuse_package(content):
    """Refuse what is no plain workbook before anything in it is unpacked."""
    try:
        package = zipfile.ZipFile(io.BytesIO(content))
        parts = {part.filename.lower(): part for part in package.infolist()}
    except UNREADABLE as problem:
        raise SheetRefused(
            tell("The file is damaged; save it as .xlsx, or as “CSV UTF-8”, and hand that in.")
        ) from problem
    if any("vbaproject" in name for name in parts):
        raise SheetRefused(tell("The spreadsheet holds macros; save it without them, as .xlsx."))
    if "xl/workbook.xml" not in parts:
        raise SheetRefused(
            tell(
                "The file is no spreadsheet that can be read here; save it as .xlsx, or as “CSV "
                "UTF-8”, and hand that in."
            )
        )
    if sum(part.file_size for part in parts.values()) > MOST_UNPACKED:
        raise SheetRefused(
            tell("The spreadsheet is too large once unpacked; keep the list only in it.")
        )


def _sheet_rows(sheet):
    """Yield the rows of a sheet as text; a formula is refused, for its value is not in sight."""
    held = 0
    for row in sheet.iter_rows(max_row=MOST_SCANNED, max_col=MOST_COLUMNS + 1):
        cells = [cell for cell in row if cell.value is not None]
        for cell in cells:
            if cell.data_type == "f":
                raise SheetRefused(
                    tell(
                        "Cell {cell} holds a formula; put its value there (copy, then paste as "
                        "values).",
                        cell=f"{get_column_letter(cell.column)}{cell.row}",
                    )
                )
        held += bool(cells)
        if held > MOST_ROWS + 1:
            raise SheetRefused(tell(TOO_MANY, most=MOST_ROWS))
        yield [_plain(cell.value) for cell in row]


def _plain(value):
    """Return what a cell holds as somebody would have typed it."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        return value.date().isoformat()
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)


def looks_like_formula(text):
    """Return whether a spreadsheet program would carry a text out.

    >>> looks_like_formula("=1+1"), looks_like_formula("D-01"), looks_like_formula("-")
    (True, False, False)
    """
    return text.startswith(ACTING[:1] + ACTING[3:4]) or (
        text.startswith(ACTING[1:3]) and any(mark in text for mark in "(!|")
    )


def workbook(sheets):
    """Return a spreadsheet of text cells, `{title: rows}`, for somebody to fill in."""
    book = Workbook()
    book.remove(book.active)
    for title, rows in sheets.items():
        _fill(book.create_sheet(title), rows)
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


def _fill(sheet, rows):
    """Write rows as text, so that what is typed under them stays as it is typed."""
    for number in range(1, MOST_ROWS + 2):
        row = rows[number - 1] if number <= len(rows) else ()
        for column in range(1, len(rows[0]) + 1):
            cell = sheet.cell(row=number, column=column)
            cell.number_format = "@"
            cell.value = row[column - 1] or None if column <= len(row) else None
    for column, head in enumerate(rows[0], 1):
        sheet.column_dimensions[get_column_letter(column)].width = max(len(head) + 4, 14)
    sheet.freeze_panes = "A2"
