"""What is missing from an animal's proof of origin: never what is lawful, only what is not here."""

from django.utils.translation import gettext_lazy as _

from .models import ArrivalKind, Clutch, PaperKind, SourceCode
from .phrases import one_of
from .telling import tell

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
        yield tell("No date of birth on record for {code}.", code=one.code)
    if one.locality is None:
        yield tell("No locality on record for {code}.", code=one.code)
    if one.source_code == SourceCode.UNKNOWN:
        yield tell("No origin (CITES source code) on record for {code}.", code=one.code)
    if not facts.marks[one.pk]:
        yield tell(
            "No mark on record for {code}; nothing but this paper tells it from others.",
            code=one.code,
        )


def _of_parents(facts, one, who):
    """Say which parents are not stated, or not certain; the wild have none on record."""
    if one.source_code == SourceCode.WILD:
        return
    families = facts.families(one)
    if len(families) > 1:
        codes = Clutch.objects.in_bulk([clutch for clutch, *_ in families])
        either = one_of(str(codes[clutch]) for clutch, *_ in families)
        yield tell(
            "{who} is of clutch {either}, which were reared together; which one is not known.",
            who=who,
            either=either,
        )
    for clutch, _mixed, stated in families:
        of = who if len(families) == 1 else tell("clutch {code}", code=codes[clutch])
        yield from _of_stated(facts, stated, of)


def _of_stated(facts, stated, who):
    for role in ("sire", "dam") if "pair" not in stated else ("pair",):
        named = list(stated[role].candidates.all()) if role in stated else []
        if not named:
            yield tell(NONE[role], who=who)
        elif len(named) > 1 or named[0].weight < 1:
            yield tell(MAY_BE[role], who=who, names=_names(facts, named))


def _names(facts, named):
    """Return the candidates by code, two together where they are drawn as a pair."""
    keys = ((c.animal_id, c.mate_id) for c in named)
    told = [_pair([facts.people[k].code for k in some if k]) for some in keys]
    if sum(c.weight for c in named) < 1 - 1e-9:
        return tell("{names}, or another", names=one_of(told))
    return one_of(told)


def _pair(codes):
    return tell("{one} with {other}", one=codes[0], other=codes[1]) if codes[1:] else codes[0]


NONE = {
    "sire": _("No sire on record for {who}."),
    "dam": _("No dam on record for {who}."),
    "pair": _("No pair on record for {who}."),
}
MAY_BE = {
    "sire": _("The sire of {who} may be {names}."),
    "dam": _("The dam of {who} may be {names}."),
    "pair": _("The parents of {who} may be {names}."),
}


def _of_papers(facts, one, who):
    """Say which paper of an animal that came from elsewhere is not here, or not whole."""
    if one.clutch_id:
        return
    papers, arrivals = facts.papers.get(one.pk, []), facts.arrivals[one.pk]
    yield from _kinds_missing(one, who, papers, arrivals)
    for paper in papers:
        if not paper.number:
            yield tell(
                "No number on record for the {kind} of {who}.",
                kind=paper.get_kind_display(),
                who=who,
            )
        if not paper.file:
            yield tell("No file on record for {paper} of {who}.", paper=paper, who=who)
    if not arrivals:
        yield tell("No arrival on record for {who}.", who=who)
    for arrival in arrivals[:1]:
        yield from _of_supplier(arrival, who)


def _kinds_missing(one, who, papers, arrivals):
    kinds = {p.kind for p in papers}
    imported = any(a.kind == ArrivalKind.IMPORT for a in arrivals)
    if (imported or one.source_code == SourceCode.WILD) and PaperKind.PERMIT not in kinds:
        yield tell("No permit on record for {who}.", who=who)
    elif not kinds & set(ENOUGH):
        yield tell("No certificate of origin, invoice or permit on record for {who}.", who=who)


def _of_supplier(arrival, who):
    if arrival.supplier is None:
        yield tell("No supplier on record for {who}.", who=who)
    elif not arrival.supplier.address:
        yield tell(
            "No address on record for {supplier}, from whom {who} came.",
            supplier=arrival.supplier,
            who=who,
        )


def gaps_of_keeper(holding):
    """Return what is missing of whoever issues the proof."""
    if not holding.party.address:
        return [tell("No address on record for {party}, who issues this.", party=holding.party)]
    return []
