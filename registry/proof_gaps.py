"""What is missing from an animal's proof of origin: never what is lawful, only what is not here."""

from .models import ArrivalKind, Clutch, PaperKind, SourceCode
from .phrases import one_of

ENOUGH = (PaperKind.ORIGIN, PaperKind.INVOICE, PaperKind.PERMIT)


def gaps(facts, animal):
    """Return sentences on what the register lacks for a chain back to breeder or importer."""
    one = facts.people[animal.pk]
    said = list(_of_itself(facts, one))
    said += _of_parents(facts, one, one.code)
    said += _of_papers(facts, one, one.code)
    for ancestor in facts.ancestors(one):
        said += _of_papers(facts, ancestor.animal, ancestor.who)
    for parent in facts.parents(one):
        said += _of_parents(facts, parent.animal, parent.who)
    return list(dict.fromkeys(said))


def _of_itself(facts, one):
    if one.born is None:
        yield f"No date of birth on record for {one.code}."
    if one.locality is None:
        yield f"No locality on record for {one.code}."
    if one.source_code == SourceCode.UNKNOWN:
        yield f"No origin (CITES source code) on record for {one.code}."
    if not facts.marks[one.pk]:
        yield f"No mark on record for {one.code}; nothing but this paper tells it from others."


def _of_parents(facts, one, who):
    """Say which parents are not stated, or not certain; the wild have none on record."""
    if one.source_code == SourceCode.WILD:
        return
    families = facts.families(one)
    if len(families) > 1:
        codes = Clutch.objects.in_bulk([clutch for clutch, *_ in families])
        either = one_of(str(codes[clutch]) for clutch, *_ in families)
        yield f"{who} is of clutch {either}, which were reared together; which one is not known."
    for clutch, _, stated in families:
        of = who if len(families) == 1 else f"clutch {codes[clutch]}"
        yield from _of_stated(facts, stated, of)


def _of_stated(facts, stated, who):
    for role in ("sire", "dam") if "pair" not in stated else ("pair",):
        named = list(stated[role].candidates.all()) if role in stated else []
        label = "parents" if role == "pair" else role
        if not named:
            yield f"No {role} on record for {who}."
        elif len(named) > 1 or named[0].weight < 1:
            yield f"The {label} of {who} may be {_names(facts, named)}{_or_another(named)}."


def _names(facts, named):
    """Return the candidates by code, two together where they are drawn as a pair."""
    keys = ((c.animal_id, c.mate_id) for c in named)
    return one_of(" with ".join(facts.people[k].code for k in some if k) for some in keys)


def _or_another(named):
    return ", or another" if sum(c.weight for c in named) < 1 - 1e-9 else ""


def _of_papers(facts, one, who):
    """Say which paper of an animal that came from elsewhere is not here, or not whole."""
    if one.clutch_id:
        return
    papers, arrivals = facts.papers.get(one.pk, []), facts.arrivals[one.pk]
    yield from _kinds_missing(one, who, papers, arrivals)
    for paper in papers:
        if not paper.number:
            yield f"No number on record for the {paper.get_kind_display()} of {who}."
        if not paper.file:
            yield f"No file on record for {paper} of {who}."
    if not arrivals:
        yield f"No arrival on record for {who}."
    for arrival in arrivals[:1]:
        yield from _of_supplier(arrival, who)


def _kinds_missing(one, who, papers, arrivals):
    kinds = {p.kind for p in papers}
    imported = any(a.kind == ArrivalKind.IMPORT for a in arrivals)
    if (imported or one.source_code == SourceCode.WILD) and PaperKind.PERMIT not in kinds:
        yield f"No permit on record for {who}."
    elif not kinds & set(ENOUGH):
        yield f"No certificate of origin, invoice or permit on record for {who}."


def _of_supplier(arrival, who):
    if arrival.supplier is None:
        yield f"No supplier on record for {who}."
    elif not arrival.supplier.address:
        yield f"No address on record for {arrival.supplier}, from whom {who} came."


def gaps_of_keeper(holding):
    """Return what is missing of whoever issues the proof."""
    if not holding.party.address:
        return [f"No address on record for {holding.party}, who issues this."]
    return []
