"""The forms by which opening stock is handed in as a list, shown back by row, and signed for."""

from dataclasses import dataclass

from django import forms
from django.utils.translation import gettext_lazy as _

from registry.forms.days import PastDayField
from registry.models import Holding
from registry.sheets import MOST_IN_CELL, MOST_ROWS, SheetRefused, rows_of_file, rows_of_text
from registry.stock import headed
from registry.stock_columns import COLUMNS, headings
from registry.telling import tell

SPARE = 1  # empty rows at the end, for an animal that was forgotten


class BeginsForm(forms.Form):
    """The day the register begins, and for which premises."""

    day = PastDayField(label=_("The register begins on"))
    holding = forms.ModelChoiceField(Holding.objects.all(), label=_("Premises"), empty_label=None)


class StockListForm(BeginsForm):
    """A list of the animals that are here, typed, pasted or as a file."""

    text = forms.CharField(
        required=False,
        max_length=500_000,
        strip=False,
        label=_("Type or paste the list"),
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "wrap": "off"}),
        help_text=_(
            "The first line names the columns; then one line for each animal. "
            "Columns are parted by tabs (as a spreadsheet copies them), "
            "semicolons or commas."
        ),
    )
    file = forms.FileField(
        required=False,
        allow_empty_file=True,
        label=_("Or hand in a file"),
        help_text=_("A spreadsheet (.xlsx) or a CSV file in UTF-8; only its first sheet is read."),
        widget=forms.ClearableFileInput(attrs={"accept": ".xlsx,.csv,.txt"}),
    )

    def clean(self):
        """Read the list; what cannot be read is said beside where it was given."""
        data = super().clean()
        file, text = data.get("file"), data.get("text", "")
        typed = text.strip() and text.strip() != self.initial.get("text", "").strip()
        if file and typed:
            self.add_error("file", tell("Paste a list or hand in a file, not both."))
        elif not file and not typed:
            self.add_error("text", tell("Write at least one animal under the columns’ names."))
        else:
            name = "file" if file else "text"
            try:
                data["rows"] = headed(rows_of_file(file) if file else rows_of_text(text))
            except SheetRefused as problem:
                self.add_error(name, str(problem))
        return data


class SignStockForm(forms.Form):
    """On what grounds all of them are cleared, or that they stay held for now."""

    grounds = forms.CharField(
        required=False,
        max_length=4000,
        label=_("They are cleared on these grounds"),
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text=_(
            "For example: kept here for over a year without losses; Bd and "
            "ranavirus PCR negative in May. You sign for it."
        ),
    )
    held = forms.BooleanField(
        required=False,
        label=_("Leave them held for now; somebody signs later"),
        help_text=_("Held animals cannot share an enclosure, unless they came together."),
    )

    def clean(self):
        """Ask for grounds, unless nobody signs yet."""
        data = super().clean()
        if not data.get("held") and not data.get("grounds", "").strip():
            self.add_error("grounds", tell("Say on what grounds, or leave them held for now."))
        if data.get("held"):
            data["grounds"] = ""
        return data


@dataclass(frozen=True, kw_only=True)
class Cell:
    """One cell of a row shown back: what was typed, and what is wrong with it."""

    column: object
    id: str
    text: str
    problem: str = ""


@dataclass(frozen=True, kw_only=True)
class ShownRow:
    """One row shown back, open where something is to be put right."""

    number: int
    cells: tuple[Cell, ...]

    @property
    def problems(self):
        """The cells with something wrong."""
        return [cell for cell in self.cells if cell.problem]

    @property
    def title(self):
        """What the row is told by."""
        told = [cell.text for cell in self.cells if cell.text]
        return " · ".join(told[:6]) or tell("one more animal")

    @property
    def is_empty(self):
        """Whether nothing stands in it."""
        return not any(cell.text for cell in self.cells)


def shown_rows(rows, problems):
    """Return rows as they are shown back, with an empty one to add an animal."""
    spare = [{}] * (SPARE if len(rows) < MOST_ROWS else 0)
    return [_shown(n, row, problems.get(n, {})) for n, row in enumerate([*rows, *spare])]


def _shown(number, row, problems):
    cells = (
        Cell(
            column=column,
            id=f"row-{number}-{column.name}",
            text=row.get(column.name, ""),
            problem=problems.get(column.name, ""),
        )
        for column in COLUMNS
    )
    return ShownRow(number=number, cells=tuple(cells))


def posted_rows(data):
    """Return the rows of a list shown back, as they were changed; those taken out are left out."""
    asked = data.get("rows", "")
    count = min(int(asked), MOST_ROWS + SPARE) if asked.isascii() and asked.isdigit() else 0
    rows = (_posted(data, n) for n in range(count) if not data.get(f"leave-{n}"))
    return [row for row in rows if any(row.values())]


def _posted(data, number):
    names = (column.name for column in COLUMNS)
    texts = {name: data.get(f"row-{number}-{name}", "") for name in names}
    return {name: " ".join(text.split())[:MOST_IN_CELL] for name, text in texts.items()}


def first_line():
    """Return the line that names the columns, to begin a typed list with."""
    return f"{headings().replace(', ', '; ')}\n"
