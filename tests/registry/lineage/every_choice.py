"""Kinship by taking every choice of parents in turn: slow, plain, and independent of the engine."""

from itertools import product

import numpy as np

from registry.lineage import ClutchOf, OneOf, PairOf

DRAWN = (ClutchOf, OneOf, PairOf)


def label(choice):
    """What makes two choices one: the name, or else the object."""
    return choice.name if choice.name is not None else id(choice)


def drawn(records):
    """Every choice of parents once, by its label; those of the clutches of a mix among them."""
    waiting = [parent for _, *both in records for parent in both]
    found = {}
    while waiting:
        parent = waiting.pop()
        if isinstance(parent, DRAWN):
            found[label(parent)] = parent
        if isinstance(parent, ClutchOf):
            waiting += [one for *both, _ in parent.families for one in both]
    return found


def outcomes(choice):
    """(who, chance) for each thing a choice can come to; None for an outsider."""
    told = [(who, weight) for who, weight in choice.weights.items() if weight > 0]
    if isinstance(choice, ClutchOf):
        told = [(choice.families[at][:2], weight) for at, weight in told]
    rest = 1 - sum(choice.weights.values())
    nobody = None if isinstance(choice, OneOf) else (None, None)
    return [*told, (nobody, rest)] if rest > 1e-9 else told


def settled(records):
    """(chance, certain records) for every way to settle all choices."""
    choices = drawn(records)
    for way in product(*map(outcomes, choices.values())):
        chance = np.prod([weight for _, weight in way])
        yield chance, certain(records, dict(zip(choices, (who for who, _ in way), strict=True)))


def missing(choice, side):
    """Whether nobody stated this parent in any clutch: a founder of its own for each young."""
    if not isinstance(choice, ClutchOf):
        return choice is None
    return choice.rest == 0 and all(missing(told[side], side) for told in choice.families)


def who(parent, side, chosen):
    """The animal that a parent is by what was chosen: a key, None, or a tuple for an outsider."""
    if missing(parent, side):
        return None
    if not isinstance(parent, DRAWN):
        return parent
    side = 0 if isinstance(parent, OneOf) else side
    found = chosen[label(parent)]
    found = found if isinstance(parent, OneOf) else found[side]
    return ("outsider", label(parent), side) if found is None else who(found, side, chosen)


def certain(records, chosen):
    """The records with every choice replaced by who was chosen; outsiders become founders."""
    told = [(key, who(sire, 0, chosen), who(dam, 1, chosen)) for key, sire, dam in records]
    outsiders = {one for _, *both in told for one in both if isinstance(one, tuple)}
    return [*((one, None, None) for one in outsiders), *told]


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
