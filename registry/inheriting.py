"""What young have from their parents: the place they come from, and an origin code to propose."""

from itertools import product

from .models import Animal, Descent, Locality, SourceCode

BRED = {SourceCode.CAPTIVE_BRED, SourceCode.CAPTIVE_BORN, SourceCode.REGISTERED}


def possible_pairs(clutch):
    """Return `(sire, dam)` for each two that may be the parents; None where one may be anybody."""
    stated = {d.role: d for d in _stated(clutch)}
    if any(sum(c.weight for c in d.candidates.all()) < 1 - 1e-9 for d in stated.values()):
        return None
    if "pair" in stated:
        return [(c.animal, c.mate) for c in stated["pair"].candidates.all()]
    if stated.keys() == {"sire", "dam"}:
        sides = (stated[role].candidates.all() for role in ("sire", "dam"))
        return list(product(*([c.animal for c in side] for side in sides)))
    return None


def _stated(clutch):
    rows = Descent.objects.current().filter(clutch=clutch)
    return rows.prefetch_related("candidates__animal__locality", "candidates__mate__locality")


def locality_of(pairs):
    """Return the place of young: that of both parents, a mix of two, None unless it is certain."""
    found = {_locality(sire, dam) for sire, dam in pairs or [(None, None)]}
    return found.pop() if len(found) == 1 else None


def _locality(*parents):
    places = [p and p.locality for p in parents]
    if None in places:
        return None
    return places[0] if places[0] == places[1] else Locality.mixed(places)


def source_code_of(pairs):
    """Propose C where both parents were bred in captivity for certain, else F: born here."""
    bred = pairs and all(p.source_code in BRED for pair in pairs for p in pair)
    return SourceCode.CAPTIVE_BRED if bred else SourceCode.CAPTIVE_BORN


def parents_known(clutch) -> list[Animal]:
    """Return everybody who may be a parent of a clutch."""
    found = {}
    for descent in _stated(clutch):
        for candidate in descent.candidates.all():
            found[candidate.animal_id] = candidate.animal
            if candidate.mate_id:
                found[candidate.mate_id] = candidate.mate
    return sorted(found.values(), key=str)
