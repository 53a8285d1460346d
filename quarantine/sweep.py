"""One forward sweep over the days: who is held, by what, in which batch. Pure.

Within one day: departures, arrivals, joining a batch, deaths, clearances, meetings, births.  What
somebody holds, and a positive, come after the clearances: a hold of the day of a clearance stands.
A day is its ordinal; nothing here is dated otherwise.
"""

from quarantine import exposure
from quarantine.spans import In, Now, Past, Residue, Was, Why
from quarantine.whereabouts import FOREVER

STATE = ("now", "gone", "ins", "pasts", "weres", "rolls", "present", "places", "residues", "kin")


class Sweep:
    """The state at the end of a day; ``step`` goes on to a later one.

    All values of its dictionaries are immutable, so that a copy of a state costs little.
    """

    def __init__(self, agenda, state=None):
        self.agenda, self.where = agenda, agenda.where
        for name in STATE:
            setattr(self, name, dict(state[name]) if state else {})

    def snapshot(self):
        """The state as it is, to go on from later."""
        return {name: dict(getattr(self, name)) for name in STATE}

    def step(self, day):
        """Let one day happen, in the order of the day."""
        self.day, self.touched, self.fresh, self.cleared = day, set(), set(), set()
        dirty = self._leave_enclosures()
        self._arrive()
        self._change_batches()
        self._enter_enclosures()
        self._clear()
        self._hold_by_hand()
        self._find_positive()
        self._leave_residues(r for r in dirty if r[1].who not in self.cleared)
        exposure.meet(self)
        self._end_visits_of_a_day()
        for who, kind in self.agenda.on("leaving", day):
            self._leave(who, kind)

    def is_held(self, who):
        """Whether one is here and held now."""
        now = self.now.get(who)
        return now is not None and now.held

    def batch(self, who):
        """The batch one is in now, or was in when it left; ``""`` for none."""
        inside = self.ins.get(who)
        if inside:
            return inside.batch
        return self.gone[who][1] if who not in self.now and who in self.gone else ""

    # What comes before the meetings

    def _leave_enclosures(self):
        """Those that move or leave go; what the held among them leave is told."""
        ending = self.agenda.on("ending", self.day)
        dirty = [
            (visit.enclosure, self._left_by(visit)) for visit in ending if self.is_held(visit.who)
        ]
        for who, kind in self.agenda.on("returning", self.day):
            self._leave(who, kind)
        for visit in ending:
            self._go_out(visit)
        return dirty

    def _left_by(self, visit):
        until = self.where.in_force(visit.enclosure, visit.end, visit.end)
        batch = self.batch(visit.who)
        return Residue(visit.who, visit.end, visit.end, until, "through", batch)

    def _arrive(self):
        for arrival in self.agenda.on("arriving", self.day):
            key = arrival.key or f"{arrival.day}:{min(arrival.who, default='')}"
            for who in arrival.who:
                why = Why("arrival", self.day, key=arrival.key)
                self.hold(who, why, f"arrival:{key}")

    def _change_batches(self):
        for membership in self.agenda.on("parting", self.day):
            self._part(membership)
        for membership in self.agenda.on("joining", self.day):
            if membership.who in self.now or membership.who not in self.gone:
                self._join(membership)

    def _part(self, membership):
        inside = self.ins.get(membership.who)
        if inside and inside.named and inside.batch == membership.batch:
            self._come_out(membership.who)
            if self.is_held(membership.who):
                self.put_in(membership.who, f"left:{membership.batch}:{membership.end}")

    def _join(self, membership):
        batch = self.agenda.batches.get(membership.batch)
        if not (batch and batch.outgoing) and not self.is_held(membership.who):
            why = Why("batch", self.day, batch=membership.batch, key=membership.key)
            self.hold(membership.who, why, membership.batch)
        self.put_in(membership.who, membership.batch, named=True)

    def _enter_enclosures(self):
        newborn = {who for who, _ in self.agenda.on("laying", self.day)}
        newborn |= {who for who, _ in self.agenda.on("bearing", self.day)}
        for visit in self.agenda.on("starting", self.day):
            self.present[visit.enclosure] = self.occupants(visit.enclosure) | {visit.who}
            self.places[visit.who] = (*self.places.get(visit.who, ()), visit.enclosure)
            self.touched.add(visit.enclosure)
            self.fresh.add(visit.who)
            if visit.who not in self.now and visit.who not in newborn:
                self.hold(visit.who, Why("stay", self.day), f"stay:{visit.who}")

    def _clear(self):
        for clearance in self.agenda.on("clearing", self.day):
            for who in (*clearance.who, *self._born_into(clearance)):
                self._release(who, clearance.batch)

    def _born_into(self, clearance):
        """Those in the batch only by birth, and those of named parents: they pass with them."""
        batches = {clearance.batch, *map(self.batch, clearance.who)}
        return [
            young
            for batch in batches
            for young in self.kin.get(batch, ())
            if batch == clearance.batch or self.ins[young].via in clearance.who
        ]

    def _release(self, who, batch):
        self.cleared.add(who)
        if who in self.now:
            self._stay_in_outgoing(who, batch)
            if self.is_held(who):
                self._close(who, "clearance")
                self.now[who] = Now(self.day, False)
                self.touch(who)
        elif who not in self.gone:
            self.now[who] = Now(self.day, False)

    def _stay_in_outgoing(self, who, batch):
        inside = self.ins.get(who)
        known = self.agenda.batches.get(inside.batch) if inside else None
        if inside and (inside.batch == batch or not (known and known.outgoing)):
            self._come_out(who)

    def _hold_by_hand(self):
        for hold in self.agenda.on("holding", self.day):
            for who in self._held_by(hold):
                self._take(who, hold)
        if not self.agenda.holds:
            return
        entered = [(v.who, v.enclosure) for v in self.agenda.on("starting", self.day)]
        for enclosure in self.agenda.on("placing", self.day):
            entered += [(who, enclosure) for who in self.occupants(enclosure)]
        for who, enclosure in sorted(entered):
            for hold in self._holds_on(enclosure):
                self._take(who, hold)

    def _take(self, who, hold):
        key = hold.key or f"{hold.start}:{hold.who or hold.enclosure or hold.unit}"
        self._hold_if_here(who, Why("hand", self.day, key=hold.key), f"hand:{key}")

    def _held_by(self, hold):
        if hold.who:
            return [hold.who]
        inside = [e for e in list(self.present) if self._is_on(hold, e)]
        return sorted(who for enclosure in inside for who in self.occupants(enclosure))

    def _holds_on(self, enclosure):
        """The holds on an enclosure, or on its unit, that were in force before today."""
        for hold in self.agenda.holds:
            end = hold.end.toordinal() if hold.end else FOREVER
            if hold.start.toordinal() < self.day < end and self._is_on(hold, enclosure):
                yield hold

    def _is_on(self, hold, enclosure):
        if hold.enclosure:
            return hold.enclosure == enclosure
        return hold.unit == self.where.unit(enclosure, self.day)

    def _find_positive(self):
        for positive in self.agenda.on("positive", self.day):
            whos = {*positive.who, *self.occupants(positive.enclosure)} - self._going()
            key = positive.key or f"{positive.day}:{min(whos, default='')}"
            for who in sorted(whos):
                why = Why("positive", self.day, key=positive.key)
                self._hold_if_here(who, why, f"positive:{key}")

    def _going(self):
        """Those that leave alive today: what is sampled now is not of their time here."""
        return {who for who, kind in self.agenda.on("leaving", self.day) if kind == "departure"}

    def _hold_if_here(self, who, why, batch):
        if who in self.now or who not in self.gone:
            self.hold(who, why, batch)

    # What the meetings and these use

    def occupants(self, enclosure):
        """Who is in an enclosure now."""
        return self.present.get(enclosure, frozenset())

    def touch(self, who):
        """The meetings of one are to be looked at today."""
        self.fresh.add(who)
        self.touched.update(self.places.get(who, ()))

    def hold(self, who, why, batch):
        """Hold one for a reason, or for one more; without a batch it is put into the one given."""
        now = self.now.get(who)
        if now is not None and now.held:
            self.now[who] = Now(now.since, now.held, (*now.whys, why))
        else:
            if now is not None and now.since < self.day:
                self._close(who, "held")
            self.now[who] = Now(self.day, True, (why,))
            self.gone.pop(who, None)
            if who not in self.ins and batch:
                self.put_in(who, batch)
            self.touch(who)

    def put_in(self, who, batch, *, named=False, via=""):
        """Put one into a batch; young that are in its batch for its sake come along."""
        old = self.ins.get(who)
        if old is not None:
            self._come_out(who)
        self.ins[who] = In(batch, self.day, named, via)
        self.rolls[batch] = (*self.rolls.get(batch, ()), who)
        if via:
            self.kin[batch] = self.kin.get(batch, frozenset()) | {who}
        if old is not None and not old.named:
            for young in self.kin.get(old.batch, ()):
                if self.ins[young].via == who:
                    self.put_in(young, batch, via=who)
        self.touch(who)

    def _come_out(self, who):
        inside = self.ins.pop(who, None)
        if inside is None:
            return
        if inside.via:
            self.kin[inside.batch] = self.kin[inside.batch] - {who}
        was = Was(inside.batch, inside.since, self.day, inside.named, inside.via)
        self.weres[who] = (*self.weres.get(who, ()), was)

    def _close(self, who, ended):
        now = self.now[who]
        past = Past(now.since, self.day, now.held, now.whys, ended)
        self.pasts[who] = (*self.pasts.get(who, ()), past)

    # What comes after the meetings

    def _leave_residues(self, dirty):
        for enclosure, residue in dirty:
            self.leave_residue(enclosure, residue)

    def leave_residue(self, enclosure, residue):
        """Keep what a held one left, and let go what is no longer in force."""
        if residue.until > self.day:
            there = self.residues.get(enclosure, ())
            self.residues[enclosure] = (*(r for r in there if r.until > self.day), residue)
        elif residue.until == self.day:
            self.residues[enclosure] = (*self.residues.get(enclosure, ()), residue)

    def _end_visits_of_a_day(self):
        for visit in self.agenda.on("starting", self.day):
            if visit.end == self.day:
                if self.is_held(visit.who):
                    self.leave_residue(visit.enclosure, self._left_by(visit))
                self._go_out(visit)

    def _go_out(self, visit):
        self.present[visit.enclosure] = self.occupants(visit.enclosure) - {visit.who}
        places = list(self.places.get(visit.who, ()))
        if visit.enclosure in places:
            places.remove(visit.enclosure)
        self.places[visit.who] = tuple(places)

    def _leave(self, who, kind):
        if who in self.now:
            self.gone[who] = self.now[who], self.batch(who)
            self._close(who, kind)
            del self.now[who]
            self._come_out(who)
