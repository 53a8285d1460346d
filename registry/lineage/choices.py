"""Which parents, if they were the true ones, would make two animals as related as at worst."""

from dataclasses import dataclass

import numpy as np

from registry.lineage.pedigree import NOBODY
from registry.lineage.sweep import strata_of
from registry.lineage.worst import ROUNDING, AtWorst, bound_table, worst_case


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One uncertain parent and who it is taken to be.

    `name` is the name of the choice, `role` "sire", "dam" or "pair", `young` the animals it is
    about; `chosen` is a key, or for a pair (sire, dam), with None for an outsider.
    """

    name: object
    role: str
    young: tuple
    chosen: object


@dataclass(frozen=True, kw_only=True)
class WorstChoice:
    """The choices behind a figure at worst; those that change nothing are left out.

    `attained` is the kinship under the choices: the figure itself, unless that is a bound.
    """

    figure: AtWorst
    attained: float
    choices: tuple[Choice, ...]


def worst_choice(descent, one, other):
    """The `WorstChoice` of two points."""
    case = worst_case(descent, one, other)
    strata = strata_of(descent.pedigree, descent.order, np.array([one, other]))
    choices = tuple(
        _told(descent.pedigree, point, option)
        for point, (option,) in case.chosen.items()
        if _matters(strata, (one, other), case, point)
    )
    return WorstChoice(figure=case.figure, attained=case.attained, choices=choices)


def _matters(strata, pair, case, point):
    """Whether another option at one drawn parent, all else chosen, gives another figure."""
    draw = strata.draws[point]
    outsiders = [(NOBODY, NOBODY) if draw.pairs else NOBODY] if draw.rest else []
    others = {*draw.options, *outsiders} - {case.chosen[point][0]}
    for option in others:
        changed = {**case.chosen, point: (option,)}
        figure = bound_table(strata, [pair[0]], [pair[1]], changed)[0, 0]
        if abs(figure - case.attained) > ROUNDING:
            return True
    return False


def _told(pedigree, point, option):
    sire, dam = (np.flatnonzero(side == point) for side in (pedigree.sire, pedigree.dam))
    draw = pedigree.draws[point]
    role = "pair" if draw.pairs else "sire" if sire.size else "dam"
    young = tuple(pedigree.keys[one] for one in sorted({*sire.tolist(), *dam.tolist()}))
    return Choice(name=draw.name, role=role, young=young, chosen=_keys(pedigree, option))


def _keys(pedigree, option):
    if isinstance(option, tuple):
        return tuple(_keys(pedigree, one) for one in option)
    return None if option == NOBODY else pedigree.keys[option]
