"""Source groups: what is believed about the parents of animals that came together."""

from dataclasses import dataclass

from registry.lineage.errors import PedigreeError
from registry.lineage.parents import OneOf

NOTHING_SAID = 2


@dataclass(frozen=True)
class Unseen:
    """A founder nobody saw: the parent that a source group is believed to have had.

    `group` names the group, `side` is "sire" or "dam", `number` counts from 1.
    """

    group: object
    side: str
    number: int

    def __str__(self):
        return f"unseen {self.side} {self.number} of {self.group}"


def source_group(name, members, sires=NOTHING_SAID, dams=NOTHING_SAID):
    """The records of a group of animals believed to stem from some sires and some dams.

    Parameters
    ----------
    name : hashable
        The group; one group may be shared by several arrivals, given together as members.
    members : iterable of keys
    sires, dams : int
        How many there are believed to have been. Left out where nothing is said of a
        captive-bred arrival: expected as from two and two, at worst as from one and one.

    Returns
    -------
    list of (key, sire, dam)
        The unseen founders, then the members, each with a sire and a dam drawn apart.

    Raises
    ------
    PedigreeError
        A number of parents is no whole number above 0.

    Examples
    --------
    >>> from registry.lineage import Lineage
    >>> Lineage(source_group("box", ["P", "Q"], sires=1, dams=2)).kinship("P", "Q")
    0.1875
    >>> Lineage(source_group("box", ["P", "Q"])).kinship("P", "Q")
    0.125
    """
    founders = {"sire": _founders(name, "sire", sires), "dam": _founders(name, "dam", dams)}
    records = [(founder, None, None) for side in founders.values() for founder in side]
    for member in members:
        sire, dam = (_drawn(member, side, several) for side, several in founders.items())
        records.append((member, sire, dam))
    return records


def _founders(name, side, count):
    if not isinstance(count, int) or count < 1:
        raise PedigreeError(f"{name} cannot have {count} {side}s: a whole number from 1 on.")
    return [Unseen(name, side, number) for number in range(1, count + 1)]


def _drawn(member, side, founders):
    if len(founders) == 1:
        return founders[0]
    return OneOf(dict.fromkeys(founders, 1 / len(founders)), name=(side, "of", member))
