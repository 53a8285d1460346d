"""What an act would delay and whom it would make held, as notes of the register's own rules."""

from dataclasses import replace

from registry.models import DepartureKind, Stay
from registry.objections import note
from registry.phrases import in_a_row, written
from registry.shelf import of_one_proposal
from registry.telling import tell, tell_many

from . import facts as f
from .changes import delay
from .dossier import dossiers
from .evidence import Death, Meeting, OneOf, UnitArrival
from .ledger import ledger, named
from .ledger_rows import isolation_pk
from .models import Scope
from .opened import opened
from .outcome import the_book, with_movers
from .standing import moved, newly_held, standings
from .wards import open_on


@of_one_proposal
def no_move_delays_a_batch_unseen(proposal):
    """Whoever moves animals sees first which batches that delays, and who would be held."""
    if proposal.enclosure is None or not (proposal.animals or proposal.clutches):
        return
    before = the_book(proposal).standings
    after = with_movers(proposal)
    yield from _held_after(before, after, proposal)
    met = _met_after(before, after, proposal.day)
    yield from _delayed(proposal.day, met, _come_into_unit(proposal))


def _held_after(before, after, proposal):
    """Yield who would be held because of the proposal, those who move among them."""
    alike = {}
    for one in newly_held(before, after):
        alike.setdefault((one.since, one.reason.source), []).append(named(one.who))
    for (since, source), names in alike.items():
        told = {"names": in_a_row(names), "day": written(since), "source": named(source)}
        if source:
            text = tell("{names} would be held from {day} by meeting {source}.", **told)
        else:
            text = tell("{names} would be held from {day}.", **told)
        yield note(text, day=proposal.day)


def _met_after(before, after, day):
    """Return the meetings that would restart batches, by the key of their isolation."""
    found = {}
    for one in moved(before, after, day):
        pk = isolation_pk(one.batch)
        if pk and one.after:
            found[pk] = Meeting(
                key=f"meeting:{one.after.member}:{one.after.other}",
                member=one.after.member,
                other=one.after.other,
                first=one.after.day,
                last=one.after.day,
                entered=day,
            )
    return found


def _come_into_unit(proposal):
    """Return the movers as comings into the unit, where a batch there counts its whole unit."""
    if not any(map(_counts_unit, opened().isolations.values())):
        return []
    inside = Stay.objects.current().touching(proposal.day).filter(animal__in=proposal.animals)
    inside = set(inside.filter(enclosure__unit=proposal.unit).values_list("animal", flat=True))
    unit, day = str(proposal.unit.pk), proposal.day
    return [
        UnitArrival(key=f"unit arrival:{a}", unit=unit, animal=a.code, day=day, entered=day)
        for a in proposal.animals
        if a.pk not in inside
    ]


def _delayed(day, met, comings):
    """Yield a note for each batch that meetings or comings would delay."""
    if not _concerned(opened().isolations.values(), met, comings):
        return
    about = _concerned(open_on(day), met, comings)
    if not about:
        return
    asked = dossiers(about, day)
    for isolation in about:
        before = asked.true(isolation)
        new = (met[isolation.pk],) if isolation.pk in met else ()
        others = _others(comings, before) if _counts_unit(isolation) else ()
        after = replace(
            before,
            meetings=before.meetings + new,
            unit_arrivals=before.unit_arrivals + others,
        )
        yield from _notes(isolation, before, after, day)


def _concerned(isolations, met, comings):
    return [i for i in isolations if i.pk in met or (comings and _counts_unit(i))]


def _counts_unit(isolation):
    return isolation.version.scope == Scope.UNIT


def _others(comings, facts):
    """Return the comings of animals that are not of the batch."""
    mine = {m.member for m in facts.memberships if m.batch == facts.batch}
    return tuple(coming for coming in comings if coming.animal not in mine)


def _notes(isolation, before, after, day):
    found = delay(before, after, day)
    if found is None:
        return
    if found.after is None:
        yield note(
            tell("{isolation}: no release day could be told any more.", isolation=isolation),
            day=day,
        )
    else:
        text = tell_many(
            "{isolation} would be delayed by {count} day: {after} instead of {before}.",
            "{isolation} would be delayed by {count} days: {after} instead of {before}.",
            found.days,
            isolation=isolation,
            after=written(found.after),
            before=written(found.before),
        )
        yield note(text, day=day)


@of_one_proposal
def no_death_delays_a_batch_unseen(leaving):
    """Whoever enters a death sees first which batch it delays until it is explained."""
    if leaving.kind != DepartureKind.DEATH:
        return
    mine = open_on(leaving.day).filter(members__animal__in=leaving.animals).distinct()
    if not mine:
        return
    asked = dossiers(mine, leaving.day)
    for isolation in asked.isolations:
        before = asked.true(isolation)
        yield from _notes(isolation, before, _with_dead(before, leaving), leaving.day)


def _with_dead(facts, leaving):
    """Return the facts of a batch with a death, or that of one of several, in it."""
    told, codes = {"day": leaving.day, "entered": leaving.day}, [a.code for a in leaving.animals]
    settled = set(_entries_of(leaving.one_of, facts))
    rest = tuple(one for one in facts.one_of if one.key not in settled)
    if leaving.among:
        one = OneOf(key="proposed", event="proposed", members=tuple(codes), **told)
        return replace(facts, one_of=(*rest, one))
    event = next((one.event for one in facts.one_of if one.key in settled), "")
    dead = (Death(key=f"death:{code}", member=code, event=event, **told) for code in codes)
    return replace(facts, deaths=(*facts.deaths, *dead), one_of=rest)


def _entries_of(event, facts):
    """Yield the facts about an event of one of several that is settled or corrected."""
    names = {f"oneofthese:{key}" for key in event.entries()} if event else ()
    return (one.key for one in facts.one_of if one.event in names)


@of_one_proposal
def no_thing_delays_a_batch_unseen(carrying):
    """Whoever moves plants, water or tools sees first whom that makes held and what it delays."""
    places, day = [carrying.source, carrying.target], carrying.day
    there = Stay.objects.current().touching(day).filter(enclosure__in=places)
    there = list(there.select_related("animal", "clutch"))
    book = ledger(
        [s.animal for s in there if s.animal],
        day,
        clutches=[s.clutch for s in there if s.clutch],
        enclosures=places,
    )
    brought = f.Transfer(source=carrying.source.code, target=carrying.target.code, day=day)
    facts = replace(book.true, transfers=(*book.true.transfers, brought))
    after = standings(facts, book.persistence)
    yield from _held_after(book.standings, after, carrying)
    yield from _delayed(day, _met_after(book.standings, after, day), [])
