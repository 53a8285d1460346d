"""Kinship by taking every choice of parents in turn: slow, plain, and independent of the engine."""

from itertools import product

import numpy as np

from registry.lineage import OneOf, PairOf

DRAWN = (OneOf, PairOf)


def label(choice):
    """What makes two choices one: the name, or else the object."""
    return choice.name if choice.name is not None else id(choice)


def drawn(records):
    """Every choice of parents once, by its label."""
    parents = (parent for _, *both in records for parent in both)
    return {label(parent): parent for parent in parents if isinstance(parent, DRAWN)}


def outcomes(choice):
    """(who, chance) for each thing a choice can come to; None for an outsider."""
    told = [(who, weight) for who, weight in choice.weights.items() if weight > 0]
    rest = 1 - sum(choice.weights.values())
    nobody = (None, None) if isinstance(choice, PairOf) else None
    return [*told, (nobody, rest)] if rest > 1e-9 else told


def settled(records):
    """(chance, certain records) for every way to settle all choices."""
    choices = drawn(records)
    for way in product(*map(outcomes, choices.values())):
        chance = np.prod([weight for _, weight in way])
        yield chance, certain(records, dict(zip(choices, (who for who, _ in way), strict=True)))


def certain(records, chosen):
    """The records with every choice replaced by who was chosen; outsiders become founders."""
    outsiders = {}

    def parent(choice, side):
        if not isinstance(choice, DRAWN):
            return choice
        who = chosen[label(choice)]
        side = side if isinstance(choice, PairOf) else 0
        who = who[side] if isinstance(choice, PairOf) else who
        if who is None:
            who = ("outsider", label(choice), side)
            outsiders[who] = (who, None, None)
        return who

    told = [(key, parent(sire, 0), parent(dam, 1)) for key, sire, dam in records]
    return [*outsiders.values(), *told]


def tabular(records):
    """Kinship of all animals of certain records, row by row, by key."""
    parents = {key: (sire, dam) for key, sire, dam in records}
    order = []

    def visit(key):
        if key is not None and key not in order:
            for parent in parents[key]:
                visit(parent)
            order.append(key)

    for key in parents:
        visit(key)
    at = {key: place for place, key in enumerate(order)} | {None: len(order)}
    table = np.zeros((len(order) + 1, len(order) + 1))
    for place, key in enumerate(order):
        sire, dam = (at[parent] for parent in parents[key])
        table[place, :place] = table[:place, place] = (table[sire, :place] + table[dam, :place]) / 2
        table[place, place] = (1 + table[sire, dam]) / 2
    return at, table


def kinships(records, keys):
    """Kinship of some animals with each other: expected, and at worst."""
    expected, worst = np.zeros((len(keys), len(keys))), np.zeros((len(keys), len(keys)))
    for chance, some in settled(records):
        at, table = tabular(some)
        places = [at[key] for key in keys]
        found = table[np.ix_(places, places)]
        expected += chance * found
        worst = np.maximum(worst, found)
    return expected, worst
