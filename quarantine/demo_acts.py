"""The acts of the demo story, each through the door a keeper's own entry goes through."""

from datetime import timedelta

from registry import departing, finding, laying, observing, one_of_these, pairing
from registry import models as m
from registry import objections as o
from registry.mixing import Mixing, rear_together
from registry.placement import Happened, Placement, place
from registry.separating import Separation, take_out
from registry.tending import disinfect

from . import demo_batches as batches


def answered(door, reason):
    """Call a door; where it asks, call it again with the reason the story gives."""
    try:
        return door({})
    except o.ReasonsMissing as missing:
        if not reason:
            raise
        return door({one.key: reason for one in missing.objections if one.is_ask})


def find(teller, day, at, *, code, sex, basis):
    """Somebody heard, saw or measured what sex an animal is."""
    finding.find_sex(teller.animal(code), sex, basis, day, teller.by, at=at)


def move(teller, day, at, *, codes, into, until=None, reason="", breach=None):
    """Animals are moved; `breach` is what happened against a stop."""
    placement = Placement(
        day=day,
        enclosure=teller.enclosure(into),
        animals=teller.animals(codes),
        until=teller.day(until) if until else None,
    )
    happened = Happened(**breach) if breach else None
    answered(
        lambda given: place(placement, by=teller.by, reasons=given, breach=happened, at=at), reason
    )


def pair(teller, day, at, *, first, second, into, reason=""):
    """Two animals are joined."""
    match = pairing.Match(day=day, first=teller.animal(first), second=teller.animal(second))
    answered(
        lambda given: pairing.join_match(
            match, teller.enclosure(into), by=teller.by, reasons=given, at=at
        ),
        reason,
    )


def lay(teller, day, at, *, clutch, taxon, enclosure, eggs, sires=(), dams=(), pairs=(),
        basis="seen", dam_basis="seen"):  # fmt: skip
    """A clutch is found on the day it was laid."""
    new = m.Clutch(
        code=clutch,
        taxon=m.Taxon.objects.get(name=taxon),
        enclosure=teller.enclosure(enclosure),
        found_on=day,
        laid=day,
    )
    parents = [
        (role, [(teller.animal(c), 1 / len(codes)) for c in codes], told)
        for role, codes, told in (("sire", sires, basis), ("dam", dams, dam_basis))
        if codes
    ]
    if pairs:
        drawn = [(teller.animal(a), teller.animal(b), weight) for a, b, weight in pairs]
        parents.append(("pair", drawn, basis))
    where = {"into": new.enclosure, "parents": parents, "count": eggs}
    laying.enter_clutch(new, by=teller.by, at=at, **where)


def stage(teller, day, at, *, clutch, stage, count):
    """So many of a clutch have come so far."""
    laying.count_stage(m.Clutch.objects.get(code=clutch), stage, day, count, teller.by, at=at)


def mix(teller, day, at, *, clutches, enclosure, code):
    """Clutches are reared together from a day on."""
    found = {c.code: c for c in m.Clutch.objects.filter(code__in=clutches).select_related("taxon")}
    mixing = Mixing(
        clutches=tuple(found[c] for c in clutches),
        enclosure=teller.enclosure(enclosure),
        day=day,
        code=code,
    )
    rear_together(mixing, by=teller.by, at=at)


def young(teller, day, at, *, clutch, codes, enclosure, count_left=0, reason=""):
    """Young leave a clutch as animals, and the clutch is ended once nothing is left of it."""
    source = m.Clutch.objects.select_related("taxon").get(code=clutch)
    laid_as = [d for one in source.laid_as() for d in one.descents.current()]
    parents = [c.animal for d in laid_as for c in d.candidates.all()]
    separation = Separation(
        clutch=source,
        day=day,
        codes=tuple(codes),
        enclosure=teller.enclosure(enclosure),
        source_code="F" if any(p.source_code == "W" for p in parents) else "C",
        locality=parents[0].locality,
        born=day,
    )
    answered(lambda given: take_out(separation, by=teller.by, reasons=given, at=at), reason)
    if not count_left:
        laying.end_clutch(source, day + timedelta(days=1), teller.by, at=at + timedelta(days=1))


def leave(teller, day, at, *, codes, kind, receiver=None, due_back=None, cause="", reason=""):
    """Animals die, or go to somebody."""
    leaving = departing.Leaving(
        day=day,
        animals=teller.animals(codes),
        kind=kind,
        receiver=teller.party(receiver),
        due_back=None if due_back is None else teller.day(due_back),
    )
    answered(
        lambda given: departing.depart_together(
            leaving, by=teller.by, reasons=given, cause=cause, at=at
        ),
        reason,
    )


def one_of(teller, day, at, *, name, codes, what, enclosure, receiver=None, cause="", reason=""):
    """One of several died, left or was heard, and nobody could tell which."""
    among = one_of_these.Among(
        enclosure=teller.enclosure(enclosure),
        what=what,
        day=day,
        animals=teller.animals(codes),
        receiver=teller.party(receiver),
        cause=cause,
    )
    teller.events[name] = answered(
        lambda given: one_of_these.enter_one_of_these(among, by=teller.by, reasons=given, at=at),
        reason,
    )


def settle(teller, day, at, *, of, code, reason=""):
    """It was found out which one it was."""
    event, animal = teller.events[of], teller.animal(code)
    answered(
        lambda given: one_of_these.settle_on(event, animal, by=teller.by, reasons=given, at=at),
        reason,
    )


def observe(teller, day, at, *, code, kind, grams=None, text=""):
    """An animal is weighed or watched."""
    observing.observe(teller.animal(code), kind, day, teller.by, grams=grams, text=text, at=at)


def clean(teller, day, at, *, enclosure, agent):
    """An enclosure is disinfected."""
    disinfect(teller.enclosure(enclosure), day, teller.by, agent, at=at)


ACTS = {
    "arrive": batches.arrive,
    "return": batches.come_back,
    "between": batches.go_between,
    "clear opening": batches.clear_opening,
    "clear": batches.clear,
    "swab": batches.swab,
    "result": batches.result,
    "treat": batches.treat,
    "necropsy": batches.necropsy,
    "find": find,
    "move": move,
    "pair": pair,
    "lay": lay,
    "stage": stage,
    "mix": mix,
    "young": young,
    "leave": leave,
    "one of": one_of,
    "settle": settle,
    "observe": observe,
    "disinfect": clean,
}
