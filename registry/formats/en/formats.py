"""How days are written in English: 3 Oct 2026."""

DATE_FORMAT = "j M Y"
YEAR_MONTH_FORMAT = "M Y"
