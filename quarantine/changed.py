"""Changed evidence: later entries with which the rules, run for the day of clearance, say no."""

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import date

from registry import shelf
from registry.phrases import written
from registry.telling import tell
from registry.together import fetch

from .changes import Signature, changed_evidence
from .dossier import dossiers
from .ledger_rows import batch_key
from .models import Clearance
from .opened import opened, signed_rows, told_of
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
        everyone = shelf.kept(("changed", on), lambda: _changes(last_clearances(on, signed())))
        return {key: change for key, change in everyone.items() if key in keys}
    return _changes(last_clearances(on, signed(animal__in=keys))) if keys else {}


def _changes(last):
    changed = changes({row.pk: row for row in last.values()}.values())
    return {key: changed[row.pk] for key, row in last.items() if row.pk in changed}


def signed(**whom):
    """Return the clearances that stand and whom of some animals they released; a page asks once."""
    if shelf.is_open():
        return opened().signed
    return told_of(*fetch(*signed_rows(**whom)), opened().isolations)


def last_clearances(on, known):
    """Return the last clearance of each animal up to a day, by its key."""
    whose = defaultdict(list)
    for animal, clearance in known.released:
        whose[clearance].append(animal)
    until = [row for row in known.clearances if row.day <= on]
    return {animal: row for row in until for animal in whose[row.pk]}


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
    kept = Clearance.objects.filter(pk__in=[row.pk for row in rows]).values_list("pk", "evidence")
    for row, evidence in zip(rows, map(dict(kept).get, [row.pk for row in rows]), strict=True):
        row.evidence = evidence
    return {row.pk: change for row in rows if (change := change_of(row))}


def _of_last_signatures():
    """Return the keys of the last clearance of every isolation, and what speaks against each."""
    last = {row.isolation_id: row for row in signed().clearances if row.isolation_id}
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
