"""The lines of the register: written in the same act as the arrival or departure they are of.

A line's `change` is by how many the number kept changes. A correction is a new line that names the
line it corrects; its change is the difference, so that the sum over all lines is what is kept.
"""

from dataclasses import dataclass

from django.db import transaction
from django.db.models import Sum

from .models import Arrival, Departure, LineKind, OneOfThese, RegisterLine
from .numbering import held_still, next_number
from .phrases import for_good, in_a_row
from .telling import tell
from .whence import country_of, holdings_on, permits_of

SINGLY = {"death", "escape"}  # of these every animal has a line of its own


@dataclass(frozen=True, kw_only=True)
class Draft:
    """A line that has no number yet, with the animals and departures it is of."""

    line: RegisterLine
    animals: tuple = ()
    departures: tuple = ()


@dataclass(frozen=True, kw_only=True)
class Said:
    """The reason for a line that names another and is no withdrawal."""

    why: str
    void: bool = False


@transaction.atomic
def write(holding, drafts):
    """Give drafts the next numbers of a holding and write them; return the lines."""
    held_still(holding)
    first = next_number(RegisterLine.objects.filter(holding=holding))
    for number, draft in enumerate(drafts, first):
        draft.line.holding, draft.line.number = holding, number
        draft.line.save()
        draft.line.animals.set(draft.animals)
        draft.line.departures.set(draft.departures)
    return [draft.line for draft in drafts]


def entry_of(fact):
    """Return who entered a fact and when, as its line repeats it."""
    return {"entered_at": fact.entered_at, "entered_by": fact.entered_by}


def alike(things, key):
    """Return things in groups by a key, in the order in which each group began."""
    groups = {}
    for thing in things:
        groups.setdefault(key(thing), []).append(thing)
    return list(groups.values())


def _party(party):
    if party is None:
        return {}
    return {
        "party_name": party.name,
        "party_address": party.address,
        "party_country": party.country,
    }


def _codes(animals):
    return ", ".join(a.code for a in animals)


# Arrivals


def arrival_came(arrival):
    """Write a line for each species and country of origin of an arrival."""
    animals = arrival.animals.select_related("taxon", "locality", "clutch").order_by("code")
    groups = alike(animals, lambda a: (a.taxon_id, country_of(a, arrival)))
    return write(arrival.holding, [arrival_draft(arrival, group) for group in groups])


@for_good
def arrival_draft(arrival, animals):
    """Return the line of some animals of an arrival, as they stand now."""
    first = animals[0]
    line = RegisterLine(
        kind=LineKind.ARRIVAL,
        what=arrival.get_kind_display(),
        day=arrival.day,
        taxon=first.taxon,
        species=first.taxon.name,
        count=len(animals),
        change=len(animals),
        codes=_codes(animals),
        origin=country_of(first, arrival),
        permit=permits_of(arrival),
        remark=tell("By way of: {route}", route=arrival.route) if arrival.route else "",
        arrival=arrival,
        **_party(arrival.supplier),
        **entry_of(arrival),
    )
    return Draft(line=line, animals=tuple(animals))


def arrival_corrected(old: Arrival, new: Arrival):
    """Write a line for each that an arrival has, naming it, with what is now said instead."""
    for line in old.register_lines.select_related("holding").order_by("number"):
        animals = list(line.animals.select_related("taxon", "locality", "clutch").order_by("code"))
        draft = correcting(arrival_draft(new, animals), line, new)
        write(line.holding, [draft])


# Departures


def departures_went(departures):
    """Write the lines of animals that left together: deaths singly, others by species."""
    animals = [d.animal for d in departures]
    holdings = holdings_on(animals, departures[0].day)

    def together(departure):
        one = departure.animal
        alone = one.pk if departure.kind in SINGLY else None
        return holdings[one.pk].pk, one.taxon_id, country_of(one, None), alone

    lines = []
    for group in alike(departures, together):
        lines += write(holdings[group[0].animal_id], [departure_draft(group)])
    return lines


@for_good
def departure_draft(departures):
    """Return the line of departures of one species, as they stand now."""
    first, animals = departures[0], [d.animal for d in departures]
    line = RegisterLine(
        kind=LineKind.DEATH if first.kind == "death" else LineKind.DEPARTURE,
        what=first.get_kind_display(),
        day=first.day,
        taxon=first.animal.taxon,
        species=first.animal.taxon.name,
        count=len(animals),
        change=len(written_off(animals)) - len(animals),
        codes=_codes(animals),
        origin=country_of(first.animal, None),
        remark=_remark(departures),
        **_party(first.receiver),
        **entry_of(first),
    )
    return Draft(line=line, animals=tuple(animals), departures=tuple(departures))


def _remark(departures):
    held = [d.animal for d in departures if d.held]
    said = tell("Held on leaving: {held}.", held=in_a_row(held)) if held else ""
    cause = departures[0].cause.rstrip()
    stop = "" if not cause or cause[-1] in ".!?" else "."
    return " ".join(filter(None, [cause + stop, said]))


def written_off(animals):
    """Return the keys of those that a line takes off as not found, and that were not found since.

    An animal not found is taken off once: its death or departure takes off nobody more.
    """
    rows = RegisterLine.objects.filter(missing__isnull=False, animals__in=animals)
    sums = rows.order_by().values("animals").annotate(total=Sum("change"))
    return {row["animals"] for row in sums if row["total"] < 0}


def departure_corrected(old: Departure, new: Departure):
    """Write a line that names the line of a departure, with what is now said of that animal."""
    line = old.register_lines.select_related("holding").order_by("-number").first()
    if line and new.void and new.one_of_id:
        _among_again(new.one_of, line, new)
    elif line:
        write(line.holding, [correcting(departure_draft([new]), line, new)])


# One of several


def one_of_these_left(event: OneOfThese):
    """Write the line of one of several that died or left, which one being open."""
    holding = holdings_on(event.among(), event.day)[event.among()[0].pk]
    return write(holding, [one_of_these_draft(event)])


def one_of_these_draft(event):
    """Return the line of one of several, as they stand now."""
    rows = event.animals.select_related("taxon", "locality", "clutch").order_by("code")
    animals = list(rows)
    origins = sorted({country_of(a, None) for a in animals} - {""})
    line = RegisterLine(
        kind=LineKind.DEATH if event.what == "death" else LineKind.DEPARTURE,
        what=event.get_what_display(),
        day=event.day,
        taxon=animals[0].taxon,
        species=animals[0].taxon.name,
        count=1,
        change=-1,
        codes=tell("one of {codes}", codes=_codes(animals)),
        origin=", ".join(origins),
        remark=_among_remark(event),
        one_of=event,
        **_party(event.receiver),
        **entry_of(event),
    )
    return Draft(line=line, animals=tuple(animals))


def _among_remark(event):
    told = [f"{event.cause.rstrip('. ')}."] if event.cause.strip() else []
    told.append(tell("Which one is not settled."))
    if event.held:
        told.append(tell("It may have been held on leaving."))
    return " ".join(told)


def one_of_these_settled(event, departure):
    """Write a line that names the one of an event, with the animal that it was."""
    line = event.register_lines.select_related("holding").order_by("-number").first()
    if line:
        said = Said(why=tell("Settled: it was {animal}.", animal=departure.animal))
        write(line.holding, [correcting(departure_draft([departure]), line, said)])


def one_of_these_corrected(old: OneOfThese, new: OneOfThese):
    """Write a line that names the one of an event, with what is now said of it."""
    line = old.register_lines.select_related("holding").order_by("-number").first()
    if line:
        write(line.holding, [correcting(one_of_these_draft(new), line, new)])


def _among_again(event, line, taken_back):
    """Write that it is open again which one it was; one of them is gone all the same."""
    draft = correcting(one_of_these_draft(event), line, Said(why=taken_back.why))
    draft.line.entered_at, draft.line.entered_by = taken_back.entered_at, taken_back.entered_by
    write(line.holding, [draft])


# Not found


def animal_missed(missing):
    """Write that an animal is not found; it counts as dead unless it is found."""
    holding = holdings_on([missing.animal], missing.day)[missing.animal_id]
    return write(holding, [_missing_draft(missing, missing.day, LineKind.MISSING, -1)])


def animal_found(missing, by):
    """Write that an animal was found again."""
    holding = holdings_on([missing.animal], missing.found_on)[missing.animal_id]
    draft = _missing_draft(missing, missing.found_on, LineKind.FOUND, 1)
    draft.line.remark = ""
    draft.line.entered_at, draft.line.entered_by = missing.found_at, by
    return write(holding, [draft])


@for_good
def _missing_draft(missing, day, kind, change):
    animal = missing.animal
    line = RegisterLine(
        kind=kind,
        what=kind.label,
        day=day,
        taxon=animal.taxon,
        species=animal.taxon.name,
        count=1,
        change=change,
        codes=animal.code,
        origin=country_of(animal, None),
        remark=tell("Counts as a death after seven days, until it is found."),
        missing=missing,
        **entry_of(missing),
    )
    return Draft(line=line, animals=(animal,))


def missing_corrected(old, new):
    """Write a line that names the line of an animal not found, with what is now said instead."""
    line = old.register_lines.filter(kind=LineKind.MISSING).select_related("holding").last()
    if line:
        draft = _missing_draft(new, new.day, LineKind.MISSING, -1)
        write(line.holding, [correcting(draft, line, new)])


# Corrections


def correcting(draft, line, fact):
    """Make a draft the correction of a line: by a newer fact, or by one that withdraws it."""
    new = draft.line
    before = share_of(line, draft)
    new.corrects, new.why, new.withdraws = line, fact.why, fact.void
    new.change = -before if fact.void else new.change - before
    return draft


def share_of(line, draft):
    """Return by how many a line and those it corrects change the number of a draft's animals."""
    part = draft.line.count
    own = line.change if part == line.count else (line.change and -part)
    return own + (share_of(line.corrects, draft) if line.corrects else 0)
