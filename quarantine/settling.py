"""A whole batch settles into enclosures: one written reason answers everything that is asked."""

from django.db import transaction

from registry.objections import ReasonsMissing, Refused, Stopped
from registry.placement import Placement, objections, place


def settle_in(placements, *, by, reason="", breach=None, at=None):
    """Make every placement or none; raise all that is objected in any of them at once.

    Each ask is kept with the one reason given for all.
    """
    refused, stays = [], []
    with transaction.atomic():
        for placement in placements:
            try:
                stays += _settled(placement, by, reason, breach, at)
            except Refused as problem:
                refused.append(problem)
        if refused:
            raise _together(refused)
    return stays


def _settled(placement, by, reason, breach, at):
    reasons = {}
    if reason.strip():
        reasons = {o.key: reason.strip() for o in objections(placement) if o.is_ask}
    return place(placement, by=by, reasons=reasons, breach=breach, at=at)


def _together(refused):
    """Return one refusal with the objections of several."""
    found = {o.key: o for problem in refused for o in problem.objections}
    kind = Stopped if any(isinstance(p, Stopped) for p in refused) else ReasonsMissing
    return kind(found.values())


def spread(animals, enclosures):
    """Return (enclosure, animals) with the animals dealt out evenly, in order.

    >>> spread(("A", "B", "C"), ("E1", "E2"))
    [('E1', ('A', 'B')), ('E2', ('C',))]
    """
    if not enclosures:
        return []
    size, more = divmod(len(animals), len(enclosures))
    dealt, start = [], 0
    for number, enclosure in enumerate(enclosures):
        end = start + size + (number < more)
        if animals[start:end]:
            dealt.append((enclosure, tuple(animals[start:end])))
        start = end
    return dealt


def placements(animals, enclosures, day):
    """Return how animals are moved into enclosures, dealt out evenly."""
    dealt = spread(tuple(animals), tuple(enclosures))
    return [Placement(day=day, enclosure=one, animals=some) for one, some in dealt]
