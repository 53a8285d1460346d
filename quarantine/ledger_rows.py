"""Each kind of row of the register as a dated fact; a corrected row has the day it stood until."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta

from django.utils import timezone

from registry.models import (
    ArrivalMember,
    Candidate,
    Departure,
    DepartureKind,
    Disinfection,
    Missing,
    OneOfThese,
)
from registry.unsettled import known_days, spells

from . import facts as f
from .models import Clearance, Hold, Isolation, IsolationKind, Membership, Outcome, Result, Verdict
from .parts import MISSING_DAYS
from .reach import laid_on, parts_of


@dataclass(frozen=True, kw_only=True)
class Codes:
    """The names by which the facts call animals, clutches and enclosures, by primary key."""

    animals: dict
    clutches: dict
    enclosures: dict
    units: dict


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
    )


def entry(row):
    """Return when a row was entered, when a correction replaced it, and by what key it is told."""
    gone = timezone.localdate(row.superseded_at) if row.superseded_at else None
    key = f"{row._meta.model_name}:{row.pk}"
    return {"entered": timezone.localdate(row.entered_at), "withdrawn": gone, "key": key}


def ending(row):
    """Return the end of something that lasts, and the day the end was entered."""
    told = timezone.localdate(row.ended_at or row.entered_at) if row.end else None
    return {"start": row.start, "end": row.end, "ended_entered": told}


def stays(reach, codes):
    """Yield the stays of everyone reached."""
    for stay in reach.stays.values():
        who = codes.animals.get(stay.animal_id) or codes.clutches.get(stay.clutch_id)
        if who:
            place = codes.enclosures[stay.enclosure_id]
            yield f.Stay(who=who, enclosure=place, **ending(stay), **entry(stay))


def stations(codes):
    """Yield the unit each enclosure stands in."""
    for code, unit in codes.units.items():
        yield f.Station(enclosure=code, unit=str(unit))


def disinfections(reach, codes):
    """Yield the disinfections of the enclosures."""
    rows = Disinfection.objects.filter(void=False)
    for row in reach.near(rows, enclosure=codes.enclosures):
        place = codes.enclosures[row.enclosure_id]
        yield f.Disinfection(enclosure=place, day=row.day, **entry(row))


def transfers(reach, codes):
    """Yield the things moved between the enclosures."""
    for row in reach.transfers.values():
        source, target = codes.enclosures[row.source_id], codes.enclosures[row.target_id]
        yield f.Transfer(source=source, target=target, day=row.day, **entry(row))


def arrivals(reach, codes):
    """Yield the arrivals of the animals reached, those who came together in one."""
    together = defaultdict(list)
    rows = ArrivalMember.objects.filter(arrival__void=False).select_related("arrival")
    for row in reach.near(rows, animal=codes.animals):
        together[row.arrival].append(codes.animals[row.animal_id])
    for arrival, who in together.items():
        yield f.Arrival(who=tuple(who), day=arrival.day, **entry(arrival))


def departures(reach, codes):
    """Yield who left alive, with the receiver."""
    rows = Departure.objects.filter(void=False).exclude(kind=DepartureKind.DEATH)
    for row in reach.near(rows.select_related("receiver"), animal=codes.animals):
        receiver = row.receiver.name if row.receiver else ""
        who = codes.animals[row.animal_id]
        yield f.Departure(who=who, day=row.day, receiver=receiver, **entry(row))


def perhaps_left(reach, codes):
    """Yield who may have left alive, as one of several of which nobody knows which it was."""
    alive = [kind for kind in DepartureKind.values if kind != DepartureKind.DEATH]
    rows = reach.near(OneOfThese.objects.filter(void=False), animals=codes.animals)
    rows = rows.filter(what__in=alive).select_related("receiver").distinct()
    for spell in spells(rows.prefetch_related("animals")):
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
    rows = Departure.objects.filter(void=False, kind=DepartureKind.DEATH)
    for row in reach.near(rows, animal=codes.animals):
        yield f.Death(who=codes.animals[row.animal_id], day=row.day, **entry(row))


def missing(reach, codes):
    """Return the entries about animals that were not found."""
    rows = Missing.objects.filter(void=False)
    return [(codes.animals[row.animal_id], row) for row in reach.near(rows, animal=codes.animals)]


def lost(missing, on):
    """Yield as dead who was missing for seven days and not found by a day."""
    for who, row in missing:
        died = row.day + timedelta(days=MISSING_DAYS)
        yield f.Death(who=who, day=died, **_until_found(row, on))


def _until_found(row, on):
    """Return the entry of an animal missing, which is taken back when it is found by the day."""
    known = entry(row)
    if row.found_on and row.found_on <= on:
        known["withdrawn"] = timezone.localdate(row.found_at or row.entered_at)
    return known


def layings(reach, codes):
    """Yield where and when each clutch was laid, and by whom it may have been.

    A mix begins as the young of the clutches in it, on the day they were put together.
    """
    parents, parts = defaultdict(set), defaultdict(set)
    for mix, part, _ in parts_of(codes.clutches):
        parts[mix] |= {codes.clutches[part]} if part in codes.clutches else set()
    rows = Candidate.objects.filter(
        descent__clutch__isnull=False,
        descent__void=False,
        descent__superseded_at__isnull=True,
    )
    rows = reach.near(rows, descent__clutch=codes.clutches)
    for clutch, *pair in rows.values_list("descent__clutch", "animal", "mate"):
        parents[clutch] |= set(pair)
    first = _first_entries(reach, "clutch_id")
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
    first = _first_entries(reach, "animal_id")
    for key, animal in reach.animals.items():
        if animal.clutch_id in codes.clutches and animal.separated_on:
            yield f.Birth(
                who=codes.animals[key],
                clutch=codes.clutches[animal.clutch_id],
                day=animal.separated_on,
                entered=first.get(key),
                key=f"animal:{key}",
            )


def _first_entries(reach, name):
    """Return the day on which somebody's first stay was entered, for want of another entry."""
    first = {}
    for stay in sorted(reach.stays.values(), key=lambda s: (s.start, s.entered_at)):
        first.setdefault(getattr(stay, name), timezone.localdate(stay.entered_at))
    return first


def batches(reach, codes):
    """Yield what the protocol says of each batch an animal reached was in."""
    mine = reach.near(Membership.objects.filter(void=False), animal=codes.animals)
    rows = Isolation.objects.filter(void=False, pk__in=mine.values("isolation"))
    for row in rows.select_related("version"):
        yield f.Batch(
            batch=batch_key(row.pk),
            day=row.opened,
            never=row.version.never_releases,
            outgoing=row.kind == IsolationKind.OUTGOING,
            **entry(row),
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
    for row in reach.near(Membership.objects.filter(void=False), animal=codes.animals):
        who, batch = codes.animals[row.animal_id], batch_key(row.isolation_id)
        yield f.Membership(who=who, batch=batch, **ending(row), **entry(row))


def clearances(reach, codes):
    """Yield the signed releases, each with those reached among its animals."""
    through = Clearance.animals.through
    signed = defaultdict(list)
    rows = through.objects.filter(clearance__void=False).select_related("clearance")
    for row in reach.near(rows, animal=codes.animals):
        signed[row.clearance].append(codes.animals[row.animal_id])
    for row, who in signed.items():
        batch = batch_key(row.isolation_id) if row.isolation_id else ""
        yield f.Clearance(who=tuple(who), day=row.day, batch=batch, **entry(row))


def hand_holds(reach, codes):
    """Yield the holds by hand on animals, enclosures and units."""
    units = set(codes.units.values())
    about = {"animal": codes.animals, "enclosure": codes.enclosures, "unit": units}
    for row in reach.near(Hold.objects.filter(void=False), **about):
        yield f.HandHold(
            who=codes.animals.get(row.animal_id, ""),
            enclosure=codes.enclosures.get(row.enclosure_id, ""),
            unit=str(row.unit_id or ""),
            **ending(row),
            **entry(row),
        )


def positives(reach, codes):
    """Yield the positives whose verdict starts all again, on the day of the sample."""
    about = {"sample__animals": codes.animals, "sample__enclosure": codes.enclosures}
    rows = Result.objects.filter(void=False, outcome=Outcome.POSITIVE)
    rows = reach.near(rows.select_related("sample__assay"), **about).distinct()
    for row in rows.prefetch_related("sample__animals"):
        if (row.verdict or row.sample.assay.default_verdict) == Verdict.ALL_AGAIN:
            sample, animals = row.sample, row.sample.animals.all()
            who = tuple(codes.animals[a.pk] for a in animals if a.pk in codes.animals)
            place = codes.enclosures.get(sample.enclosure_id, "")
            yield f.Positive(day=sample.day, who=who, enclosure=place, **entry(row))
