"""What young have from their parents: the place they come from, and an origin code to propose."""

from itertools import chain, product

from .mixes import mixes_known
from .models import Candidate, Descent, Locality, SourceCode
from .together import attach, fetch

BRED = {SourceCode.CAPTIVE_BRED, SourceCode.CAPTIVE_BORN, SourceCode.REGISTERED}


def possible_pairs(clutch):
    """Return `(sire, dam)` for each two that may be the parents; None where one may be anybody."""
    laid_as = mixes_known().reared_in(clutch.pk) if clutch.mixed else [clutch.pk]
    stated = stated_of(laid_as)
    found = [_pairs({d.role: d for d in stated[key]}) for key in laid_as]
    return None if None in found else list(chain.from_iterable(found))


def _pairs(stated):
    if any(sum(c.weight for c in d.candidates.all()) < 1 - 1e-9 for d in stated.values()):
        return None
    if "pair" in stated:
        return [(c.animal, c.mate) for c in stated["pair"].candidates.all()]
    if stated.keys() == {"sire", "dam"}:
        sides = (stated[role].candidates.all() for role in ("sire", "dam"))
        return list(product(*([c.animal for c in side] for side in sides)))
    return None


def stated_of(clutches):
    """Return the statements on the parents of clutches, with those they name, by key of clutch."""
    rows = Descent.objects.current().filter(clutch__in=clutches).select_related("clutch")
    named = Candidate.objects.filter(descent__in=rows.order_by().values("pk"))
    rows, named = fetch(rows, named.select_related("animal__locality", "mate__locality"))
    attach(rows, "candidates", named)
    found = {key: [] for key in clutches}
    for row in rows:
        found[row.clutch_id].append(row)
    return found


def places_of(pairs):
    """Return the single places young come from: one or several for certain, else none."""
    found = {_places(sire, dam) for sire, dam in pairs or [(None, None)]}
    return sorted(found.pop(), key=str) if len(found) == 1 else []


def _places(*parents):
    places = [p and p.locality for p in parents]
    return frozenset() if None in places else frozenset(s for p in places for s in p.sites())


def locality_of(places):
    """Return the record for young of some places: of one, of their mix, or None for none."""
    if len(places) < 2:
        return places[0] if places else None
    return Locality.mixed(places)


def source_code_of(pairs):
    """Propose C where both parents were bred in captivity for certain, else F: born here."""
    bred = pairs and all(p.source_code in BRED for pair in pairs for p in pair)
    return SourceCode.CAPTIVE_BRED if bred else SourceCode.CAPTIVE_BORN
