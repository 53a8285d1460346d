"""What every plot gives back: a picture, and the table of what it shows."""

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Chart:
    """A picture safe to put into a page, and the same figures as a table.

    `svg` has no script, no style attribute and no style element. `columns` are the headings and
    `rows` the cells of the table behind the picture, as text.
    """

    svg: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
