"""The pairings on record as they stand on a day, with what speaks against each."""

from dataclasses import dataclass

from .herd import Herd
from .models import Clutch, Pairing
from .pairing import Match, objections, strength


@dataclass(frozen=True, kw_only=True)
class Pair:
    """One pairing, its state, how sure it is that it is a pair, and what stands against it."""

    pairing: Pairing
    state: str
    strength: str
    objections: tuple
    clutches: tuple
    sexings: tuple


def pairs_on(rows, on):
    """Return pairings as they stand on a day, each judged by the rules for pairs."""
    rows = rows.select_related(
        "first__taxon", "second__taxon", "first__locality", "second__locality"
    ).prefetch_related("clutches__stages")
    herd = Herd({a for row in rows for a in row.animals})
    return [_pair(row, herd, on) for row in rows]


def _pair(pairing, herd, on):
    clutches = tuple(pairing.clutches.all())
    match = Match(day=on, first=pairing.first, second=pairing.second, herd_given=herd)
    ended = pairing.state(on) == "ended"
    return Pair(
        pairing=pairing,
        state=pairing.state(on),
        strength=strength(pairing, herd, any(_fertile(c) for c in clutches)),
        objections=() if ended else tuple(objections(match)),
        clutches=clutches,
        sexings=tuple(herd.sexing(a) for a in pairing.animals),
    )


def _fertile(clutch: Clutch):
    """Whether a clutch is known to have had fertile eggs."""
    beyond = {"fertile", "hatched", "carried", "metamorphosed", "independent"}
    counted = (s for s in clutch.stages.all() if not s.void and not s.superseded_at)
    return any(s.stage in beyond and s.count for s in counted)
