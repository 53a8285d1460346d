"""A rule's answer to a proposal: a stop (not here), an ask (with a written reason), a note."""

import hashlib
from dataclasses import dataclass, replace
from datetime import date

from django.utils.module_loading import import_string

from . import shelf

STOP, ASK, NOTE = "stop", "ask", "note"


@dataclass(frozen=True, kw_only=True)
class Objection:
    """One sentence against a proposal, with the animals and the day it is about."""

    level: str
    message: str
    animals: tuple = ()
    day: date | None = None
    rule: str = ""
    possible: bool = True  # False where it cannot even have happened, so no breach can be entered

    @property
    def key(self):
        """A short name by which a form ties a written reason to this objection."""
        text = f"{self.rule}|{self.message}"
        return hashlib.sha256(text.encode()).hexdigest()[:12]

    @property
    def is_stop(self):
        """Whether this cannot be waved through."""
        return self.level == STOP

    @property
    def is_ask(self):
        """Whether this wants a written reason."""
        return self.level == ASK


def stop(message, *animals, day=None):
    """Say: not here."""
    return Objection(level=STOP, message=message, animals=animals, day=day)


def impossible(message, *animals, day=None):
    """Say: this cannot be, and cannot have been."""
    return Objection(level=STOP, message=message, animals=animals, day=day, possible=False)


def ask(message, *animals, day=None):
    """Say: only with a written reason."""
    return Objection(level=ASK, message=message, animals=animals, day=day)


def note(message, *animals, day=None):
    """Say: worth knowing."""
    return Objection(level=NOTE, message=message, animals=animals, day=day)


def collected(rules, proposal):
    """Return what all rules object to a proposal, each sentence once, from its first day on."""
    found = {}
    with shelf.of_herd(proposal.herd):
        for path in rules:
            for objection in import_string(path)(proposal):
                named = replace(objection, rule=path.rpartition(".")[2])
                found.setdefault(named.key, named)
    return list(found.values())


class Refused(Exception):
    """A proposal met objections that have not been answered; nothing was changed."""

    def __init__(self, objections):
        self.objections = list(objections)
        super().__init__(" ".join(o.message for o in self.objections))


class Stopped(Refused):
    """At least one objection is a stop."""


class ReasonsMissing(Refused):
    """Every objection could be answered, but not all asks have a written reason."""


def settle(objections, reasons, breach=None):
    """Raise unless no stop is left but as a breach, and every ask has its reason."""
    stops = [o for o in objections if o.is_stop]
    if any(not o.possible for o in stops) or (stops and breach is None):
        raise Stopped(objections)
    if breach is None and any(not reasons.get(o.key, "").strip() for o in objections if o.is_ask):
        raise ReasonsMissing(objections)
