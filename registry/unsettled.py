"""What is not settled yet: which of several look-alikes died, left, called or laid.

Until it is settled each of them is here, unless it was the one; their number goes down at once.
"""

from dataclasses import dataclass
from datetime import datetime
from itertools import chain

from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from . import shelf
from .assigning import assigned
from .herd import sexings_of
from .models import Basis, Departure, OneOfThese, SexFinding, What
from .phrases import in_a_row, written
from .presence import presences
from .seldom import open_events, seldom
from .telling import tell
from .together import fetch

DID = {
    What.DEATH: pgettext_lazy("did", "died"),
    What.SALE: _("was sold"),
    What.GIFT: _("was given away"),
    What.EXCHANGE: _("was exchanged"),
    What.LOAN: _("was lent"),
    What.ESCAPE: pgettext_lazy("did", "escaped"),
    What.HANDED_OVER: _("was handed over"),
    What.CALLING: _("was heard calling"),
    What.LAID: pgettext_lazy("did", "laid"),
}
FEW = 500  # animals that are asked for by name
OTHER_SEX = {Basis.CALLING: "female", Basis.LAID: "male"}


class AmongRefused(Exception):
    """What cannot have happened to one of these, or cannot be settled like that."""


@dataclass(frozen=True, kw_only=True)
class Open:
    """One such event that is not settled, with those it can have been."""

    event: OneOfThese
    among: tuple
    possible: tuple

    @property
    def keys(self):
        """The keys of those it can have been."""
        return {a.pk for a in self.possible}

    @property
    def sentence(self):
        """Say what happened to one of them."""
        return words(self.event, self.among)

    @property
    def only(self):
        """The one it must have been where only one is left, else None; a proposal, no more."""
        return self.possible[0] if len(self.possible) == 1 else None


def words(event, among):
    """Say what happened to one of some animals."""
    told = {"names": in_a_row(among), "did": DID[event.what], "day": written(event.day)}
    told |= {"enclosure": event.enclosure, "receiver": event.receiver}
    if event.receiver_id:
        return tell("One of {names} {did} to {receiver} in {enclosure} on {day}.", **told)
    return tell("One of {names} {did} in {enclosure} on {day}.", **told)


def unless(event):
    """Say what may have befallen any one of them."""
    return tell(
        "Here, unless it was the one that {did} on {day}.",
        did=DID[event.what],
        day=written(event.day),
    )


def unsettled(**about):
    """Return the events that stand and are settled on nobody, the oldest first."""
    return open_events().filter(**about).prefetch_related("animals__taxon")


def opened(events):
    """Return events with those each of them can have been, fetched together."""
    events = list(events)
    among = {e.pk: e.among() for e in events}
    animals = {a.pk: a for some in among.values() for a in some}
    if not animals:
        return []
    known = presences(animals)
    heard = [a.pk for e in events if not e.has_left for a in among[e.pk]]
    sexings = sexings_of(heard) if heard else {}
    return [
        Open(
            event=event,
            among=tuple(among[event.pk]),
            possible=tuple(a for a in among[event.pk] if _can_be(a, event, known, sexings)),
        )
        for event in events
    ]


def _can_be(animal, event, known, sexings):
    if event.has_left:
        return can_have_left(known[animal.pk], event.day)
    died = [day for day, kind in known[animal.pk].goings if kind == "death"]
    sexing = sexings.get(animal.pk)
    other = sexing and sexing.strong and sexing.sex == OTHER_SEX[event.what]
    return not other and not any(day < event.day for day in died)


def can_have_left(presence, day):
    """Return whether one that is on record like this can have died or left on a day.

    One that died or left by itself, before or later, was another; unless it came back between.
    """
    if not presence.is_here(day):
        return False
    backs = [d for d in presence.comings if d > day]
    return not any(d > day and not any(b <= d for b in backs) for d, _ in presence.goings)


def all_open():
    """Return every event that is not settled, with those it can have been."""
    return opened(seldom().events)


def open_about(animals, on):
    """Return the events that any of these animals may have been, dated up to a day."""
    keys = {a.pk for a in animals}
    until = [event for event in seldom().events if event.day <= on]
    return opened(e for e in until if any(a.pk in keys for a in e.animals.all()))


def open_departures(day__lte=None, animals__in=None):
    """Return the events by which one of some has died or left, up to a day, of some animals."""
    gone = [event for event in seldom().events if event.has_left]
    if gone and animals__in is not None:
        keys = {getattr(a, "pk", a) for a in animals__in}
        gone = [event for event in gone if any(a.pk in keys for a in event.animals.all())]
    return opened(event for event in gone if day__lte is None or event.day <= day__lte)


def unmatched(departures):
    """Return the events that can have befallen nobody who is not needed for another."""
    found = assigned({one.event.pk: one.keys for one in departures})
    return [one for one in departures if one.event.pk not in found]


# How many are left of a company


@dataclass(frozen=True, kw_only=True)
class Fewer:
    """By which events a company is one fewer, and by which it may be."""

    surely: tuple = ()
    perhaps: tuple = ()

    def notation(self, sexings):
        """Return a company as males.females.unsexed without those gone, as far as it is known.

        `sexings` are what is known of each animal of the company, by key.
        """
        counts, apart = [0, 0, 0], 0
        for sexing in sexings.values():
            counts[sexing.column] += 1
        for one in self.surely:
            columns = {sexings[key].column for key in one.keys}
            if len(columns) == 1:
                counts[columns.pop()] -= 1
            else:
                apart += 1
        told = {"counts": ".".join(map(str, counts)), "apart": apart}
        if apart and self.perhaps:
            return tell("{counts} less {apart} or fewer", **told)
        if apart:
            return tell("{counts} less {apart}", **told)
        return tell("{counts} or fewer", **told) if self.perhaps else told["counts"]


def fewer(animals, departures):
    """Return by which open events a company is smaller: surely where it was nobody elsewhere."""
    keys = {a.pk for a in animals}
    mine = [one for one in departures if one.keys & keys]
    surely = [one for one in mine if one.keys <= keys]
    matched = assigned({one.event.pk: one.keys for one in surely})
    return Fewer(
        surely=tuple(one for one in surely if one.event.pk in matched),
        perhaps=tuple(one for one in mine if not one.keys <= keys),
    )


# Since when it was known and not settled, for questions about an earlier day


@dataclass(frozen=True, kw_only=True)
class Spell:
    """From one moment up to another, None while it lasts, an event was on record unsettled.

    `root` is the key of its first entry, which stays the same however it is corrected.
    """

    root: int
    event: OneOfThese
    since: datetime
    until: datetime | None


def spells(events):
    """Yield when each of some events was unsettled; `events` are all entries, corrected or not."""
    events = list(events)
    named = roots(events)
    settled = {}
    for row in chain(*_settling({e.pk for e in events})):
        settled.setdefault(named[row.one_of_id], []).append((row.entered_at, row.superseded_at))
    for times in settled.values():
        times.sort(key=lambda time: time[0])
    for event in events:
        if not event.void:
            yield from _spells(event, named[event.pk], settled.get(named[event.pk], ()))


def _settling(keys):
    """Return what settled events, corrected entries included; a page asks once."""
    asked = {"one_of__in": keys, "void": False}
    rows = Departure.objects.filter(**asked), SexFinding.objects.filter(**asked)
    return shelf.kept(("settling", frozenset(keys)), lambda: fetch(*rows))


def _spells(event, root, settled):
    since, until = event.entered_at, event.superseded_at
    told = {"root": root, "event": event}
    for start, end in settled:
        if (until is None or start < until) and (end is None or end > since):
            if start > since:
                yield Spell(since=since, until=start, **told)
            if end is None:
                return
            since = max(since, end)
    if until is None or since < until:
        yield Spell(since=since, until=until, **told)


def roots(events):
    """Return the key of the first entry of each event, by the key of any of its entries."""
    before = {e.pk: e.replaces_id for e in events if e.replaces_id}
    found = {}
    for event in events:
        key = event.pk
        while key in before:
            key = before[key]
        found[event.pk] = key
    return found


def known_days(spell):
    """Return the days from which and up to which a spell was known; None where on no evening."""
    since = timezone.localdate(spell.since)
    until = timezone.localdate(spell.until) if spell.until else None
    return None if until == since else (since, until)
