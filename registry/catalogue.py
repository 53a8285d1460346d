"""Catalogues of sentences in the formats of GNU gettext, read and written without its tools."""

import re
import struct
from dataclasses import dataclass, replace

ESCAPES = {"\\": "\\\\", '"': '\\"', "\n": "\\n", "\t": "\\t"}
UNESCAPED = {"n": "\n", "t": "\t"}
WIDE = 96
BETWEEN = "\x04"  # parts a context from its sentence in a compiled catalogue
LINE = re.compile(r'(msgctxt|msgid_plural|msgid|msgstr(?:\[\d\])?)?\s*"(.*)"$')


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One sentence, its form for many where it counts, and what it is in another language.

    `told` holds one text, or one for each plural form; it is empty where nobody translated it.
    """

    sentence: str
    many: str = ""
    context: str = ""
    told: tuple[str, ...] = ()
    places: tuple[str, ...] = ()
    fuzzy: bool = False

    @property
    def key(self):
        """What tells it from all others."""
        return (self.context, self.sentence)


def read(text):
    """Return the entries of a catalogue, its head among them as the empty sentence.

    >>> read('msgid "a"\\nmsgstr "b"\\n')[0].told
    ('b',)
    """
    return [_entry(block) for block in re.split(r"\n\s*\n", text.strip()) if "msgid" in block]


def _entry(block):
    found, name, places, fuzzy = {}, "", [], False
    for line in block.splitlines():
        if line.startswith("#: "):
            places += line[3:].split()
        elif line.startswith("#,"):
            fuzzy = fuzzy or "fuzzy" in line
        elif match := LINE.match(line):
            name = match[1] or name
            found[name] = found.get(name, "") + _unescaped(match[2])
    told = tuple(text for key, text in found.items() if key.startswith("msgstr"))
    return Entry(
        sentence=found["msgid"],
        many=found.get("msgid_plural", ""),
        context=found.get("msgctxt", ""),
        told=told if any(told) else (),
        places=tuple(places),
        fuzzy=fuzzy,
    )


def written(entries):
    """Return a catalogue as text; what it holds is read back as it was."""
    return "\n".join(_block(entry) for entry in entries)


def _block(entry):
    lines = [f"#: {place}" for place in entry.places] + (["#, fuzzy"] if entry.fuzzy else [])
    if entry.context:
        lines.append(f"msgctxt {_quoted(entry.context)}")
    lines.append(f"msgid {_quoted(entry.sentence)}")
    if entry.many:
        lines.append(f"msgid_plural {_quoted(entry.many)}")
        told = entry.told or ("", "")
        lines += [f"msgstr[{n}] {_quoted(text)}" for n, text in enumerate(told)]
    else:
        lines.append(f"msgstr {_quoted((entry.told or ('',))[0])}")
    return "\n".join(lines) + "\n"


def _quoted(text):
    """Return a text in quotes, a long one or one of several lines on lines of its own."""
    rows = text.splitlines(keepends=True)
    if len(rows) < 2 and len(text) <= WIDE:
        return f'"{_escaped(text)}"'
    pieces = [piece for row in rows for piece in _pieces(row)]
    return "\n".join(['""', *(f'"{_escaped(piece)}"' for piece in pieces)])


def _pieces(row):
    piece = ""
    for word in re.findall(r"\S*\s*", row):
        if piece and len(piece) + len(word) > WIDE:
            yield piece
            piece = ""
        piece += word
    yield piece


def _escaped(text):
    return "".join(ESCAPES.get(sign, sign) for sign in text)


def _unescaped(text):
    return re.sub(r"\\(.)", lambda found: UNESCAPED.get(found[1], found[1]), text)


def updated(entries, found):
    """Return the head and what is found now, with what was translated before."""
    before = {entry.key: entry for entry in entries}
    head = [before[("", "")]] if ("", "") in before else []
    return head + [_kept(entry, before.get(entry.key)) for entry in found]


def _kept(entry, before):
    if before is None or bool(before.many) != bool(entry.many):
        return entry
    return replace(entry, told=before.told, fuzzy=before.fuzzy)


def compiled(entries):
    """Return a catalogue as Python's and GNU's gettext load it: two sorted tables of texts."""
    texts = dict(sorted(_pair(entry) for entry in entries if entry.told and not entry.fuzzy))
    ids, told = list(texts), list(texts.values())
    start = 7 * 4
    first = start + 16 * len(ids)
    tables, data = [], b""
    for table in (ids, told):
        for text in table:
            tables += [len(text), first + len(data)]
            data += text + b"\0"
    head = (0x950412DE, 0, len(ids), start, start + 8 * len(ids), 0, 0)
    return struct.pack(f"<{7 + len(tables)}I", *head, *tables) + data


def _pair(entry):
    key = entry.context + BETWEEN if entry.context else ""
    key += entry.sentence + (f"\0{entry.many}" if entry.many else "")
    return key.encode(), "\0".join(entry.told).encode()
