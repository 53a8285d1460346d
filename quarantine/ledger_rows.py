"""Each kind of row of the register as a dated fact; a corrected row has the day it stood until."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils import timezone

from registry.models import DepartureKind
from registry.unsettled import known_days, spells

from . import facts as f
from .models import IsolationKind, Verdict
from .opened import several
from .parts import MISSING_DAYS
from .reach import laid_on


@dataclass(frozen=True, kw_only=True)
class Codes:
    """The names by which the facts call animals, clutches and enclosures, by primary key.

    `zone` is the keeper's, in which a moment of entry falls on a day.
    """

    animals: dict
    clutches: dict
    enclosures: dict
    units: dict
    zone: object

    def day(self, moment):
        """Return the keeper's day of a moment, None of none."""
        return moment and moment.astimezone(self.zone).date()


def codes_of(reach):
    """Return the names of everyone and every enclosure reached."""
    clutches = {key: f"clutch:{clutch.code}" for key, clutch in reach.clutches.items()}
    animals = {key: animal.code for key, animal in reach.animals.items()}
    found = reach.enclosures()
    return Codes(
        animals=animals,
        clutches=clutches,
        enclosures={key: enclosure.code for key, enclosure in found.items()},
        units={enclosure.code: enclosure.unit_id for enclosure in found.values()},
        zone=timezone.get_current_timezone(),
    )


def entry(codes, key, row):
    """Return when a row was entered, when a correction replaced it, and by what key it is told."""
    gone = codes.day(row.superseded_at)
    return {"entered": codes.day(row.entered_at), "withdrawn": gone, "key": key}


def ending(codes, row):
    """Return the end of something that lasts, and the day the end was entered."""
    told = codes.day(row.ended_at or row.entered_at) if row.end else None
    return {"start": row.start, "end": row.end, "ended_entered": told}


def stays(reach, codes):
    """Yield the stays of everyone reached."""
    for row in reach.stays.values():
        who = codes.animals.get(row.animal_id) or codes.clutches.get(row.clutch_id)
        if who:
            known = ending(codes, row) | entry(codes, f"stay:{row.pk}", row)
            yield f.Stay(who=who, enclosure=codes.enclosures[row.enclosure_id], **known)


def stations(codes):
    """Yield the unit each enclosure stands in."""
    for code, unit in codes.units.items():
        yield f.Station(enclosure=code, unit=str(unit))


def disinfections(reach, codes):
    """Yield the disinfections of the enclosures."""
    for row in reach.near("disinfections", enclosure=codes.enclosures):
        known = entry(codes, f"disinfection:{row.pk}", row)
        yield f.Disinfection(enclosure=codes.enclosures[row.enclosure_id], day=row.day, **known)


def transfers(reach, codes):
    """Yield the things moved between the enclosures."""
    for row in reach.transfers.values():
        source, target = codes.enclosures[row.source_id], codes.enclosures[row.target_id]
        known = entry(codes, f"thingsmoved:{row.pk}", row)
        yield f.Transfer(source=source, target=target, day=row.day, **known)


def arrivals(reach, codes):
    """Yield the arrivals of the animals reached, those who came together in one."""
    for row, who in _together(reach.near("arrivals", animal=codes.animals), codes, "arrival_id"):
        known = entry(codes, f"arrival:{row.arrival_id}", row)
        yield f.Arrival(who=who, day=row.day, **known)


def _together(rows, codes, name):
    """Yield a row of each arrival or clearance, with everyone in it."""
    found = defaultdict(list)
    for row in rows:
        found[getattr(row, name)].append(row)
    for some in found.values():
        yield some[0], tuple(codes.animals[row.animal_id] for row in some)


def departures(reach, codes):
    """Yield who left alive, with the receiver."""
    for row in reach.near("departures", animal=codes.animals):
        known = {"receiver": row.receiver__name or ""} | entry(codes, f"departure:{row.pk}", row)
        yield f.Departure(who=codes.animals[row.animal_id], day=row.day, **known)


def perhaps_left(reach, codes):
    """Yield who may have left alive, as one of several of which nobody knows which it was."""
    events = [event for event in several(codes.animals) if event.what != DepartureKind.DEATH]
    for spell in spells(events):
        event, days = spell.event, known_days(spell)
        for animal in event.among() if days else ():
            if animal.pk in codes.animals:
                yield f.PerhapsLeft(
                    who=codes.animals[animal.pk],
                    day=event.day,
                    receiver=event.receiver.name if event.receiver else "",
                    entered=days[0],
                    withdrawn=days[1],
                    key=f"oneofthese:{event.pk}",
                )


def deaths(reach, codes):
    """Yield who died."""
    for row in reach.near("deaths", animal=codes.animals):
        known = entry(codes, f"departure:{row.pk}", row)
        yield f.Death(who=codes.animals[row.animal_id], day=row.day, **known)


def missing(reach, codes):
    """Return the entries about animals that were not found."""
    return [
        Lost(
            who=codes.animals[row.animal_id],
            day=row.day + timedelta(days=MISSING_DAYS),
            found=row.found_on,
            found_entered=codes.day(row.found_at or row.entered_at),
            known=entry(codes, f"missing:{row.pk}", row),
        )
        for row in reach.near("missing", animal=codes.animals)
    ]


@dataclass(frozen=True, kw_only=True)
class Lost:
    """An animal that counts as dead from a day on, unless it was found by the day asked."""

    who: str
    day: date
    found: date | None
    found_entered: date
    known: dict


def lost(missing, on):
    """Yield as dead who was missing for seven days and not found by a day."""
    for one in missing:
        back = {"withdrawn": one.found_entered} if one.found and one.found <= on else {}
        yield f.Death(who=one.who, day=one.day, **one.known | back)


def layings(reach, codes):
    """Yield where and when each clutch was laid, and by whom it may have been.

    A mix begins as the young of the clutches in it, on the day they were put together.
    """
    parents, parts = defaultdict(set), defaultdict(set)
    for row in reach.near("reared", mix=codes.clutches):
        if row.clutch_id in codes.clutches:
            parts[row.mix_id].add(codes.clutches[row.clutch_id])
    for row in reach.near("parents", descent__clutch=codes.clutches):
        parents[row.descent__clutch_id] |= {row.animal_id, row.mate_id}
    first = _first_entries(reach, codes, "clutch_id")
    for key, who in codes.clutches.items():
        clutch = reach.clutches[key]
        known = sorted(codes.animals[p] for p in parents[key] if p in codes.animals)
        yield f.Laying(
            clutch=who,
            enclosure=codes.enclosures[clutch.enclosure_id],
            day=laid_on(clutch),
            parents=(*sorted(parts[key]), *known),
            entered=first.get(key),
            key=f"clutch:{key}",
        )


def births(reach, codes):
    """Yield the young that left a clutch as animals."""
    first = _first_entries(reach, codes, "animal_id")
    for key, animal in reach.animals.items():
        if animal.clutch_id in codes.clutches and animal.separated_on:
            yield f.Birth(
                who=codes.animals[key],
                clutch=codes.clutches[animal.clutch_id],
                day=animal.separated_on,
                entered=first.get(key),
                key=f"animal:{key}",
            )


def _first_entries(reach, codes, name):
    """Return the day on which somebody's first stay was entered, for want of another entry."""
    first = {}
    for stay in reach.stays.values():
        key, told = getattr(stay, name), (stay.start, stay.entered_at)
        if key not in first or told < first[key]:
            first[key] = told
    return {key: codes.day(moment) for key, (_, moment) in first.items()}


def batches(reach, codes):
    """Yield what the protocol says of each batch an animal reached was in."""
    members = reach.near("memberships", animal=codes.animals)
    for row in reach.near("batches", pk={m.isolation_id for m in members}):
        yield f.Batch(
            batch=batch_key(row.pk),
            day=row.opened,
            never=row.version__never_releases,
            outgoing=row.kind == IsolationKind.OUTGOING,
            **entry(codes, batch_key(row.pk), row),
        )


def batch_key(pk):
    """Return the name by which the facts call an isolation."""
    return f"isolation:{pk}"


def isolation_pk(key):
    """Return the isolation a batch is, None where nobody opened one."""
    kind, _, pk = key.partition(":")
    return int(pk) if kind == "isolation" else None


def memberships(reach, codes):
    """Yield who belonged to which batch."""
    for row in reach.near("memberships", animal=codes.animals):
        who, batch = codes.animals[row.animal_id], batch_key(row.isolation_id)
        known = ending(codes, row) | entry(codes, f"membership:{row.pk}", row)
        yield f.Membership(who=who, batch=batch, **known)


def clearances(reach, codes):
    """Yield the signed releases, each with those reached among its animals."""
    rows = reach.near("clearances", animal=codes.animals)
    for row, who in _together(rows, codes, "clearance_id"):
        batch = batch_key(row.clearance__isolation_id) if row.clearance__isolation_id else ""
        known = entry(codes, f"clearance:{row.clearance_id}", row)
        yield f.Clearance(who=who, day=row.day, batch=batch, **known)


def hand_holds(reach, codes):
    """Yield the holds by hand on animals, enclosures and units."""
    units = set(codes.units.values())
    about = {"animal": codes.animals, "enclosure": codes.enclosures, "unit": units}
    for row in reach.near("hand_holds", **about):
        yield f.HandHold(
            who=codes.animals.get(row.animal_id, ""),
            enclosure=codes.enclosures.get(row.enclosure_id, ""),
            unit=str(row.unit_id or ""),
            **ending(codes, row),
            **entry(codes, f"hold:{row.pk}", row),
        )


def positives(reach, codes):
    """Yield the positives whose verdict starts all again, on the day of the sample."""
    about = {"sample__animals": codes.animals, "sample__enclosure": codes.enclosures}
    rows = list(reach.near("positives", **about))
    swabbed = defaultdict(list)
    for sample, animal in reach.near("swabbed", sample={row.sample_id for row in rows}):
        if animal in codes.animals:
            swabbed[sample].append(codes.animals[animal])
    for row in rows:
        if (row.verdict or row.sample__assay__default_verdict) == Verdict.ALL_AGAIN:
            yield f.Positive(
                day=row.sample__day,
                who=tuple(swabbed[row.sample_id]),
                enclosure=codes.enclosures.get(row.sample__enclosure_id, ""),
                **entry(codes, f"result:{row.pk}", row),
            )
