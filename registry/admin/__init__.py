"""The register in the administration pages: nothing there goes round the doors."""

from . import facts, readings, things

__all__ = ["facts", "readings", "things"]
