"""Text as it may stand in a picture: clean, measured, cut to a width."""

import re
import unicodedata

from ..telling import tell, to_tell

LONGEST = 2000
MONTHS = (
    *(to_tell("Jan"), to_tell("Feb"), to_tell("Mar"), to_tell("Apr"), to_tell("May")),
    *(to_tell("Jun"), to_tell("Jul"), to_tell("Aug"), to_tell("Sep"), to_tell("Oct")),
    *(to_tell("Nov"), to_tell("Dec")),
)
BLANKS = re.compile(r"\s+")
# Not allowed in XML 1.0 (controls, lone surrogates, non-characters), or able to turn round the
# text that follows (bidirectional embeddings, overrides and isolates).
FORBIDDEN = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ufdd0-\ufdef\ufffe\uffff"
    "\u202a-\u202e\u2066-\u2069\u200e\u200f\u061c]"
)
SURROGATES = re.compile("[\ud800-\udfff]")
# Widths in em of a common sans-serif face, on the wide side, since the reader's own is unknown.
NARROW = set("ijlI|!.,:;'()[]/ ftr`·")
BROAD = set("mwMW@%—…ÆŒ")
NARROW_EM, BROAD_EM, CAPITAL_EM, PLAIN_EM, FULL_EM = 0.36, 0.98, 0.72, 0.6, 1.05


def clean(text):
    """Make one line of any text: no controls, no direction marks, blanks and line ends as blanks.

    >>> clean("a\\n\\tb\\x00\\u202ec")
    'a bc'
    """
    text = SURROGATES.sub("\ufffd", str(text)[:LONGEST])
    return BLANKS.sub(" ", FORBIDDEN.sub("", text)).strip()


def written(day):
    """Write a date out.

    >>> from datetime import date
    >>> written(date(2026, 10, 3))
    '3 Oct 2026'
    """
    month = tell(MONTHS[day.month - 1])
    return tell("{day} {month} {year}", day=day.day, month=month, year=day.year)


def width(text, size, *, bold=False):
    """Estimate how wide a line is, in the unit of `size`, erring to the wide side."""
    return size * sum(map(_em, text)) * (1.08 if bold else 1.0)


def _em(letter):
    """Estimate the width of one character in em."""
    if unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return 0.0
    if unicodedata.east_asian_width(letter) in "WF":
        return FULL_EM
    if letter in NARROW:
        return NARROW_EM
    if letter in BROAD:
        return BROAD_EM
    return CAPITAL_EM if letter.isupper() else PLAIN_EM


def cut(text, room, size, *, bold=False):
    """Shorten a line to the room it has, ending in an ellipsis, never between letter and mark.

    >>> cut("Epipedobates anthonyi", 60, 11)
    'Epipedo…'
    >>> cut("E-12", 60, 11)
    'E-12'
    """
    if width(text, size, bold=bold) <= room:
        return text
    while text and width(text + "…", size, bold=bold) > room:
        text = _without_last(text)
    return text.rstrip() + "…"


def _without_last(text):
    """Drop the last letter together with the marks and joiners that belong to it."""
    kept = len(text) - 1
    while kept and (unicodedata.combining(text[kept]) or text[kept] in "\u200d\ufe0f"):
        kept -= 1
    return text[:kept].rstrip("\u200d")
