"""Every isolation on a date, as it is known today and as it was known then, and the differences."""

from dataclasses import dataclass
from datetime import date

from registry.telling import tell

from .changed import changes
from .dossier import dossiers
from .models import Clearance, Isolation
from .opened import opened
from .phrases import start_words, unmet_sentences
from .wards import open_keys

COLUMNS = (
    "Batch",
    "Kind",
    "Protocol",
    "Opened",
    "Split from",
    "Seen",
    "State",
    "Day zero",
    "Why",
    "Unmet",
    "Best release day",
    "Released",
    "Signed by",
)


@dataclass(frozen=True, kw_only=True)
class Side:
    """An isolation on a date, seen one of two ways."""

    state: str
    zero: date | None = None
    why: str = ""
    unmet: tuple[str, ...] = ()
    best: date | None = None
    clearance: Clearance | None = None

    @property
    def signed(self):
        """Who released it, with the veterinarian where it was an override."""
        if self.clearance is None:
            return ""
        by = str(self.clearance.signed_by)
        return (
            tell("{by}, for {veterinarian}", by=by, veterinarian=self.clearance.veterinarian)
            if self.clearance.override
            else by
        )


@dataclass(frozen=True, kw_only=True)
class Line:
    """One isolation of the audit: true that day, known that day, and where the two differ."""

    isolation: Isolation
    true: Side
    known: Side

    @property
    def differs(self):
        """The names of what differs."""
        names = {
            "state": tell("state"),
            "zero": tell("day zero"),
            "unmet": tell("unmet"),
            "best": tell("best release day"),
        }
        return [
            said
            for name, said in names.items()
            if getattr(self.true, name) != getattr(self.known, name)
        ]


def audit(on):
    """Return every isolation opened by a day, the oldest first."""
    rows = Isolation.objects.current().filter(opened__lte=on)
    isolations = list(
        rows.select_related("version__protocol", "split_from").order_by("opened", "pk")
    )
    signed, known = (
        _signed(Clearance.objects.current(), on),
        _signed(Clearance.objects.known(on), on),
    )
    waiting = open_keys(on)
    asked = dossiers([i for i in isolations if i.pk in waiting or i.pk not in signed], on)
    names = {a.code: a.name for a in asked.facts.assays}, opened().units
    changed = changes(signed.values())
    return [
        Line(
            isolation=i,
            true=_side(i, asked.readings, signed, i.pk in waiting, names, changed),
            known=_side(i, asked.readings_known, known, i.pk not in known, names, {}),
        )
        for i in isolations
    ]


def _signed(clearances, on):
    """Return the last clearance of each isolation up to a day, by its key."""
    rows = clearances.filter(isolation__isnull=False, day__lte=on).order_by("day", "pk")
    rows = rows.select_related("signed_by", "isolation__version__protocol")
    return {row.isolation_id: row for row in rows}


def _side(isolation, readings, signed, waits, names, changed):
    clearance, reading = signed.get(isolation.pk), readings.get(isolation.pk)
    if clearance and not waits:
        return _released(clearance, changed)
    if reading is None:
        return Side(state="not known to be open")
    unmet = tuple(unmet_sentences(reading.unmet, names[0]))
    return Side(
        state="in isolation" if reading.living else "ended",
        zero=reading.zero.day,
        why=start_words(reading.zero, *names),
        unmet=unmet,
        best=reading.best,
    )


def _released(clearance, changed):
    """Say what was signed, out of the evidence kept with it."""
    kept, change = clearance.evidence, changed.get(clearance.pk)
    return Side(
        state="released, evidence changed" if change else "released",
        zero=date.fromisoformat(kept["zero"]) if kept.get("zero") else None,
        why=kept.get("why", ""),
        unmet=change.sentences if change else tuple(clearance.unmet),
        clearance=clearance,
    )


def table(lines):
    """Yield the audit as rows of text, one for each way of seeing each isolation."""
    for line in lines:
        for seen, side in (("true that day", line.true), ("known that day", line.known)):
            yield _row(line.isolation, seen, side)


def _row(isolation, seen, side):
    released = side.clearance.day.isoformat() if side.clearance else ""
    return (
        isolation.name,
        isolation.get_kind_display(),
        str(isolation.version),
        isolation.opened.isoformat(),
        str(isolation.split_from or ""),
        seen,
        side.state,
        side.zero.isoformat() if side.zero else "",
        side.why,
        " ".join(side.unmet),
        side.best.isoformat() if side.best else "",
        released,
        side.signed,
    )
