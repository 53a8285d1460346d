"""Animals that were here when the register began, as a list tells them: read row by row.

A row that cannot be read says why beside its column; the rest of the list is read all the same.
"""

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
    SourceCode,
    Taxon,
)
from .phrases import in_a_row, one_of, written
from .sheets import SheetRefused, looks_like_formula
from .stock_columns import BY_NAME, COLUMNS, HEADINGS, known_column
from .typed_days import DayRefused, read_about, read_day

SEXES = {
    **dict.fromkeys(("", "unsexed", "unknown", "u", "?", "-", "0.0.1"), ""),
    **dict.fromkeys(("male", "m", "♂", "1.0", "1.0.0"), "male"),
    **dict.fromkeys(("female", "f", "♀", "0.1", "0.1.0"), "female"),
}
BASES = {**{b.value: b for b in Basis}, **{b.label.casefold(): b for b in Basis}, "": Basis.LOOKS}
SHOWS = {Basis.CALLING: "male", Basis.LAID: "female"}
PARENTS = {
    **{b.value: b for b in DescentBasis},
    **{b.label.casefold(): b for b in DescentBasis},
    **dict.fromkeys(("supplier's word", "seller"), DescentBasis.SUPPLIER),
}
ORIGINS = {
    **{c.value.casefold(): c for c in SourceCode},
    **{c.label.casefold(): c for c in SourceCode},
    **{c.label[2:].casefold(): c for c in SourceCode},
    "wc": SourceCode.WILD,
    "cb": SourceCode.CAPTIVE_BRED,
    "": SourceCode.UNKNOWN,
}


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
        raise SheetRefused(f"The first row names the columns: {HEADINGS}. Only code is needed.")
    if "code" not in heads:
        raise SheetRefused("No column is headed “code”: each animal is told by its code.")
    for cell, head in zip(rows[0], heads, strict=True):
        if not head:
            raise SheetRefused(
                f"“{cell[:40]}” is no column known here, and nothing is left out unseen. Take it "
                f"out, or head it as one of these: {HEADINGS}."
                if cell
                else "A column has no heading; name it or take it out."
            )
        if heads.count(head) > 1:
            raise SheetRefused(f"Two columns are headed “{BY_NAME[head].heading}”.")
    for number, row in enumerate(rows[1:], 2):
        if len(row) > len(heads):
            raise SheetRefused(f"Row {number} has {len(row)} cells under {len(heads)} headings.")
    if not rows[1:]:
        raise SheetRefused("There is no animal under the headings.")
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
                self.problems[column.name] = "This is a formula; write its value instead."

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
            source_code=self.read("origin", _word(ORIGINS, "origin"), "U"),
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
            raise CellRefused("Each animal has a code.")
        check_code(text)
        plain = text.casefold()
        if self.known.codes.count(plain) > 1:
            raise CellRefused(f"“{text}” is given to two animals of the list.")
        if plain in self.known.taken:
            raise CellRefused(f"“{text}” is on record already; choose another code.")
        return text

    def _taxon(self, text):
        if not text:
            raise CellRefused("Say which species it is.")
        return _found(text, self.known.taxa, "species on record", "Add it under Species first.")

    def _locality(self, text):
        if text.casefold().startswith("mixed "):
            raise CellRefused("“mixed” names the young of several places; leave it empty.")
        return "" if text.casefold() == "unknown" else _short(160)(text)

    def _sex(self, text):
        return _word(SEXES, "sex")(text)

    def _basis(self, text, sex):
        basis = _word(BASES, "basis of a sex")(text)
        if text and not sex and "sex" not in self.problems:
            raise CellRefused("Say which sex this showed.")
        if sex and SHOWS.get(basis, sex) != sex:
            raise CellRefused("Calling shows a male, laying shows a female.")
        return basis if sex else ""

    def _born(self, text):
        born, precision = read_about(text)
        if born and precision == Precision.DAY and born > self.day:
            raise CellRefused(f"It cannot be born after {written(self.day)}.")
        return born, precision

    def _arrived(self, text, born, precision):
        day = read_day(text) if text and text.casefold() != "unknown" else self.day
        if day > self.day:
            raise CellRefused(f"The register begins on {written(self.day)}; it came by then.")
        if born and precision == Precision.DAY and born > day:
            raise CellRefused("It cannot have come before it was born.")
        return day

    def _parents(self, text):
        codes = tuple(part.strip() for part in text.replace(" OR ", " or ").split(" or "))
        codes = tuple(code for code in codes if code and code != "?")
        for code in codes:
            if code.casefold() == self.text("code").casefold():
                raise CellRefused("An animal is not its own parent.")
            if code.casefold() not in self.known.animals | set(self.known.codes):
                raise CellRefused(
                    f"“{code[:40]}” is neither in this list nor on record. Enter it first, as an "
                    "animal that never was here, or leave this empty."
                )
        return codes

    def _parents_basis(self, text):
        named = self.text("sire") or self.text("dam")
        if not named:
            return ""
        if not text:
            raise CellRefused(
                f"Say what the parents rest on: {one_of(b.label for b in DescentBasis)}."
            )
        return _word(PARENTS, "basis of parents")(text)

    def _enclosure(self, text):
        if not text:
            return None
        add = "Add it under Enclosures first."
        return _found(text, self.known.enclosures, "enclosure in use", add)


def _found(text, table, what, otherwise):
    """Return what a text names, or say what it is close to."""
    if text.casefold() in table:
        return table[text.casefold()]
    near = get_close_matches(text.casefold(), table, n=1, cutoff=0.75)
    meant = f"Did you mean {table[near[0]]}?" if near else otherwise
    raise CellRefused(f"“{text[:60]}” is no {what}. {meant}")


def _word(table, what):
    def read(text):
        if text.casefold() not in table:
            known = in_a_row(sorted({str(getattr(v, "label", v)) for v in table.values() if v}))
            raise CellRefused(f"“{text[:40]}” is no {what} known here; it may be {known}.")
        return table[text.casefold()]

    return read


def _short(most):
    def read(text):
        if len(text) > most:
            raise CellRefused(f"At most {most} characters are kept here; this has {len(text)}.")
        return text

    return read


KINDS = {**{k.value: k for k in MarkKind}, "photo": MarkKind.PHOTOGRAPH}


def _marks(text):
    """Read marks with commas between, each begun by its kind: ring 12, chip 9410."""
    marks = []
    for part in text.replace("|", ",").replace(";", ",").split(","):
        first, _, rest = part.strip().partition(" ")
        if not first:
            continue
        kind = KINDS.get(first.casefold())
        value = rest.strip() if kind and rest.strip() else part.strip()
        marks.append((kind or MarkKind.OTHER, _short(120)(value)))
    return tuple(marks)
