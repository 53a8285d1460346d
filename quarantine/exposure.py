"""The meetings and births of one day: who becomes held by them, in which batch, for what. Pure.

Each function takes the sweep as it stands after the clearances of the day.
"""

from datetime import date
from heapq import heappop, heappush
from typing import NamedTuple

import networkx as nx

from quarantine.spans import OWN, Now, Residue, Why


class Offer(NamedTuple):
    """One that is not cleared meets one that may be; nearest first, then by code."""

    level: int
    giver: str
    taker: str
    how: str
    enclosure: str
    batch: str


def meet(sweep):
    """Let the meetings and births of the day happen."""
    carried = _carried(sweep)
    ways = [*_left(sweep), *_brought(sweep, carried)]
    born = _bear(sweep)
    held = _expose(sweep, [*ways, *_inherited(sweep, born), *_shared(sweep)])
    _find_batches(sweep, held)
    _give_reasons(sweep, held)
    _note_others(sweep, ways)
    for enclosure, residue in carried:
        sweep.leave_residue(enclosure, residue)


def _left(sweep):
    """Offers to those that come, by those that left."""
    for visit in sweep.agenda.on("starting", sweep.day):
        for residue in sweep.residues.get(visit.enclosure, ()):
            if residue.until >= sweep.day and residue.who != visit.who:
                yield Offer(1, residue.who, visit.who, residue.how, visit.enclosure, residue.batch)


def _carried(sweep):
    """What things bring into other enclosures today: of the held ones there, and of residues."""
    carried = []
    for source, target in sweep.agenda.on("moving", sweep.day):
        for who in sorted(filter(sweep.is_held, sweep.occupants(source))):
            until = sweep.where.in_force(target, sweep.day, sweep.day)
            new = Residue(who, sweep.day, sweep.day, until, "things", sweep.batch(who))
            carried.append((target, new))
        for old in sweep.residues.get(source, ()):
            if old.until >= sweep.day:
                until = sweep.where.in_force(target, old.left, sweep.day)
                new = old._replace(placed=sweep.day, until=until, how="things")
                carried.append((target, new))
    return carried


def _brought(sweep, carried):
    """Offers to those that stay where things are brought."""
    for enclosure, residue in carried:
        for taker in sweep.occupants(enclosure):
            if taker != residue.who:
                yield Offer(1, residue.who, taker, "things", enclosure, residue.batch)


def _shared(sweep):
    """Offers in the enclosures where something changed today."""
    for enclosure in sweep.touched:
        occupants = sweep.occupants(enclosure)
        giver = min(filter(sweep.is_held, occupants), default=None)
        if giver is not None:
            yield from _offers(sweep, 1, giver, enclosure)


def _offers(sweep, level, giver, enclosure):
    for taker in sweep.occupants(enclosure):
        if taker != giver and not sweep.is_held(taker):
            yield Offer(level, giver, taker, "direct", enclosure, "")


def _bear(sweep):
    """Clutches and young begin, cleared until the meetings of their first day say otherwise."""
    layings = [clutch for clutch, _ in sweep.agenda.on("laying", sweep.day)]
    born = dict(sweep.agenda.on("bearing", sweep.day))
    for who in (*layings, *born):
        if who not in sweep.now:
            sweep.gone.pop(who, None)
            sweep.now[who] = Now(sweep.day, False)
            sweep.touch(who)
    for who, clutch in born.items():
        if clutch not in sweep.now and clutch not in sweep.gone:
            why = Why("born", sweep.day, source=clutch)
            sweep.hold(who, why, f"born:{clutch}")
    return born


def _inherited(sweep, born):
    """Offers by birth, before all others: young of a held clutch are of its batch."""
    for young, clutch in born.items():
        if _last_state(sweep, clutch).held:
            yield Offer(0, clutch, young, "born", "", "")


def _last_state(sweep, who):
    if who in sweep.now:
        return sweep.now[who]
    return sweep.gone[who][0] if who in sweep.gone else Now(sweep.day, False)


def _expose(sweep, offers):
    """Spread the holds among all that meet today; return the offer by which each became held."""
    heap, held = [], {}
    for offer in offers:
        heappush(heap, offer)
    born = _broods(sweep)
    while heap:
        offer = heappop(heap)
        taker = offer.taker
        if taker not in sweep.now or sweep.is_held(taker):
            continue
        held[taker] = offer
        sweep.hold(taker, None, "")
        for enclosure in sweep.places.get(taker, ()):
            for new in _offers(sweep, offer.level + 1, taker, enclosure):
                heappush(heap, new)
        for young in born.get(taker, ()):
            heappush(heap, Offer(offer.level + 1, taker, young, "born", "", ""))
    return held


def _broods(sweep):
    broods = {}
    for young, clutch in sweep.agenda.on("bearing", sweep.day):
        broods.setdefault(clutch, []).append(young)
    return broods


def _find_batches(sweep, held):
    """Give each newly held one without a batch the one it belongs to."""
    parents = sweep.where.parents
    ordinary = [w for w in held if w not in sweep.ins and held[w].how != "born"]
    clutches = {w: _held_parent(sweep, parents[w]) for w in ordinary if w in parents}
    _form_exposed(sweep, held, [w for w in ordinary if not clutches.get(w)])
    for clutch, parent in clutches.items():
        if parent:
            sweep.put_in(clutch, sweep.batch(parent), via=_for_whom(sweep, parent))
    for young in (w for w in held if w not in sweep.ins):
        clutch = held[young].giver
        via = sweep.ins[clutch].via if clutch in sweep.ins else ""
        sweep.put_in(young, sweep.batch(clutch), via=via or clutch)


def _held_parent(sweep, parents):
    return min((p for p in parents if sweep.is_held(p) and sweep.batch(p)), default="")


def _for_whom(sweep, parent):
    """For whose sake one is in a batch: the parent's, of a mix that of the parent of its clutch."""
    of_clutch = parent in sweep.where.parents and parent in sweep.ins
    return (sweep.ins[parent].via if of_clutch else "") or parent


def _form_exposed(sweep, held, whos):
    """Those exposed together form one batch, or join the exposed batch they have it from."""
    if not whos:
        return
    graph = nx.Graph()
    graph.add_nodes_from(whos)
    for who in whos:
        for enclosure in sweep.places.get(who, ()):
            graph.add_edges_from((who, o) for o in sweep.occupants(enclosure) if o in graph)
    for together in nx.connected_components(graph):
        batch = _exposed_batch(sweep, held, together)
        for who in sorted(together):
            sweep.put_in(who, batch)


def _exposed_batch(sweep, held, together):
    givers = [held[who] for who in together if held[who].giver not in together]
    theirs = [offer.batch or sweep.batch(offer.giver) for offer in givers]
    exposed = [batch for batch in theirs if batch.startswith("exposed:")]
    day = date.fromordinal(sweep.day)
    return min(exposed, default=f"exposed:{day}:{min(together)}")


def _give_reasons(sweep, held):
    """Put the meeting or birth by which each became held first among its reasons."""
    for who, offer in held.items():
        by_birth = bool(sweep.ins[who].via)
        kind = "born" if by_birth else "met"
        batch = offer.batch or sweep.batch(offer.giver)
        why = Why(kind, sweep.day, offer.giver, batch, offer.how, offer.enclosure)
        others = tuple(w for w in sweep.now[who].whys if w is not None)
        if offer.how == "born":
            others += tuple(w for w in _last_state(sweep, offer.giver).whys if w is not None)
        now = sweep.now[who]
        sweep.now[who] = Now(now.since, now.held, (why, *others))


def _note_others(sweep, ways):
    """Meetings of held ones of different batches are reasons too."""
    for enclosure in sorted(sweep.touched):
        held = sorted(filter(sweep.is_held, sweep.occupants(enclosure)))
        if len({sweep.batch(who) for who in held}) > 1:
            for taker, giver in _new_pairs(sweep, held):
                _note(sweep, Offer(1, giver, taker, "direct", enclosure, sweep.batch(giver)))
    for offer in sorted(ways):
        _note(sweep, offer)


def _new_pairs(sweep, held):
    """Pairs of which one came, became held or changed its batch today."""
    for taker in held:
        yield from (
            (taker, giver) for giver in held if taker in sweep.fresh or giver in sweep.fresh
        )


def _note(sweep, offer):
    now = sweep.now.get(offer.taker)
    if now is None or not now.held or offer.batch == sweep.batch(offer.taker):
        return
    # One held for another reason needs one meeting a batch; one held for meetings, each of them:
    # whose batch a meeting counts against may be told later, when batches were formed.
    own = any(why.kind in OWN for why in now.whys)
    known = {why.batch if own else why.source for why in now.whys if why.kind in ("met", "born")}
    if (offer.batch if own else offer.giver) not in known:
        why = Why("met", sweep.day, offer.giver, offer.batch, offer.how, offer.enclosure)
        sweep.now[offer.taker] = Now(now.since, now.held, (*now.whys, why))
