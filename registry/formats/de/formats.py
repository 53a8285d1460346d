"""How days are written in German: 3. Okt. 2026."""

DATE_FORMAT = "j. N Y"
YEAR_MONTH_FORMAT = "N Y"
