"""What the day asks for: each app adds sections by name in TODAY_SECTIONS."""

from dataclasses import dataclass, replace

from django.conf import settings
from django.utils.module_loading import import_string

AT_ONCE = 50  # tasks of one section that stand on the page of the day


@dataclass(frozen=True, kw_only=True)
class Task:
    """One thing to look at or do, in a sentence, with where it is done."""

    text: str
    href: str = ""
    due: object = None
    late: bool = False


@dataclass(frozen=True, kw_only=True)
class Section:
    """One heading of the day with its tasks; `empty` says what would stand here.

    `name` is that of the function it comes from, by which its page is called.
    """

    title: str
    tasks: tuple[Task, ...] = ()
    empty: str = ""
    name: str = ""

    @property
    def first(self):
        """The tasks that stand on the page of the day: all, or of many the late ones first."""
        if not self.is_long:
            return self.tasks
        return sorted(self.tasks, key=lambda task: not task.late)[:AT_ONCE]

    @property
    def is_long(self):
        """Whether there are more than stand on the page of the day."""
        return len(self.tasks) > AT_ONCE


def sections(on, user):
    """Return every section of the day, in the order of the settings."""
    return [_section(path, on, user) for path in settings.TODAY_SECTIONS]


def section(name, on, user):
    """Return the section of a name, None where the settings have none of it."""
    paths = {_name(path): path for path in settings.TODAY_SECTIONS}
    return _section(paths[name], on, user) if name in paths else None


def _section(path, on, user):
    return replace(import_string(path)(on, user), name=_name(path))


def _name(path):
    return path.rpartition(".")[2]
