"""The register read once more, plainly: who was where, and who was held, straight from the rows.

Nothing of what the site computes with is used: neither its ledger nor its sweep over the days.
"""

from dataclasses import replace
from datetime import timedelta
from functools import cached_property

from quarantine import models as q
from quarantine.facts import (
    Arrival,
    Birth,
    Clearance,
    Death,
    Departure,
    Disinfection,
    Facts,
    HandHold,
    Laying,
    Membership,
    Positive,
    Stay,
    Transfer,
)
from registry import models as m
from tests.quarantine.lives import number, on
from tests.quarantine.reckoning import Holds, Reckoning


def who(row):
    """Return whom a row is about, by code."""
    return row.animal.code if row.animal_id else f"clutch:{row.clutch.code}"


class Where(Reckoning):
    """A plain reckoning that remembers who was in an enclosure on a day."""

    @cached_property
    def _kept(self):
        return {}

    def inside(self, enclosure, day):
        """Who is in an enclosure on a day."""
        if (enclosure, day) not in self._kept:
            self._kept[enclosure, day] = super().inside(enclosure, day)
        return self._kept[enclosure, day]

    def meets(self, day):
        """All pairs that are in one enclosure on a day."""
        if day not in self._kept:
            self._kept[day] = super().meets(day)
        return self._kept[day]


class PlainRegister(Holds):
    """Who is held since when, at the end of each day, out of all that is on record now."""

    def __init__(self, last):
        facts = plain_facts()
        self.reckoning, self.stays = Where(facts), Where(replace(facts, layings=()))
        self.facts = Facts(
            **vars(facts) | {"hand_holds": self._by_hand(), "positives": self._positive()}
        )
        self.born = {row.who: row for row in facts.births}
        self.laid = {row.clutch: row for row in facts.layings}
        self.held, self.here, self.gone = {}, set(), set()
        self.morning, self.meeting, self.evening, self.cleared = {}, {}, {}, {}
        self.present = {}
        for day in range(1, last + 1):
            self._pass(day)
            self.present[day] = set(self.here)

    def _by_hand(self):
        """Turn holds on enclosures and units into one for each that was there or came there."""
        found = []
        for hold in q.Hold.objects.current().select_related("animal"):
            if hold.animal_id:
                found.append(HandHold(who=hold.animal.code, start=hold.start))
            for place in _places(hold):
                found += self._caught(place, hold)
        return tuple(found)

    def _caught(self, place, hold):
        start, end = number(hold.start), number(hold.end) if hold.end else 10_000
        inside = self.reckoning.inside(place, start)
        yield from (HandHold(who=one, start=hold.start) for one in inside)
        for one, where, came, _ in self.reckoning.stays:
            if where == place and start < came < end:
                yield HandHold(who=one, start=on(came))

    def _positive(self):
        """Name those that stayed in an enclosure that tested positive."""
        found = []
        for row in q.Result.objects.current().filter(outcome="positive"):
            if (row.verdict or row.sample.assay.default_verdict) != "all again":
                continue
            whos = {a.code for a in row.sample.animals.all()}
            if row.sample.enclosure_id:
                place = row.sample.enclosure.code
                whos |= self.reckoning.inside(place, number(row.sample.day))
            found.append(Positive(who=tuple(sorted(whos)), day=row.sample.day))
        return tuple(found)

    def together(self, days):
        """Return (day, one, other) for all that stay in one enclosure on these days."""
        return {(day, *sorted(pair)) for day in days for pair in self.stays.meets(day)}

    def is_held(self, one, day):
        """Whether one is held before the meetings of a day.

        Young are what their clutch is, eggs held where anybody is held that they were laid among.
        """
        held, birth, laying = self.morning[day], self.born.get(one), self.laid.get(one)
        if birth and number(birth.day) == day:
            return one in held or birth.clutch in held
        if laying and number(laying.day) == day:
            return one in held or not held.keys().isdisjoint(self._laid_among(laying, day))
        return one in held

    def _laid_among(self, laying, day):
        return self.reckoning.inside(laying.enclosure, day)


def _places(hold):
    if hold.enclosure_id:
        return [hold.enclosure.code]
    return list(m.Enclosure.objects.filter(unit=hold.unit_id or 0).values_list("code", flat=True))


def plain_facts():
    """Return the entries in force as plain facts."""
    stays = m.Stay.objects.current().select_related("animal", "clutch", "enclosure")
    return Facts(
        stays=tuple(
            Stay(who=who(s), enclosure=s.enclosure.code, start=s.start, end=s.end) for s in stays
        ),
        disinfections=tuple(
            Disinfection(enclosure=row.enclosure.code, day=row.day)
            for row in m.Disinfection.objects.current().select_related("enclosure")
        ),
        transfers=tuple(
            Transfer(source=row.source.code, target=row.target.code, day=row.day)
            for row in m.ThingsMoved.objects.current().select_related("source", "target")
        ),
        **_comings(),
        **_goings(),
        **_bred(),
        memberships=tuple(
            Membership(who=row.animal.code, batch=str(row.isolation_id), start=row.start)
            for row in q.Membership.objects.current().select_related("animal")
        ),
        clearances=tuple(
            Clearance(who=tuple(a.code for a in row.animals.all()), day=row.day)
            for row in q.Clearance.objects.current().prefetch_related("animals")
        ),
    )


def _comings():
    rows = m.ArrivalMember.objects.filter(arrival__void=False, arrival__superseded_at=None)
    rows = rows.select_related("arrival", "animal")
    return {"arrivals": tuple(Arrival(who=(r.animal.code,), day=r.arrival.day) for r in rows)}


def _goings():
    rows = list(m.Departure.objects.current().select_related("animal"))
    deaths = [Death(who=r.animal.code, day=r.day) for r in rows if r.kind == "death"]
    lost = m.Missing.objects.current().filter(found_on=None).select_related("animal")
    deaths += [Death(who=r.animal.code, day=r.day + timedelta(days=7)) for r in lost]
    gone = (Departure(who=r.animal.code, day=r.day) for r in rows if r.kind != "death")
    return {"deaths": tuple(deaths), "departures": tuple(gone)}


def _bred():
    clutches = m.Clutch.objects.select_related("enclosure")
    young = m.Animal.objects.filter(clutch__isnull=False).select_related("clutch")
    return {
        "layings": tuple(
            Laying(clutch=f"clutch:{c.code}", enclosure=c.enclosure.code, day=c.laid)
            for c in clutches
        ),
        "births": tuple(
            Birth(who=a.code, clutch=f"clutch:{a.clutch.code}", day=a.separated_on) for a in young
        ),
    }
