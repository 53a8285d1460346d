"""The columns of a list of opening stock: what each is headed, and what may stand in it."""

from dataclasses import dataclass

from .models import Basis, DescentBasis, SourceCode
from .phrases import one_of


@dataclass(frozen=True, kw_only=True)
class Column:
    """One column; `also` are other headings it is known by."""

    name: str
    heading: str
    told: str
    example: str = ""
    also: tuple[str, ...] = ()


def _labels(choices):
    return one_of(choice.label for choice in choices)


COLUMNS = (
    Column(
        name="code", heading="code", example="EA-01", also=("animal", "number", "id"),
        told="what its label says; the only column that is needed, with species",
    ),
    Column(
        name="taxon", heading="species", example="Epipedobates anthonyi",
        also=("taxon", "scientific name"),
        told="the scientific or the common name of a species on record",
    ),
    Column(
        name="locality", heading="locality", example="Grey Mill",
        also=("collecting place", "site"),
        told="collecting place of the founders, as it came; a new one is entered with the list",
    ),
    Column(
        name="origin", heading="origin", example="C",
        also=("cites", "source code", "cites source code"),
        told=f"CITES source code: {_labels(SourceCode)}; empty is unknown",
    ),
    Column(
        name="sex", heading="sex", example="male", told="male, female, or empty for unsexed",
    ),
    Column(
        name="basis", heading="sex from", example="heard calling",
        also=("sexed by", "basis", "basis of sex"),
        told=f"what the sex rests on: {_labels(Basis)}; empty is looks, which is weak",
    ),
    Column(
        name="born", heading="born", example="May 2023", also=("birth", "date of birth"),
        told="metamorphosis, else hatching: a day, a month, a year, or about a day",
    ),
    Column(
        name="arrived", heading="arrived", example="2023-11-04",
        also=("arrival", "date of arrival", "acquired", "date acquired"),
        told="the day it came, which it keeps; empty is the day the register begins",
    ),
    Column(
        name="supplier", heading="supplier", example="Isolde Querrin", also=("breeder", "from"),
        told="who it came from; a new name is entered with the list. Animals of one supplier, day "
        "and place may be brothers and sisters; without a supplier nothing is said of that",
    ),
    Column(
        name="sire", heading="sire", example="", also=("father",),
        told="the code of its sire; D-01 or D-02 where it is one of several",
    ),
    Column(name="dam", heading="dam", also=("mother",), told="the code of its dam, likewise"),
    Column(
        name="parents", heading="parents from", also=("basis of parents", "parentage"),
        told=f"what its parents rest on: {_labels(DescentBasis)}",
    ),
    Column(
        name="marks", heading="marks", example="ring 12", also=("mark",),
        told="ring 12, chip 9410, supplier 7, with commas between",
    ),
    Column(
        name="enclosure", heading="enclosure", example="F1", also=("tank", "terrarium"),
        told="the code of the enclosure it is in",
    ),
    Column(name="name", heading="name", told="what it is called, if anything"),
    Column(name="note", heading="note", also=("notes", "remarks"), told="anything else"),
)  # fmt: skip
BY_NAME = {column.name: column for column in COLUMNS}
HEADINGS = ", ".join(column.heading for column in COLUMNS)
_WORDS = {word: c.name for c in COLUMNS for word in (c.heading, *c.also)}


def known_column(heading):
    """Return the name of the column a heading means, "" for none.

    >>> known_column("Date of birth"), known_column("shoe size")
    ('born', '')
    """
    plain = heading.strip(" *:").casefold().replace("_", " ").replace("-", " ")
    return _WORDS.get(plain, "")


def examples():
    """Return two rows as they are given in the list to fill in."""
    second = {
        "code": "EA-02", "taxon": "Epipedobates anthonyi", "locality": "Grey Mill", "origin": "F",
        "sex": "female", "basis": "size", "born": "2024-06-12", "arrived": "2024-06-12",
        "sire": "EA-01", "parents": "housed together", "enclosure": "F1",
    }  # fmt: skip
    first = {column.name: column.example for column in COLUMNS}
    return [[row.get(column.name, "") for column in COLUMNS] for row in (first, second)]
