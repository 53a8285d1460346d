"""How days and figures are written in each language, where we differ from Django."""
