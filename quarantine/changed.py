"""Changed evidence: later entries with which the rules, run for the day of clearance, say no."""

from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Q

from registry.phrases import written
from registry.telling import tell

from . import shelf
from .changes import Signature, changed_evidence
from .dossier import dossiers
from .ledger_rows import batch_key
from .models import Clearance
from .phrases import start_words, unmet_sentences
from .suspects import suspects


@dataclass(frozen=True, kw_only=True)
class Change:
    """What now speaks against a clearance; those released by it count as held until decided."""

    clearance: Clearance
    sentences: tuple[str, ...]
    since: date

    @property
    def group(self):
        """The batch that was released: its animals may still meet each other."""
        return batch_key(self.clearance.isolation_id)

    @property
    def sentence(self):
        """Say what has changed."""
        day = written(self.clearance.day)
        return tell(
            "the evidence for the clearance of {day} has changed: {what}",
            day=day,
            what=" ".join(self.sentences),
        )


def changes_of(animals, on):
    """Return what speaks against the last clearance of each cleared animal, by its key."""
    keys = {a.pk for a in animals}
    if shelf.is_open() and keys:
        everyone = shelf.kept(("changed", on), lambda: _changes(last_clearances(None, on)))
        return {key: change for key, change in everyone.items() if key in keys}
    return _changes(last_clearances(keys, on)) if keys else {}


def _changes(last):
    changed = changes({row.pk: row for row in last.values()}.values())
    return {key: changed[row.pk] for key, row in last.items() if row.pk in changed}


def last_clearances(keys, on):
    """Return the last clearance of each animal up to a day, by its key; None asks for all."""
    through = Clearance.animals.through.objects.filter(
        Q() if keys is None else Q(animal__in=keys),
        clearance__day__lte=on,
        clearance__void=False,
        clearance__superseded_at__isnull=True,
    )
    rows = through.order_by("clearance__day", "clearance").values_list("animal", "clearance")
    keys = dict(rows)
    found = Clearance.objects.select_related("isolation__version__protocol")
    found = found.in_bulk(set(keys.values()))
    return {animal: found[key] for animal, key in keys.items()}


def changes(clearances):
    """Return what later entries say against each of these clearances, by its key."""
    asked = {row.pk: row for row in clearances if row.isolation_id}
    if not asked:
        return {}
    if not shelf.is_open():
        return _run_again(asked.values())
    looked_at, found = shelf.kept("changes", _of_last_signatures)
    found = found | _run_again(row for key, row in asked.items() if key not in looked_at)
    return {key: change for key, change in found.items() if key in asked}


def _run_again(clearances):
    rows = suspects(list(clearances))
    return {row.pk: change for row in rows if (change := change_of(row))}


def _of_last_signatures():
    """Return the keys of the last clearance of every isolation, and what speaks against each."""
    rows = Clearance.objects.current().filter(isolation__isnull=False).order_by("day", "pk")
    rows = rows.select_related("isolation__version__protocol", "signed_by")
    last = {row.isolation_id: row for row in rows}
    return {row.pk for row in last.values()}, _run_again(last.values())


def change_of(clearance):
    """Return what later entries say against one clearance, None where nothing does."""
    asked = dossiers([clearance.isolation], clearance.day)
    facts = replace(asked.true(clearance.isolation), batch=batch_key(clearance.isolation_id))
    found = changed_evidence(facts, signature_of(clearance))
    if found is None:
        return None
    assays = {a.code: a.name for a in facts.assays}
    said = unmet_sentences(found.unlisted, assays)
    if found.zero and not said:
        why = start_words(found.zero, assays, {})
        said = [tell("The days count from {day}: {why}.", day=written(found.zero.day), why=why)]
    return Change(clearance=clearance, sentences=tuple(said), since=clearance.day)


def signature_of(clearance):
    """Return what was signed, out of the evidence kept with it."""
    kept = clearance.evidence
    return Signature(
        batch=batch_key(clearance.isolation_id),
        day=clearance.day,
        listed=frozenset(tuple(point) for point in kept.get("listed", ())),
        zero=date.fromisoformat(kept["zero"]) if kept.get("zero") else clearance.day,
    )
