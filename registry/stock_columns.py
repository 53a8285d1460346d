"""The columns of a list of opening stock: what each is headed, and what may stand in it."""

from dataclasses import dataclass
from functools import cache

from .models import Basis, DescentBasis, SourceCode
from .phrases import one_of
from .stock_words import in_each_language
from .telling import tell, to_tell


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column: what it is called, what may stand in it; `also` are other headings it has."""

    name: str
    called: str
    means: str
    example: str = ""
    also: tuple[str, ...] = ()
    choices: type | None = None

    @property
    def heading(self):
        """What it is headed for the reader."""
        return tell(self.called)

    @property
    def told(self):
        """What may stand in it, for the reader."""
        if self.choices is None:
            return tell(self.means)
        return tell(self.means, choices=one_of(choice.label for choice in self.choices))


COLUMNS = (
    Column(
        name="code",
        called=to_tell("code"),
        example="EA-01",
        also=("animal", "number", "id", "tier", "nummer"),
        means=to_tell("what its label says; the only column that is needed, with species"),
    ),
    Column(
        name="taxon",
        called=to_tell("species"),
        example="Epipedobates anthonyi",
        also=("taxon", "scientific name", "wissenschaftlicher name"),
        means=to_tell("the scientific or the common name of a species on record"),
    ),
    Column(
        name="locality",
        called=to_tell("locality"),
        example="Grey Mill",
        also=("collecting place", "site"),
        means=to_tell(
            "collecting place of the founders, as it came; a new one is entered with the list"
        ),
    ),
    Column(
        name="origin",
        called=to_tell("origin"),
        example="C",
        also=("cites", "source code", "cites source code"),
        means=to_tell("CITES source code: {choices}; empty is unknown"),
        choices=SourceCode,
    ),
    Column(
        name="sex",
        called=to_tell("sex"),
        example=to_tell("male"),
        means=to_tell("male, female, or empty for unsexed"),
    ),
    Column(
        name="basis",
        called=to_tell("sex from"),
        example=to_tell("heard calling"),
        also=("sexed by", "basis", "basis of sex"),
        means=to_tell("what the sex rests on: {choices}; empty is looks, which is weak"),
        choices=Basis,
    ),
    Column(
        name="born",
        called=to_tell("born"),
        example="2023-05",
        also=("birth", "date of birth"),
        means=to_tell("metamorphosis, else hatching: a day, a month, a year, or about a day"),
    ),
    Column(
        name="arrived",
        called=to_tell("arrived"),
        example="2023-11-04",
        also=("arrival", "date of arrival", "acquired", "date acquired"),
        means=to_tell("the day it came, which it keeps; empty is the day the register begins"),
    ),
    Column(
        name="supplier",
        called=to_tell("supplier"),
        example="Isolde Querrin",
        also=("breeder", "from"),
        means=to_tell(
            "who it came from; a new name is entered with the list. Animals of one supplier, day "
            "and place may be brothers and sisters; without a supplier nothing is said of that"
        ),
    ),
    Column(
        name="sire",
        called=to_tell("sire"),
        example="",
        also=("father",),
        means=to_tell("the code of its sire; D-01 or D-02 where it is one of several"),
    ),
    Column(
        name="dam",
        called=to_tell("dam"),
        also=("mother",),
        means=to_tell("the code of its dam, likewise"),
    ),
    Column(
        name="parents",
        called=to_tell("parents from"),
        also=("basis of parents", "parentage"),
        means=to_tell("what its parents rest on: {choices}"),
        choices=DescentBasis,
    ),
    Column(
        name="marks",
        called=to_tell("marks"),
        example=to_tell("ring 12"),
        also=("mark",),
        means=to_tell("ring 12, chip 9410, supplier 7, with commas between"),
    ),
    Column(
        name="enclosure",
        called=to_tell("enclosure"),
        example="F1",
        also=("tank", "terrarium"),
        means=to_tell("the code of the enclosure it is in"),
    ),
    Column(name="name", called=to_tell("name"), means=to_tell("what it is called, if anything")),
    Column(
        name="note",
        called=to_tell("note"),
        also=("notes", "remarks", "notiz", "bemerkung"),
        means=to_tell("anything else"),
    ),
)
BY_NAME = {column.name: column for column in COLUMNS}


def headings():
    """Return what the columns are headed for the reader, in a row."""
    return ", ".join(column.heading for column in COLUMNS)


@cache
def _words():
    """Return the name of each column by every heading it may have, in any language."""
    words = {word: c.name for c in COLUMNS for word in (c.called, *c.also)}
    for told in in_each_language(lambda: [c.heading.casefold() for c in COLUMNS]):
        words |= dict(zip(told, BY_NAME, strict=True))
    return words


def known_column(heading):
    """Return the name of the column a heading means, "" for none.

    >>> known_column("Date of birth"), known_column("shoe size")
    ('born', '')
    """
    plain = heading.strip(" *:").casefold().replace("_", " ").replace("-", " ")
    return _words().get(plain, "")


def examples():
    """Return two rows as they are given in the list to fill in."""
    second = {
        "code": "EA-02", "taxon": "Epipedobates anthonyi", "locality": "Grey Mill", "origin": "F",
        "sex": tell("female"), "basis": tell("size"), "born": "2024-06-12", "arrived": "2024-06-12",
        "sire": "EA-01", "parents": tell("housed together"), "enclosure": "F1",
    }  # fmt: skip
    first = {column.name: column.example and tell(column.example) for column in COLUMNS}
    return [[row.get(column.name, "") for column in COLUMNS] for row in (first, second)]
