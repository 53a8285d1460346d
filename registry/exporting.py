"""The main lists as tables: their headings, and a row for each thing they show."""

from .phrases import in_a_row

PAIR_HEADS = (
    "first", "second", "taxon", "locality of first", "locality of second", "state", "planned",
    "began", "ended", "why ended", "how sure", "clutches", "stands against it",
)  # fmt: skip
ENCLOSURE_HEADS = (
    "enclosure", "unit", "role", "premises", "kind", "room for", "males.females.unsexed",
    "animals", "clutches", "taxa", "out of use since", "note",
)  # fmt: skip
PAPER_HEADS = (
    "kind", "number", "issuer", "issued on", "valid until", "issued here", "animals", "supplier",
    "file", "note",
)  # fmt: skip


def pair_rows(pairs):
    """Yield a row for each pairing as it stands on its day."""
    for pair in pairs:
        row = pair.pairing
        yield (
            row.first.code, row.second.code, row.first.taxon.name, row.first.locality,
            row.second.locality, pair.state, row.planned_on, row.began_on, row.ended_on,
            row.ended_why, pair.strength, in_a_row(pair.clutches),
            " ".join(o.message for o in pair.objections),
        )  # fmt: skip


def enclosure_rows(units):
    """Yield a row for each enclosure, unit by unit, with who is in it."""
    for unit, enclosures in units:
        for one in enclosures:
            place = one.enclosure
            yield (
                place.code, unit.name, unit.get_role_display(), unit.holding.name, place.kind,
                place.room_for, one.notation if one.animals else "", _codes(one.animals),
                _codes(one.clutches), ", ".join(one.taxa), place.retired_on, place.note,
            )  # fmt: skip


def _codes(things):
    return ", ".join(str(one) for one in things)


def paper_rows(papers):
    """Yield a row for each paper."""
    for paper in papers:
        supplier = paper.arrival.supplier if paper.arrival else ""
        yield (
            paper.get_kind_display(), paper.number, paper.issuer, paper.day, paper.valid_until,
            "yes" if paper.ours else "", _codes(paper.animals.all()),
            supplier, "yes" if paper.file else "", paper.note,
        )  # fmt: skip
