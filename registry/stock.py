"""Animals that were here when the register began, as a list tells them: read row by row.

A row that cannot be read says why beside its column; the rest of the list is read all the same.
"""

import re
from dataclasses import dataclass, field
from datetime import date
from difflib import get_close_matches

from django.core.exceptions import ValidationError

from .codes import check_code, codes_in_use
from .models import (
    Animal,
    Basis,
    DescentBasis,
    Enclosure,
    Locality,
    MarkKind,
    Party,
    Precision,
    Taxon,
)
from .phrases import in_a_row, one_of, written
from .sheets import SheetRefused, looks_like_formula
from .stock_columns import BY_NAME, COLUMNS, headings, known_column
from .stock_words import bases, bases_of_parents, mark_kinds, origins, sexes
from .telling import tell, to_tell
from .typed_days import DayRefused, read_about, read_day

OR = re.compile(r"\s(?:or|oder)\s", re.IGNORECASE)
SHOWS = {Basis.CALLING: "male", Basis.LAID: "female"}


class CellRefused(Exception):
    """A cell cannot be read; the sentence says why."""


@dataclass(frozen=True, kw_only=True)
class Stocked:
    """One animal of the opening stock, as its row tells it."""

    row: int
    code: str
    taxon: Taxon | None
    name: str = ""
    locality: str = ""
    source_code: str = "U"
    sex: str = ""
    basis: str = ""
    born: date | None = None
    born_precision: str = Precision.UNKNOWN
    arrived: date | None = None
    supplier: str = ""
    sires: tuple[str, ...] = ()
    dams: tuple[str, ...] = ()
    parents_basis: str = ""
    marks: tuple[tuple[str, str], ...] = ()
    enclosure: Enclosure | None = None
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class Reading:
    """What a list comes to: its animals, and for each row what is wrong in which column."""

    animals: tuple[Stocked, ...] = ()
    problems: dict[int, dict[str, str]] = field(default_factory=dict)
    new_localities: tuple[str, ...] = ()
    new_suppliers: tuple[str, ...] = ()


def headed(rows):
    """Return rows as `{column: text}`, by the headings in the first row."""
    heads = [known_column(cell) for cell in rows[0]]
    if not any(heads):
        raise SheetRefused(
            tell(
                "The first row names the columns: {headings}. Only code is needed.",
                headings=headings(),
            )
        )
    if "code" not in heads:
        raise SheetRefused(tell("No column is headed “code”: each animal is told by its code."))
    for cell, head in zip(rows[0], heads, strict=True):
        if not head:
            raise SheetRefused(
                tell(
                    "“{cell}” is no column known here, and nothing is left out unseen. Take it "
                    "out, or head it as one of these: {headings}.",
                    cell=cell[:40],
                    headings=headings(),
                )
                if cell
                else tell("A column has no heading; name it or take it out.")
            )
        if heads.count(head) > 1:
            raise SheetRefused(
                tell("Two columns are headed “{heading}”.", heading=BY_NAME[head].heading)
            )
    for number, row in enumerate(rows[1:], 2):
        if len(row) > len(heads):
            raise SheetRefused(
                tell(
                    "Row {row} has {cells} cells under {heads} headings.",
                    row=number,
                    cells=len(row),
                    heads=len(heads),
                )
            )
    if not rows[1:]:
        raise SheetRefused(tell("There is no animal under the headings."))
    return [dict(zip(heads, row, strict=False)) for row in rows[1:]]


class Known:
    """What is on record that a row may name, fetched once for the whole list."""

    def __init__(self, rows):
        self.taxa = {}
        for taxon in Taxon.objects.order_by("-pk"):
            if taxon.common_name:
                self.taxa[taxon.common_name.casefold()] = taxon
        self.taxa |= {taxon.name.casefold(): taxon for taxon in Taxon.objects.all()}
        usable = Enclosure.objects.filter(retired_on__isnull=True).select_related("unit")
        self.enclosures = {one.code.casefold(): one for one in usable}
        self.codes = [row.get("code", "").casefold() for row in rows]
        self.taken = codes_in_use([row.get("code", "") for row in rows])
        self.taken = {code.casefold() for code in self.taken}
        self.animals = {c.casefold() for c in Animal.objects.values_list("code", flat=True)}
        self.suppliers = {n.casefold() for n in Party.objects.values_list("name", flat=True)}
        places = Locality.objects.values_list("taxon", "name")
        self.places = {(taxon, name.casefold()) for taxon, name in places}


def read_rows(rows, day):
    """Read a list of opening stock; what a row leaves open is true of `day`."""
    known, animals, problems = Known(rows), [], {}
    for number, row in enumerate(rows):
        reader = _Row(number, row, known, day)
        animals.append(reader.animal())
        if reader.problems:
            problems[number] = reader.problems
    return Reading(
        animals=tuple(animals),
        problems=problems,
        new_localities=_new(
            (f"{a.locality} ({a.taxon})", (a.taxon and a.taxon.pk, a.locality.casefold()))
            for a in animals
            if a.locality and (a.taxon and a.taxon.pk, a.locality.casefold()) not in known.places
        ),
        new_suppliers=_new(
            (a.supplier, a.supplier.casefold())
            for a in animals
            if a.supplier and a.supplier.casefold() not in known.suppliers
        ),
    )


def _new(named):
    """Return what is named for the first time, each once however it is spelt."""
    return tuple({key: text for text, key in named}.values())


class _Row:
    """One row: each cell read for itself, its problem kept beside it."""

    def __init__(self, number, row, known, day):
        self.number, self.row, self.known, self.day = number, row, known, day
        self.problems = {}
        for column in COLUMNS:
            if looks_like_formula(self.text(column.name)):
                self.problems[column.name] = tell("This is a formula; write its value instead.")

    def text(self, name):
        """Return what is written in a column."""
        return self.row.get(name, "").strip()

    def read(self, name, how, otherwise=None):
        """Return what `how` makes of a cell; where it cannot, keep the sentence."""
        if name in self.problems:
            return otherwise
        try:
            return how(self.text(name))
        except (CellRefused, DayRefused) as problem:
            self.problems[name] = str(problem)
        except ValidationError as problem:
            self.problems[name] = problem.messages[0]
        return otherwise

    def animal(self):
        """Return the animal the row tells of, as far as it can be read."""
        born, precision = self.read("born", self._born, (None, Precision.UNKNOWN))
        sex = self.read("sex", self._sex, "")
        return Stocked(
            row=self.number,
            code=self.read("code", self._code, ""),
            taxon=self.read("taxon", self._taxon),
            name=self.read("name", _short(80), ""),
            locality=self.read("locality", self._locality, ""),
            source_code=self.read("origin", _word(origins()), "U"),
            sex=sex,
            basis=self.read("basis", lambda text: self._basis(text, sex), ""),
            born=born,
            born_precision=precision,
            arrived=self.read("arrived", lambda text: self._arrived(text, born, precision)),
            supplier=self.read("supplier", _short(200), ""),
            sires=self.read("sire", self._parents, ()),
            dams=self.read("dam", self._parents, ()),
            parents_basis=self.read("parents", self._parents_basis, ""),
            marks=self.read("marks", _marks, ()),
            enclosure=self.read("enclosure", self._enclosure),
            note=self.read("note", _short(2000), ""),
        )

    def _code(self, text):
        if not text:
            raise CellRefused(tell("Each animal has a code."))
        check_code(text)
        plain = text.casefold()
        if self.known.codes.count(plain) > 1:
            raise CellRefused(tell("“{code}” is given to two animals of the list.", code=text))
        if plain in self.known.taken:
            raise CellRefused(
                tell("“{code}” is on record already; choose another code.", code=text)
            )
        return text

    def _taxon(self, text):
        if not text:
            raise CellRefused(tell("Say which species it is."))
        return _found(text, self.known.taxa, *NO_SPECIES)

    def _locality(self, text):
        if text.casefold().startswith("mixed "):
            raise CellRefused(tell("“mixed” names the young of several places; leave it empty."))
        return "" if text.casefold() == "unknown" else _short(160)(text)

    def _sex(self, text):
        return _word(sexes())(text)

    def _basis(self, text, sex):
        basis = _word(bases())(text)
        if text and not sex and "sex" not in self.problems:
            raise CellRefused(tell("Say which sex this showed."))
        if sex and SHOWS.get(basis, sex) != sex:
            raise CellRefused(tell("Calling shows a male, laying shows a female."))
        return basis if sex else ""

    def _born(self, text):
        born, precision = read_about(text)
        if born and precision == Precision.DAY and born > self.day:
            raise CellRefused(tell("It cannot be born after {day}.", day=written(self.day)))
        return born, precision

    def _arrived(self, text, born, precision):
        day = read_day(text) if text and text.casefold() != "unknown" else self.day
        if day > self.day:
            raise CellRefused(
                tell("The register begins on {day}; it came by then.", day=written(self.day))
            )
        if born and precision == Precision.DAY and born > day:
            raise CellRefused(tell("It cannot have come before it was born."))
        return day

    def _parents(self, text):
        codes = tuple(part.strip() for part in OR.split(text))
        codes = tuple(code for code in codes if code and code != "?")
        for code in codes:
            if code.casefold() == self.text("code").casefold():
                raise CellRefused(tell("An animal is not its own parent."))
            if code.casefold() not in self.known.animals | set(self.known.codes):
                raise CellRefused(
                    tell(
                        "“{code}” is neither in this list nor on record. Enter it first, as an "
                        "animal that never was here, or leave this empty.",
                        code=code[:40],
                    )
                )
        return codes

    def _parents_basis(self, text):
        named = self.text("sire") or self.text("dam")
        if not named:
            return ""
        if not text:
            raise CellRefused(
                tell(
                    "Say what the parents rest on: {choices}.",
                    choices=one_of(b.label for b in DescentBasis),
                )
            )
        return _word(bases_of_parents())(text)

    def _enclosure(self, text):
        if not text:
            return None
        return _found(text, self.known.enclosures, *NO_ENCLOSURE)


NO_SPECIES = (
    to_tell("“{text}” is no species on record. Did you mean {near}?"),
    to_tell("“{text}” is no species on record. Add it under Species first."),
)
NO_ENCLOSURE = (
    to_tell("“{text}” is no enclosure in use. Did you mean {near}?"),
    to_tell("“{text}” is no enclosure in use. Add it under Enclosures first."),
)


def _found(text, table, meant, otherwise):
    """Return what a text names, or say what it is close to."""
    if text.casefold() in table:
        return table[text.casefold()]
    near = get_close_matches(text.casefold(), table, n=1, cutoff=0.75)
    if near:
        raise CellRefused(tell(meant, text=text[:60], near=table[near[0]]))
    raise CellRefused(tell(otherwise, text=text[:60]))


def _word(table):
    def read(text):
        if text.casefold() not in table:
            labels = {str(getattr(v, "label", None) or tell(v)) for v in table.values() if v}
            known = in_a_row(sorted(labels))
            raise CellRefused(
                tell("“{text}” is not known here; it may be {known}.", text=text[:40], known=known)
            )
        return table[text.casefold()]

    return read


def _short(most):
    def read(text):
        if len(text) > most:
            raise CellRefused(
                tell(
                    "At most {most} characters are kept here; this has {count}.",
                    most=most,
                    count=len(text),
                )
            )
        return text

    return read


def _marks(text):
    """Read marks with commas between, each begun by its kind: ring 12, chip 9410."""
    marks = []
    for part in text.replace("|", ",").replace(";", ",").split(","):
        first, _, rest = part.strip().partition(" ")
        if not first:
            continue
        kind = mark_kinds().get(first.casefold())
        value = rest.strip() if kind and rest.strip() else part.strip()
        marks.append((kind or MarkKind.OTHER, _short(120)(value)))
    return tuple(marks)
