"""A batch as it stands on a day: what is unmet, what comes next, and the sentence that says so."""

from dataclasses import dataclass
from datetime import date

from registry.phrases import distance, written
from registry.telling import tell, tell_many, to_tell

from .changed import Change, changes
from .dossier import dossiers
from .models import Clearance, Isolation
from .next_steps import next_step
from .opened import opened
from .phrases import start_words, unmet_sentences
from .readings import Reading
from .wards import open_keys

OPEN, RELEASED = to_tell("in isolation"), to_tell("released")
CHANGED, OVER = to_tell("evidence changed"), to_tell("ended")


@dataclass(frozen=True, kw_only=True)
class BatchOnDay:
    """One isolation on a day, with what its clock shows and the last signature under it."""

    isolation: Isolation
    on: date
    state: str
    reading: Reading | None
    facts: object
    assays: dict
    units: dict
    clearance: Clearance | None = None
    change: Change | None = None

    @property
    def possible(self):
        """Whether release can be signed."""
        return self.reading is not None and self.reading.possible

    @property
    def best(self):
        """The best release day, while somebody waits for it."""
        return self.reading.best if self.reading and self.state == OPEN else None

    @property
    def far(self):
        """How far the best release day is."""
        return distance(self.best, self.on) if self.best else ""

    @property
    def unmet(self):
        """What stands against release, a sentence each."""
        return unmet_sentences(self.reading.unmet if self.reading else (), self.assays)

    @property
    def next(self):
        """What to do next, with the page where it is done."""
        return next_step(self)

    @property
    def zero_words(self):
        """Why the days count from day zero."""
        return start_words(self.reading.zero, self.assays, self.units)

    @property
    def sentence(self):
        """Say how the batch stands."""
        if self.change:
            return tell("Held again: {sentence}", sentence=self.change.sentence)
        if self.state == RELEASED:
            return tell(
                "Released on {day} by {signed_by}.",
                day=written(self.clearance.day),
                signed_by=self.clearance.signed_by,
            )
        if self.reading is None:
            return tell("Not opened yet on that day.")
        if self.state == OVER:
            return tell("Ended: nobody is living and in it.")
        return _open_words(self)


def _open_words(batch):
    """Say since when the days count and why, and the best release day."""
    reading, version = batch.reading, batch.isolation.version
    if version.never_releases:
        return tell(
            "Never to be released: the protocol releases nobody; young may be, on their own."
        )
    told = {
        "day": written(reading.zero.day),
        "why": batch.zero_words,
        "days": tell_many("{count} day", "{count} days", version.min_days),
    }
    if reading.possible:
        return tell(
            "Day zero is {day}: {why}; {days} from there are over and everything asked is met. "
            "Release can be signed.",
            **told,
        )
    if reading.best is None:
        return tell(
            "Day zero is {day}: {why}; {days} from there. No release day can be told before the "
            "open decisions are made.",
            **told,
        )
    return tell(
        "Day zero is {day}: {why}; {days} from there. Best release day {best}.",
        best=written(reading.best),
        **told,
    )


def batches_on(isolations, on):
    """Return isolations as they stand on a day, fetched together."""
    isolations = list(isolations)
    asked = dossiers(isolations, on)
    names = {"assays": {a.code: a.name for a in asked.facts.assays}, "units": opened().units}
    signed = last_signatures(isolations, on)
    changed = changes(signed.values())
    waiting = open_keys(on)
    return [_on_day(i, on, asked, signed.get(i.pk), changed, waiting, names) for i in isolations]


def batch_on(isolation, on):
    """Return one isolation as it stands on a day."""
    return batches_on([isolation], on)[0]


def _on_day(isolation, on, asked, clearance, changed, waiting, names):
    change = changed.get(clearance.pk) if clearance else None
    return BatchOnDay(
        isolation=isolation,
        on=on,
        state=_state(isolation, clearance, change, waiting),
        reading=asked.readings[isolation.pk],
        facts=asked.true(isolation),
        clearance=clearance,
        change=change,
        **names,
    )


def _state(isolation, clearance, change, waiting):
    if isolation.pk in waiting:
        return OPEN
    if change:
        return CHANGED
    return RELEASED if clearance else OVER


def last_signatures(isolations, on):
    """Return the last clearance of each isolation up to a day, by its key."""
    keys = {isolation.pk for isolation in isolations}
    rows = [row for row in opened().signed.clearances if row.day <= on]
    return {row.isolation_id: row for row in rows if row.isolation_id in keys}
