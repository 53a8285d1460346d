"""Whether the condition of a batch holds: weight kept, seen to eat, no open sign.

Source: release is a conjunction of tests, feeding and weight, and normal behaviour (Taronga Zoo /
Amphibian Ark biosecurity slides, McFadden).
"""

from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from quarantine.batch import Batch
from quarantine.evidence import Coming, Weight
from quarantine.readings import NotSeenToEat, SignOpen, WeightLost, WeightMissing


def condition_unmet(batch: Batch) -> Iterator[WeightMissing | WeightLost | NotSeenToEat | SignOpen]:
    """Yield what the protocol asks of the condition of each living member and does not find."""
    yield from _weights(batch)
    yield from _meals(batch)
    yield from _signs(batch)


def _by_member(facts: Iterable) -> dict[str, list]:
    found: dict[str, list] = {}
    for fact in facts:
        found.setdefault(fact.member, []).append(fact)
    return found


def _weights(batch: Batch) -> Iterator[WeightMissing | WeightLost]:
    if batch.protocol.weight_loss_percent is None:
        return
    weighed = _by_member(batch.facts.weights)
    for membership in batch.living:
        member = membership.member
        since = _isolated_since(batch, member)
        weights = [w for w in weighed.get(member, ()) if w.day >= since]
        if not weights:
            yield WeightMissing(member=member)
        else:
            yield from _lost(member, weights, batch.protocol.weight_loss_percent)


def _isolated_since(batch: Batch, member: str) -> date:
    """Return the day this isolation began for a member; a split is no new one."""
    began = [
        m.joined
        for m in batch.facts.memberships
        if m.member == member and m.came != Coming.PARTED and member in batch.spans
    ]
    return max(began, default=date.min)


def _lost(member: str, weights: list[Weight], percent) -> Iterator[WeightLost]:
    """Compare the last day's lowest weight with the first day's highest, in grams."""
    first_day, last_day = min(w.day for w in weights), max(w.day for w in weights)
    first = max(w.grams for w in weights if w.day == first_day)
    latest = min(w.grams for w in weights if w.day == last_day)
    if latest * 100 < first * (100 - percent):
        yield WeightLost(member=member, first=first, latest=latest)


def _meals(batch: Batch) -> Iterator[NotSeenToEat]:
    if batch.protocol.eaten_within_days is None:
        return
    since = batch.day - timedelta(days=batch.protocol.eaten_within_days)
    eaten = _by_member(meal for meal in batch.facts.meals if meal.eaten)
    for membership in batch.living:
        last = max((meal.day for meal in eaten.get(membership.member, ())), default=None)
        if last is None or last < since:
            yield NotSeenToEat(member=membership.member, last_seen=last)


def _signs(batch: Batch) -> Iterator[SignOpen]:
    if not batch.protocol.no_open_sign:
        return
    members = {membership.member for membership in batch.living}
    for sign in sorted(batch.facts.signs, key=lambda sign: (sign.member, sign.first, sign.key)):
        if sign.gone is None and sign.member in members:
            yield SignOpen(member=sign.member, sign=sign.key, what=sign.what, since=sign.first)
