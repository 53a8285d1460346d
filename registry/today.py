"""What the day asks for: each app adds sections by name in TODAY_SECTIONS."""

from dataclasses import dataclass

from django.conf import settings
from django.utils.module_loading import import_string


@dataclass(frozen=True, kw_only=True)
class Task:
    """One thing to look at or do, in a sentence, with where it is done."""

    text: str
    href: str = ""
    due: object = None
    late: bool = False


@dataclass(frozen=True, kw_only=True)
class Section:
    """One heading of the day with its tasks; `empty` says what would stand here."""

    title: str
    tasks: tuple[Task, ...] = ()
    empty: str = ""


def sections(on, user):
    """Return every section of the day, in the order of the settings."""
    return [import_string(path)(on, user) for path in settings.TODAY_SECTIONS]
