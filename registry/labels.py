"""Labels for enclosures, cups and travel boxes: a code to be scanned, and what it says in words."""

from dataclasses import dataclass
from io import BytesIO

import segno

from .phrases import in_a_row
from .printing import printed
from .telling import decimal, tell

MOST = 500


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """A sheet of labels as it is sold; lengths in millimetres from the top left corner."""

    key: str
    paper: str
    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    gap: float = 0

    @property
    def count(self):
        """How many labels are on it."""
        return self.columns * self.rows

    @property
    def name(self):
        """Say it by paper, count and size."""
        return tell(
            "{paper}, {count} labels ({columns} × {rows}), {width} × {height} mm",
            paper={"a4": "A4", "us-letter": tell("Letter")}[self.paper],
            count=self.count,
            columns=self.columns,
            rows=self.rows,
            width=decimal(f"{self.width:g}"),
            height=decimal(f"{self.height:g}"),
        )

    def told(self):
        """Return what the template is told of it."""
        names = ("paper", "columns", "rows", "width", "height", "left", "top", "gap")
        return {name: getattr(self, name) for name in names}


SHEETS = {
    sheet.key: sheet
    for sheet in (
        Sheet(key="a4-24", paper="a4", columns=3, rows=8, width=70, height=37, left=0, top=0.5),
        Sheet(
            key="a4-40", paper="a4", columns=4, rows=10, width=48.5, height=25.4, left=8, top=21.5,
        ),
        Sheet(key="a4-8", paper="a4", columns=2, rows=4, width=99, height=67.7, left=6, top=13.1),
        Sheet(
            key="letter-30", paper="us-letter", columns=3, rows=10, width=66.7, height=25.4,
            left=4.8, top=12.7, gap=3.1,
        ),
        Sheet(
            key="letter-10", paper="us-letter", columns=2, rows=5, width=101.6, height=50.8,
            left=4.8, top=12.7, gap=3.1,
        ),
    )
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Label:
    """What one label says, and the address its code opens."""

    code: str
    text: str
    address: str


def labels_of(enclosures, address_of):
    """Return a label for each enclosure; `address_of` gives the address its code opens."""
    return [
        Label(
            code=e.code,
            text="\n".join(filter(None, [e.kind, e.unit.name, e.unit.holding.name])),
            address=address_of(e),
        )
        for e in enclosures
    ]


def as_pdf(labels, sheet, start, on):
    """Return labels on sheets, the first at a place that is counted from 1, row by row."""
    told = {
        "title": tell("Labels: {labels}", labels=in_a_row(label.code for label in labels[:10])),
        "sheet": sheet.told(),
        "skip": start - 1,
        "labels": [
            {"code": x.code, "text": x.text, "address": x.address, "file": f"code-{n}.svg"}
            for n, x in enumerate(labels)
        ],
    }
    codes = {f"code-{n}.svg": scannable(x.address) for n, x in enumerate(labels)}
    return printed("labels", told, on, codes)


def scannable(address):
    """Return an address as a QR code: an SVG picture that can be scanned when a corner is wet."""
    kept = BytesIO()
    segno.make_qr(address, error="m").save(kept, kind="svg", border=2, scale=4)
    return kept.getvalue()
