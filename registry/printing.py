"""Papers as PDF files: a template of ours, and data that is only ever shown, never run.

What people typed reaches a template as JSON beside it, so that no sign in it can be markup. Fonts
are those inside the typesetting library; where a name has letters they lack, fonts of the machine
help out, and a letter that no font here has is printed as its number, [U+4E2D].
"""

import json
import re
import unicodedata
from functools import cache, lru_cache
from pathlib import Path

import typst

from .telling import tell

FOLDER = Path(__file__).with_name("printed")
STANDARDS = ["a-2a", "ua-1"]  # to be kept for years, and read aloud
TURNING = dict.fromkeys(map(ord, "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff"))
UNSEEN = {"Cc", "Cs"}  # control signs, and halves of letters
LONG = 24  # characters without a gap that still fit a column
GAP = "\u200b"
WORDS = re.compile(r'\bt\("([^"]+)"\)')


def printed(template, data, on, files=None):
    """Return a paper as a PDF file.

    Parameters
    ----------
    template : str
        The name of a file in `printed/`, without its ending.
    data : dict
        What the template shows: text, numbers, truth, lists and dicts of these.
    on : datetime.date
        The date of the paper.
    files : dict of str to bytes, optional
        SVG pictures by the name that `data` calls them.

    Returns
    -------
    bytes
        A tagged PDF/A-2a, the same for the same data.
    """
    parts = {"main": _template(template), "house.typ": _template("house")} | (files or {})
    told = shown(data) | {"on": [on.year, on.month, on.day]}
    told["words"] = {word: tell(word) for name in ("house", template) for word in words_of(name)}
    try:
        return _compiled(parts, told, _own_fonts(), STANDARDS)
    except typst.TypstError as problem:
        if "could not be displayed" not in str(problem):
            raise
    spelled = spelled_out(told)
    try:
        return _compiled(parts, spelled, _all_fonts(), STANDARDS)
    except typst.TypstError:
        return _compiled(parts, spelled, _all_fonts(), [])


def _compiled(parts, told, fonts, standards):
    given = json.dumps(told, ensure_ascii=False).encode()
    return typst.compile(
        parts | {"data.json": given},
        format="pdf",
        font_paths=fonts,
        pdf_standards=standards,
    )


def words_of(name):
    """Return the words of a template that are told in the language of the paper."""
    return WORDS.findall(_template(name).decode())


@cache
def _template(name):
    return (FOLDER / f"{name}.typ").read_bytes()


@cache
def _own_fonts():
    return typst.Fonts(include_system_fonts=False)


@cache
def _all_fonts():
    return typst.Fonts(include_system_fonts=True)


def shown(data):
    """Return data with every text as it can be printed.

    >>> shown({"name": "a\\tb\\x00", "list": ["\\u202eevil", 3, None]})
    {'name': 'a b', 'list': ['evil', 3, '']}
    """
    if isinstance(data, dict):
        return {key: shown(value) for key, value in data.items()}
    if isinstance(data, list | tuple):
        return [shown(value) for value in data]
    if data is None:
        return ""
    return data if isinstance(data, bool | int | float) else plain(str(data))


def plain(text):
    """Return text without control signs and turned directions; long words may be broken.

    >>> plain("one\\r\\ntwo"), len(plain("x" * 60))
    ('one\\ntwo', 62)
    """
    text = unicodedata.normalize("NFC", text.replace("\r\n", "\n").translate(TURNING))
    kept = "".join(c if c == "\n" or unicodedata.category(c) not in UNSEEN else " " for c in text)
    return re.sub(r"\S{25,}", lambda word: _breakable(word.group()), kept.strip())


def _breakable(word):
    """Allow a word to be broken now and then, though never before an accent of its own."""
    found, run = [], 0
    for letter in word:
        if run >= LONG and unicodedata.category(letter)[0] != "M":
            found, run = [*found, GAP], 0
        found.append(letter)
        run += 1
    return "".join(found)


def spelled_out(data):
    """Return data with every letter no font here has written as its number."""
    if isinstance(data, dict):
        return {key: spelled_out(value) for key, value in data.items()}
    if isinstance(data, list):
        return [spelled_out(value) for value in data]
    if isinstance(data, str):
        return "".join(c if has_glyph(c) else f"[U+{ord(c):04X}]" for c in data)
    return data


@lru_cache(maxsize=50_000)
def has_glyph(letter):
    """Return whether some font here can show a letter.

    >>> has_glyph("é"), has_glyph("\\U0001f0ff")
    (True, False)
    """
    if letter.isascii() or letter == GAP:
        return True
    try:
        _compiled({"main": b'#set document(title: "t")\n#json("data.json").at("letter")'},
                  {"letter": letter}, _all_fonts(), ["ua-1"])  # fmt: skip
    except typst.TypstError:
        return False
    return True
