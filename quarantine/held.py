"""Who is held on a day: why, since when, and until when at best; for pages, rules and papers."""

from dataclasses import dataclass
from datetime import date

from registry import shelf
from registry.models import Arrival
from registry.phrases import written
from registry.telling import tell

from .changed import changes_of
from .dossier import dossiers
from .ledger import ledger, who
from .ledger_rows import isolation_pk
from .models import Isolation
from .opened import opened
from .phrases import reason_words

CLEARED, HELD, NEVER = "cleared", "held", "never"


@dataclass(frozen=True, kw_only=True)
class Standing:
    """What an animal is on a day: cleared, held, or never to be released.

    `group` names the batch it is of, opened or not; two held animals of one group may meet.
    `met` are the codes of the held animals it met, where that is why.
    `change` is what now speaks against its last clearance, where the evidence has changed.
    """

    state: str
    since: date
    why: str = ""
    best: date | None = None
    batch: Isolation | None = None
    group: str = ""
    met: tuple[str, ...] = ()
    change: object = None

    @property
    def sentence(self):
        """Say it as a keeper would."""
        if self.state == CLEARED:
            return tell("Cleared since {since}.", since=written(self.since))
        if self.state == NEVER:
            return tell(
                "Never to be released; here since {since}: {why}.",
                since=written(self.since),
                why=self.why,
            )
        told = {"since": written(self.since), "why": self.why}
        if self.best:
            best = written(self.best)
            return tell("Held since {since}: {why}. Best release day {best}.", best=best, **told)
        if self.batch:
            return tell("Held since {since}: {why}.", **told)
        return tell("Held since {since}: {why}. No isolation is opened for it yet.", **told)

    def __str__(self):
        return self.sentence

    @property
    def is_held(self):
        """Whether it may meet only its own batch."""
        return self.state != CLEARED


def standings(animals, on):
    """Return what each animal in care is on a day, as known today; those not here are left out."""
    animals = list(animals)
    return standings_in(ledger(animals, on), animals, on)


def standings_in(book, animals, on):
    """Return what each animal in care is on a day, out of facts already fetched."""
    found = {a.pk: book.standings.on(who(a), on) for a in animals}
    cleared = [a for a in animals if found[a.pk] and found[a.pk].state == CLEARED]
    return _told(found, on, changes_of(cleared, on))


def standings_known(animals, on):
    """Return what each animal in care was known to be on a day."""
    animals = list(animals)
    book = ledger(animals, on)
    found = {a.pk: book.standings_known.on(who(a), on) for a in animals}
    return _told(found, on, {}, known=True)


def _told(found, on, changes, known=False):
    """Return pure standings with their batches, forecasts and reasons in words."""
    found = {key: one for key, one in found.items() if one}
    batches = _batches(found.values())
    best = best_days(batches.values(), on, known)
    arrivals = arrival_words(found.values())
    return {
        key: changed_standing(changes[key])
        if key in changes
        else _standing(one, batches, best, arrivals)
        for key, one in found.items()
    }


def _batches(found):
    keys = {isolation_pk(one.batch) for one in found if one.state != CLEARED} - {None}
    rows = opened().isolations if keys else {}
    return {key: rows[key] for key in keys if key in rows}


def best_days(isolations, on, known=False):
    """Return the best release day of each isolation on a day."""
    isolations = list(isolations)
    if not isolations:
        return {}
    asked = dossiers(isolations, on)
    readings = asked.readings_known if known else asked.readings
    return {key: reading.best if reading else None for key, reading in readings.items()}


def arrival_words(found):
    """Return how each arrival that holds somebody is told, by the key of its fact."""
    keys = {r.key for one in found for r in one.reasons if r.kind == "arrival" and r.key}
    pks = [int(key.rpartition(":")[2]) for key in keys]
    if shelf.is_open():
        rows = [opened().arrivals[pk] for pk in pks]
    else:
        rows = Arrival.objects.filter(pk__in=pks).select_related("supplier") if pks else ()
    return {f"arrival:{row.pk}": _arrival_words(row) for row in rows}


def _arrival_words(row):
    told = {"kind": row.get_kind_display(), "day": written(row.day), "supplier": row.supplier}
    if row.supplier:
        return tell("came with the {kind} of {day} from {supplier}", **told)
    return tell("came with the {kind} of {day}", **told)


def _standing(one, batches, best, arrivals):
    pk = isolation_pk(one.batch)
    return Standing(
        state=one.state,
        since=one.since,
        why="; ".join(reason_words(r, arrivals) for r in one.reasons[:2]),
        best=best.get(pk) if one.state == HELD else None,
        batch=batches.get(pk),
        group=one.batch,
        met=tuple(r.source for r in one.reasons if r.kind == "met"),
    )


def changed_standing(change):
    """Return what somebody is whose clearance no longer rests on its evidence."""
    return Standing(
        state=HELD,
        since=change.since,
        why=change.sentence,
        batch=change.clearance.isolation,
        group=change.group,
        change=change,
    )
