"""Before an act is saved: which batches it delays, by how many days, and who it makes held."""

from contextlib import suppress
from dataclasses import dataclass
from datetime import date

from django.db import transaction

from registry import shelf
from registry.phrases import written
from registry.telling import tell, tell_many

from .changes import delays
from .dossier import dossiers
from .models import Isolation
from .wards import open_on


class _Undone(Exception):
    """The rehearsal is over; everything is taken back."""


@dataclass(frozen=True, kw_only=True)
class BatchDelay:
    """A batch whose best release day an act moves, `after` being None where none can be told."""

    isolation: Isolation
    before: date
    after: date | None
    days: int | None

    @property
    def sentence(self):
        """Say which batch is delayed and by how many days."""
        told = {"isolation": self.isolation, "before": written(self.before)}
        if self.after is None:
            return tell(
                "{isolation}: no release day can be told any more, "
                "best release day {before} until now.",
                **told,
            )
        return tell_many(
            "{isolation} is delayed by {count} day: {after}, best release day {before} until now.",
            "{isolation} is delayed by {count} days: {after}, best release day {before} until now.",
            self.days,
            after=written(self.after),
            **told,
        )


def rehearse(act, on):
    """Do an act, look at what it delays, and take it back; raise what the act raises."""
    found = []
    try:
        with suppress(_Undone), transaction.atomic():
            before = facts_on(on)
            act()
            found = compare(before, facts_on(on), on)
            raise _Undone
    finally:
        shelf.forget()
    return found


def facts_on(on):
    """Return the facts of every batch in isolation on a day."""
    asked = dossiers(open_on(on), on)
    return {i: asked.true(i) for i in asked.isolations}


def compare(before, after, on):
    """Return the delays between two states of the register."""
    after = {i.pk: facts for i, facts in after.items()}
    found = []
    for isolation, was in before.items():
        if isolation.pk in after:
            found += [_told(isolation, one) for one in delays([(was, after[isolation.pk])], on)]
    return found


def _told(isolation, delay):
    return BatchDelay(isolation=isolation, before=delay.before, after=delay.after, days=delay.days)
