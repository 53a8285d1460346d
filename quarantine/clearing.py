"""Clearance: a person with that right signs a batch out; the evidence is kept as it stood."""

import hashlib
from dataclasses import dataclass, fields
from datetime import date

from django.db import transaction
from django.utils import timezone

from registry import shelf
from registry.models import Animal
from registry.phrases import in_a_row, written
from registry.telling import tell

from .dossier import dossiers
from .held import CLEARED, standings
from .isolating import locked
from .models import Clearance
from .phrases import start_words, unmet_sentences, unmet_words
from .readings import NeverReleased, NobodyLiving
from .refusals import ActRefused, NoRight, StalePage

SIGN, OVERRIDE = "quarantine.sign_clearance", "quarantine.override_clearance"


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """What a release would rest on: the reading, the facts, and a seal that changes with them."""

    isolation: object
    reading: object
    facts: object

    @property
    def seal(self):
        """A short word that differs once anything is entered or corrected."""
        text = repr((self.reading, sorted(self._entries())))
        return hashlib.sha256(text.encode()).hexdigest()[:20]

    def _entries(self):
        for kind in fields(self.facts):
            rows = getattr(self.facts, kind.name)
            if isinstance(rows, tuple) and kind.name != "assays":
                yield from (getattr(row, "key", "") for row in rows)

    @property
    def names(self):
        """The names of the tests by their codes."""
        return {assay.code: assay.name for assay in self.facts.assays}

    @property
    def sentences(self):
        """What is unmet, in words."""
        return unmet_sentences(self.reading.unmet, self.names)

    def frozen(self):
        """Return the evidence as plain values, to be kept with the signature."""
        reading, assays = self.reading, self.names
        return {
            "day": reading.day.isoformat(),
            "zero": reading.expected_zero.day.isoformat(),
            "why": start_words(reading.zero, assays, {}),
            "protocol": str(self.isolation.version),
            "living": list(reading.living),
            "listed": [list(point.point) for point in reading.unmet],
            "unmet": self.sentences,
            "results": list(self._results()),
            "seal": self.seal,
        }

    def _results(self):
        opened = min(m.joined for m in self.facts.memberships)
        samples = {s.key: s for s in self.facts.samples if s.taken >= opened}
        for result in self.facts.results:
            if sample := samples.get(result.sample):
                yield {
                    "of": sorted(sample.members) or [sample.enclosure],
                    "assay": self.names.get(result.assay, result.assay),
                    "taken": sample.taken.isoformat(),
                    "reported": result.reported.isoformat(),
                    "outcome": str(result.outcome),
                    "verdict": str(result.verdict or ""),
                    "entry": result.key,
                }


def readable(kept):
    """Return evidence as it was kept, with its days as days."""
    days = ("taken", "reported")
    rows = kept.get("results", ())
    told = [row | {name: date.fromisoformat(row[name]) for name in days} for row in rows]
    zero = date.fromisoformat(kept["zero"]) if kept.get("zero") else None
    return kept | {"results": told, "zero": zero}


def evidence(isolation, day):
    """Return what a release on a day would rest on, as known today."""
    asked = dossiers([isolation], day)
    reading = asked.readings[isolation.pk]
    if reading is None:
        raise ActRefused(
            tell("{isolation} opened after {day}.", isolation=isolation, day=written(day)), "day"
        )
    return Evidence(isolation=isolation, reading=reading, facts=asked.true(isolation))


@transaction.atomic
def sign_clearance(isolation, day, *, by, seal=None, note="", at=None):
    """Release everyone living in a batch, once every point is met."""
    found = _examined(isolation, day, by, SIGN, seal, at)
    if found.reading.unmet:
        raise ActRefused(
            tell(
                "{isolation} cannot be released: {why}",
                isolation=isolation,
                why=" ".join(found.sentences),
            )
        )
    return _signed(found, by, at, grounds=note)


@transaction.atomic
def override(isolation, day, *, by, veterinarian, grounds, seal=None, at=None):
    """Release a batch against unmet points, by a veterinarian's word with a written reason."""
    found = _examined(isolation, day, by, OVERRIDE, seal, at)
    if not veterinarian.strip():
        raise ActRefused(tell("Name the veterinarian who decides."), "veterinarian")
    if not grounds.strip():
        raise ActRefused(tell("Write the veterinarian's reason."), "grounds")
    for point in found.reading.unmet:
        if isinstance(point, NeverReleased | NobodyLiving):
            raise ActRefused(unmet_words(point, {}))
    told = {"override": True, "veterinarian": veterinarian.strip(), "grounds": grounds.strip()}
    return _signed(found, by, at, **told)


def _examined(isolation, day, by, right, seal, at):
    """Return the evidence a release rests on, refused where the person or the page may not sign."""
    refuse_without_right(by, right)
    if day > timezone.localdate(at or timezone.now()):
        raise ActRefused(tell("A clearance is signed on its day or later, not ahead."), "day")
    shelf.forget()
    found = evidence(locked(isolation), day)
    if seal is not None and seal != found.seal:
        raise StalePage(
            tell(
                "Something was entered about {isolation} since this page was shown. "
                "Look at it again and sign then.",
                isolation=isolation,
            )
        )
    return found


def refuse_without_right(by, right):
    """Refuse somebody who may not sign."""
    if not by.has_perm(right):
        if right == OVERRIDE:
            raise NoRight(
                tell(
                    "{by} may not sign a veterinarian's override; ask somebody with that right.",
                    by=by,
                )
            )
        raise NoRight(tell("{by} may not sign a clearance; ask somebody with that right.", by=by))


def _signed(found, by, at, **told):
    reading = found.reading
    clearance = Clearance.objects.create(
        isolation=found.isolation,
        day=reading.day,
        signed_by=by,
        unmet=found.sentences,
        evidence=found.frozen(),
        entered_at=at or timezone.now(),
        entered_by=by,
        **told,
    )
    clearance.animals.set(Animal.objects.filter(code__in=reading.living))
    return clearance


@transaction.atomic
def clear_opening_stock(animals, day, *, by, grounds, at=None):
    """Clear the animals that were here when the register began, on stated grounds."""
    moment = at or timezone.now()
    refuse_without_right(by, SIGN)
    _refuse_stock(animals, day, grounds, timezone.localdate(moment))
    clearance = Clearance.objects.create(
        day=day, signed_by=by, grounds=grounds.strip(), entered_at=moment, entered_by=by
    )
    clearance.animals.set(animals)
    return clearance


def _refuse_stock(animals, day, grounds, today):
    if not grounds.strip():
        raise ActRefused(tell("Say on what grounds the opening stock is cleared."), "grounds")
    if day > today:
        raise ActRefused(tell("A clearance is signed on its day or later, not ahead."), "day")
    now = standings(animals, day)
    away = [a for a in animals if a.pk not in now]
    if away:
        raise ActRefused(
            tell("{away} is not here on {day}.", away=in_a_row(away), day=written(day)), "animals"
        )
    foreign = [a for a in animals if not a.arrivals.filter(kind="opening").exists()]
    if foreign:
        text = tell(
            "{foreign} is no opening stock; open an isolation for it instead.",
            foreign=in_a_row(foreign),
        )
        raise ActRefused(text, "animals")
    if not [a for a in animals if now[a.pk].state != CLEARED]:
        raise ActRefused(tell("All of these are cleared already."), "animals")
