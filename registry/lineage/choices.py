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
        _told(descent.pedigree, point, case.chosen)
        for point in case.chosen
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


def _told(pedigree, point, chosen):
    draw = pedigree.draws[point]
    sired, borne = _young_of(pedigree, point)
    (option,) = chosen[point]
    return Choice(
        name=draw.name,
        role="pair" if draw.pairs else "sire" if sired else "dam",
        young=tuple(pedigree.keys[one] for one in sorted(sired | borne)),
        chosen=_keys(pedigree, option, chosen),
    )


def _young_of(pedigree, point):
    """Those a point is the sire of, and the dam of; if none, those a drawn one above it may be."""
    found = tuple(set(np.flatnonzero(side == point).tolist()) for side in _sides(pedigree))
    if any(found):
        return found
    above = [one for one, draw in pedigree.draws.items() if point in draw.candidates]
    told = [_young_of(pedigree, one) for one in above]
    return tuple(set().union(*some) for some in zip(*told, strict=True)) or found


def _sides(pedigree):
    return pedigree.sire, pedigree.dam


def _keys(pedigree, option, chosen):
    """The keys of an option; a drawn parent among them is whoever was chosen there."""
    if isinstance(option, tuple):
        return tuple(_keys(pedigree, one, chosen) for one in option)
    if option in pedigree.draws:
        return _keys(pedigree, _one_chosen(pedigree, option, chosen), chosen)
    return None if option == NOBODY else pedigree.keys[option]


def _one_chosen(pedigree, point, chosen):
    """Who is chosen at a drawn point; of a pair its own side."""
    partner = pedigree.draws[point].partner
    (option,) = chosen[min(point, partner)]
    return option[int(point > partner)] if isinstance(option, tuple) else option
