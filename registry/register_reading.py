"""The register read: the lines of a holding in a period, as rows, pages and sums."""

from dataclasses import dataclass
from datetime import date
from itertools import groupby

from .models import Holding, RegisterLine
from .phrases import written
from .printing import printed
from .telling import tell, to_tell

HEADS = (
    "line",
    "page",
    "day",
    "entry",
    "how",
    "species",
    "number",
    "change of the number kept",
    "animals",
    "supplier or receiver",
    "address",
    "country",
    "country of origin",
    "import permit",
    "remark",
    "corrects line",
    "says that it never was",
    "why corrected",
    "entered on",
    "entered by",
)
PRINTED_HEADS = (
    to_tell("Line"),
    to_tell("Day"),
    to_tell("Entry"),
    to_tell("Species"),
    to_tell("No."),
    "±",
    to_tell("Animals"),
    to_tell("Supplier or receiver"),
    to_tell("Origin"),
    to_tell("Import permit"),
    to_tell("Remark"),
)
MOST_PRINTED = 10_000


class TooManyLines(Exception):
    """More lines than are put into one file."""

    def __init__(self, count):
        super().__init__(
            tell(
                "{count} lines are too many for one file; choose a period with at "
                "most {MOST_PRINTED}.",
                count=count,
                MOST_PRINTED=MOST_PRINTED,
            )
        )


@dataclass(frozen=True, kw_only=True)
class Extract:
    """The lines of one holding about days in a period; either end may be open."""

    holding: Holding
    first: date | None = None
    last: date | None = None

    def lines(self):
        """Return the lines by number."""
        rows = RegisterLine.objects.filter(holding=self.holding).order_by("number")
        if self.first:
            rows = rows.filter(day__gte=self.first)
        if self.last:
            rows = rows.filter(day__lte=self.last)
        return rows.select_related("corrects", "entered_by")

    @property
    def period(self):
        """Say the period."""
        if self.first and self.last:
            return tell("{first} to {last}", first=written(self.first), last=written(self.last))
        if self.first:
            return tell("from {first} on", first=written(self.first))
        return (
            tell("up to {last}", last=written(self.last))
            if self.last
            else tell("from the first line on")
        )

    def end(self):
        """Return the number of the last line in the period, 0 where there is none."""
        return self.lines().values_list("number", flat=True).last() or 0

    def balances(self):
        """Return what the register comes to after its last line in the period, by species."""
        rows = RegisterLine.objects.filter(holding=self.holding, number__lte=self.end())
        return rows.balances()


def cells(line):
    """Return a line as it is exported."""
    return (
        line.number,
        line.page,
        line.day.isoformat(),
        line.get_kind_display(),
        line.what,
        line.species,
        line.count,
        line.change,
        line.codes,
        line.party_name,
        line.party_address,
        line.party_country,
        line.origin,
        line.permit,
        line.remark,
        line.corrects.number if line.corrects else "",
        "yes" if line.withdraws else "",
        line.why,
        f"{line.entered_at:%Y-%m-%d}",
        _who(line.entered_by),
    )


def _who(user):
    return (user.get_full_name() or user.get_username()) if user else ""


def correction(line):
    """Say what a line corrects, "" where it corrects nothing."""
    if line.corrects is None:
        return ""
    told = {"number": line.corrects.number, "why": line.why}
    if line.withdraws:
        return tell("Withdraws line {number}: {why}", **told)
    return tell("Corrects line {number}: {why}", **told)


def entry(line):
    """Say what a line enters: the act, and how where that says more."""
    kind = line.get_kind_display()
    return kind if line.what == kind else f"{kind}: {line.what}"


def printed_cells(line):
    """Return a line as it is printed."""
    party = (line.party_name, line.party_address, line.party_country)
    entered = line.entered_at.date()
    late = tell("Entered {entered}.", entered=written(entered)) if entered > line.day else ""
    return [
        str(line.number),
        written(line.day),
        entry(line),
        line.species,
        str(line.count),
        f"{line.change:+d}" if line.change else "0",
        line.codes,
        "\n".join(filter(None, party)),
        line.origin,
        line.permit,
        "\n".join(filter(None, [correction(line), line.remark, late])),
    ]


def as_pdf(extract, on):
    """Return the lines of an extract as a printed register."""
    rows = list(extract.lines()[: MOST_PRINTED + 1])
    if len(rows) > MOST_PRINTED:
        raise TooManyLines(extract.lines().count())
    pages = [
        {"number": page, "lines": [printed_cells(line) for line in lines]}
        for page, lines in groupby(rows, key=lambda line: line.page)
    ]
    return printed("register", _told(extract, pages, on), on)


def _told(extract, pages, on):
    holding, keeper = extract.holding, extract.holding.party
    balances = [[species, str(total)] for species, total in extract.balances()]
    return {
        "title": tell("Register of {holding}", holding=holding),
        "author": keeper.name,
        "holding": holding.name,
        "keeper": " · ".join(filter(None, [keeper.name, keeper.registration])),
        "address": "\n".join(filter(None, [keeper.name, keeper.address, keeper.country])),
        "lead": tell("Lines about the days {period}.", period=extract.period),
        "printed": tell("Printed {on} by Kinward", on=written(on)),
        "heads": tuple(map(tell, PRINTED_HEADS)),
        "pages": pages,
        "balance": tell(
            "Kept after line {end}, by the lines above it and itself", end=extract.end()
        ),
        "balances": balances,
    }
