"""A register line written anew, where what it repeats has been put right or come to light since.

A supplier's address was wrong, or the import permit came by post: the line stands, and a new one
names it.
"""

from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from .correcting import WhyMissing
from .models import RegisterLine
from .numbering import held_still
from .register_lines import (
    Draft,
    Said,
    arrival_draft,
    correcting,
    departure_draft,
    one_of_these_draft,
    write,
)
from .telling import tell

REPEATED = ("species", "codes", "party_name", "party_address", "party_country", "origin", "permit",
            "remark")  # fmt: skip


class LineRefused(Exception):
    """A line that cannot be written anew: corrected already, or nothing would differ."""


@dataclass(frozen=True, kw_only=True)
class Difference:
    """What a line says, and what it would say today."""

    label: str
    before: str
    now: str


def can_be_restated(line):
    """Return whether a line is of an arrival or of those who left, and the last word on them."""
    return bool(_facts(line)) and not line.corrections.exists()


def _facts(line):
    """Return the facts a line is of, as far as they stand."""
    if line.arrival_id:
        return [] if line.arrival.superseded_at or line.arrival.void else [line.arrival]
    if line.one_of_id:
        return [] if line.one_of.superseded_at or line.one_of.settlement() else [line.one_of]
    rows = line.departures.current().select_related("animal__taxon", "animal__locality")
    return list(rows.select_related("animal__clutch", "receiver").order_by("animal__code"))


def _draft(line) -> Draft:
    facts = _facts(line)
    if line.arrival_id:
        animals = line.animals.select_related("taxon", "locality", "clutch").order_by("code")
        return arrival_draft(facts[0], list(animals))
    if line.one_of_id:
        return one_of_these_draft(facts[0])
    return departure_draft(facts)


def differences(line):
    """Return what a line would say otherwise today."""
    if not can_be_restated(line):
        return []
    now = _draft(line).line
    return [
        Difference(
            label=str(RegisterLine._meta.get_field(name).verbose_name),
            before=getattr(line, name),
            now=getattr(now, name),
        )
        for name in REPEATED
        if getattr(line, name) != getattr(now, name)
    ]


@transaction.atomic
def restate(line, *, by, why, at=None):
    """Write a line anew as it reads today; the new one names it, and says why."""
    if not why.strip():
        raise WhyMissing
    held_still(line.holding)
    if not can_be_restated(line):
        raise LineRefused(
            tell("Line {number} has been corrected; look at the newer line.", number=line.number)
        )
    if not differences(line):
        raise LineRefused(tell("Line {number} says today what it said then.", number=line.number))
    draft = correcting(_draft(line), line, Said(why=why.strip()))
    draft.line.entered_at, draft.line.entered_by = at or timezone.now(), by
    return write(line.holding, [draft])[0]
