"""Which clutches are reared together: what each mix consists of, and what each clutch went into."""

from collections import defaultdict
from functools import cached_property

from django.db.models import Q

from . import shelf
from .models import Animal, ClutchPart, Descent, OfClutch
from .seldom import parts_of_mixes, seldom


def mixes_known(on=None):
    """Return which clutches are reared together, as known on a day or now; a page asks once."""
    return shelf.kept(("mixes", on), lambda: Mixes(_parts(on), on))


def _parts(on):
    return parts_of_mixes(ClutchPart.objects.known(on)) if on else seldom().parts


class Mixes:
    """The parts of every mix on record, with their shares, by key."""

    def __init__(self, parts, known_on=None):
        self._known_on = known_on
        told = defaultdict(dict)
        for mix, clutch, weight in parts:
            told[mix][clutch] = weight
        self.parts = {mix: shares(weights) for mix, weights in told.items()}
        self._members = {mix: set(weights) for mix, weights in told.items()}

    def __contains__(self, clutch):
        return clutch in self.parts

    @cached_property
    def stated(self):
        """`{animal: clutch}` of the young of which it is known for certain."""
        if not self.parts:
            return {}
        if self._known_on is None:
            return {row.animal_id: row.clutch_id for row in seldom().stated}
        return dict(OfClutch.objects.known(self._known_on).values_list("animal", "clutch"))

    @cached_property
    def inside(self):
        """The clutches that are reared together with others."""
        return set().union(*self._members.values())

    def clutch_of(self, animal, clutch):
        """Return the clutch or the mix an animal (both by key) is of, as far as is known."""
        return self.stated.get(animal, clutch)

    def laid_as(self, clutch):
        """Return `{clutch: share}` of those in which young of a clutch may have been laid."""
        if clutch not in self.parts:
            return {clutch: 1.0}
        found = defaultdict(float)
        for part, share in self.parts[clutch].items():
            for one, own in self.laid_as(part).items():
                found[one] += share * own
        return dict(found)

    def members(self, mix):
        """Return the clutches that go on as a mix, those ruled out for its young included."""
        return self._members.get(mix, ())

    def below(self, mix):
        """Return a mix and every clutch that went into it, or into one that did."""
        return {mix}.union(*(self.below(one) for one in self.members(mix)))

    def reared_in(self, mix):
        """Return the clutches that were reared in a mix, those ruled out for its young included."""
        members = self._members.get(mix)
        return {c for one in members for c in self.reared_in(one)} if members else {mix}

    def with_mixes(self, clutches):
        """Return some clutches and every mix that young of them went on in."""
        found = set(clutches)
        wave = found
        while wave:
            wave = {mix for mix, parts in self.parts.items() if wave & parts.keys()} - found
            found |= wave
        return found


def shares(weights):
    """Return weights as shares of one whole; a clutch that weighs nothing is ruled out.

    >>> shares({"K1": 6, "K2": 2, "K3": 0})
    {'K1': 0.75, 'K2': 0.25}
    """
    whole = sum(weights.values())
    return {key: weight / whole for key, weight in weights.items() if weight > 0}


def young_named_in(statements):
    """Return the animals that some statements (a query of their keys) may say the parents of."""
    of = Q(descents__in=statements) | Q(clutch__descents__in=statements)
    mixes = mixes_known()
    if mixes.parts:
        parts = {part for parts in mixes.parts.values() for part in parts}
        stated = Descent.objects.filter(pk__in=statements, clutch__in=parts)
        of |= Q(clutch__in=mixes.with_mixes(stated.values_list("clutch", flat=True)))
    return Animal.objects.filter(of).distinct()
