"""A plan becomes planned pairings by one act: all of them, or none."""

from django.db import transaction

from .models import Animal, Pairing
from .objections import settle
from .pairing import Match, objections, plan_pair
from .phrases import in_a_row
from .planning import KnownHerd, named
from .telling import tell, tell_many


class PlanOutdated(Exception):
    """What the page showed can no longer be entered as it was; nothing was changed."""


@transaction.atomic
def enter_plan(line, pairs, day, *, by, known, reasons=None, at=None):
    """Enter pairs of keys as planned pairings, each through the rules, all of it or nothing.

    `known(one, other)` tells both figures of a pair, or None; `reasons` are told by the keys of
    `named` objections.
    """
    reasons = reasons or {}
    animals = _locked(line, pairs)
    _refuse_those_in_force(pairs, animals)
    herd = KnownHerd(animals.values(), known)
    matches = {
        f"{one}-{other}": Match(day=day, first=animals[one], second=animals[other], herd_given=herd)
        for one, other in pairs
    }
    found = {key: objections(match) for key, match in matches.items()}
    settle([o for key, some in found.items() for o in named(key, some)], reasons)
    return [
        plan_pair(match, by=by, reasons=_own(key, found[key], reasons), at=at)
        for key, match in matches.items()
    ]


def _own(key, found, reasons):
    """Return the reasons of one pair by the keys its objections have when it stands alone."""
    both = zip(found, named(key, found), strict=True)
    return {one.key: reasons[ours.key] for one, ours in both if ours.key in reasons}


def _locked(line, pairs):
    """Return the animals of a plan by key, so that two plans of one animal wait for each other."""
    keys = [key for pair in pairs for key in pair]
    rows = line.animals().select_for_update(of=("self",)).filter(pk__in=keys).order_by("pk")
    animals = {a.pk: a for a in rows.select_related("taxon", "locality", "source_group")}
    if len(keys) != len(set(keys)) or not keys:
        raise PlanOutdated(tell("A plan has a pair at least, and each animal in one pair only."))
    if animals.keys() != set(keys):
        raise PlanOutdated(
            tell("Not all of these animals are of {line}. Look at the plan again.", line=line)
        )
    return animals


def _refuse_those_in_force(pairs, animals: dict[int, Animal]):
    """Refuse to plan again what somebody has planned or joined since the page was shown."""
    rows = Pairing.objects.current().filter(ended_on__isnull=True)
    rows = rows.filter(first__in=animals, second__in=animals)
    wanted = {frozenset(pair) for pair in pairs}
    there = [p for p in rows.select_related("first", "second") if _two(p) in wanted]
    if there:
        raise PlanOutdated(
            tell_many(
                "{pairs} is a pair already. Look at the plan again.",
                "{pairs} are pairs already. Look at the plan again.",
                len(there),
                pairs=in_a_row(there),
            )
        )


def _two(pairing):
    return frozenset((pairing.first_id, pairing.second_id))
