"""Quarantine's rules on who may meet whom; each is the sentence that holds."""

from typing import NamedTuple

from registry.models import Animal, DepartureKind, Stay, UnitRole
from registry.objections import ask, stop
from registry.phrases import in_a_row, written
from registry.shelf import kept, of_one_proposal
from registry.telling import tell, tell_many

from .changed import changes_of
from .held import CLEARED, NEVER, standings, standings_in
from .ledger import ledger, named, who
from .outcome import (
    animals_named,
    days_between,
    held_by_it,
    movers,
    the_book,
    without_movers,
)

UNASKED = {DepartureKind.DEATH, DepartureKind.ESCAPE}  # nobody decides these


class Other(NamedTuple):
    """An animal of a unit, of which only the name is needed."""

    pk: int
    code: str

    def __str__(self):
        return self.code


@of_one_proposal
def newcomers_are_cleared(proposal):
    """Only cleared animals live together, or held ones of one batch, on every day of it."""
    told = set()
    for company, groups in _day_by_day(proposal):
        if len(set(groups.values())) > 1 and groups.keys() - told:
            message = _company_words(the_book(proposal), groups, company.day)
            yield stop(message, *_animals(groups), day=company.day)
            told |= groups.keys() if movers(proposal) else set()
    yield from _held_by_it(proposal, {who(one) for one in told})


def _day_by_day(proposal):
    """Yield who is together, each with the batch it is held in, on each day that may differ."""
    planned = {company.day: company for company in proposal.companies}
    for day in sorted({*planned, *days_between(proposal)}):
        if company := planned.get(day):
            changed = _changed(proposal, company)
        else:
            company = proposal.company_on(day)
        yield company, _groups(without_movers(proposal), company, changed)


def _held_by_it(proposal, told):
    """Yield who would meet one that is held only once the move is made."""
    alike = {}
    for one in held_by_it(proposal):
        if not {one.who, one.reason.source} <= told:
            alike.setdefault((one.since, one.reason.source), []).append(one.who)
    for (since, source), whos in alike.items():
        names, day = in_a_row(named(one) for one in whos), written(since)
        text = tell(
            "{source} would be held by {day}, when {names} would be with it.",
            source=named(source),
            day=day,
            names=names,
        )
        yield stop(text, *animals_named(proposal, (source, *whos)), day=since)


def _groups(standings_, company, changed):
    """Return the batch each one is held in, "" for the cleared; those not here are left out."""
    everyone = (*company.animals, *company.clutches)
    found = {one: standings_.on(who(one), company.day) for one in everyone}
    return {one: _group(one, found[one], changed) for one in everyone if found[one]}


def _changed(proposal, company):
    """Return what speaks against the clearances of those together, fetched once for everybody."""
    return changes_of(_cleared(company.animals, the_book(proposal), company.day), company.day)


def _cleared(animals, book, day):
    told = ((a, book.standings.on(who(a), day)) for a in animals)
    return [a for a, standing in told if standing and standing.state == CLEARED]


def _group(one, standing, changed):
    if isinstance(one, Animal) and one.pk in changed:
        return changed[one.pk].group
    if standing.state == CLEARED:
        return ""
    return standing.batch or f"only {who(one)}"


def _animals(everyone):
    return [one for one in everyone if isinstance(one, Animal)]


def _company_words(book, groups, day):
    """Say who is held and why, and who is not of that batch."""
    held = {one for one, group in groups.items() if group}
    others = [one for one in groups if one not in held]
    said = _held_words(book, held, day)
    if others:
        names = in_a_row(sorted(named(who(o)) for o in others))
        cleared = tell_many("{names} is cleared.", "{names} are cleared.", len(others), names=names)
        return f"{said} {cleared}"
    return f"{said} {tell('They are not of one batch.')}"


def _held_words(book, held, day):
    told = standings_in(book, _animals(held), day)
    alike = {}
    for one in sorted(held, key=who):
        standing = told.get(one.pk) if isinstance(one, Animal) else None
        alike.setdefault(_one_held(standing), []).append(named(who(one)))
    return " ".join(_they_are(names, words) for words, names in alike.items())


def _they_are(names, words):
    told = {"names": in_a_row(names), "held_since": words}
    return tell_many("{names} is {held_since}.", "{names} are {held_since}.", len(names), **told)


def _one_held(standing):
    """Say why one is held, since when, and the best release day."""
    if standing is None:
        return tell("held with its parents")
    told = {"since": written(standing.since), "why": standing.why}
    if standing.state == NEVER:
        return tell("never to be released ({why})", **told)
    if standing.best:
        told["best"] = written(standing.best)
        return tell("held since {since} ({why}; best release day {best})", **told)
    return tell("held since {since} ({why})", **told)


@of_one_proposal
def enclosures_are_disinfected(proposal):
    """An enclosure that held animals left uncleared is disinfected before another batch comes."""
    if proposal.enclosure is None or not (proposal.animals or proposal.clutches):
        return
    book = the_book(proposal)
    own = {one: book.standings.on(who(one), proposal.day) for one in movers(proposal)}
    groups = {_own_group(one, standing) for one, standing in own.items()}
    there = {who(one) for one in (*proposal.companies[0].animals, *proposal.companies[0].clutches)}
    left = book.standings.left_dirty(proposal.enclosure.code, proposal.day)
    dirty = sorted({w for w, batch in left if w not in there and groups != {batch}})
    if dirty:
        names = in_a_row(named(w) for w in dirty)
        text = tell_many(
            "{names} was held on leaving {enclosure}, which has not been disinfected since.",
            "{names} were held on leaving {enclosure}, which has not been disinfected since.",
            len(dirty),
            names=names,
            enclosure=proposal.enclosure,
        )
        yield stop(text, *proposal.animals, day=proposal.day)


def _own_group(one, standing):
    return _group(one, standing, {}) if standing else ""


@of_one_proposal
def units_are_not_mixed(proposal):
    """Held animals stay out of resident units, and cleared ones out of units with held ones."""
    if proposal.enclosure is None or not proposal.animals:
        return
    movers, others = _new_to_unit(proposal)
    told = proposal.herd.once(
        ("unit", proposal.day, proposal.unit), lambda: _held_in(movers + others, proposal.day)
    )
    held = [a for a in movers if a.pk in told]
    if held and proposal.unit.role == UnitRole.RESIDENT:
        text = tell_many(
            "{held} is held, and {unit} is a resident unit.",
            "{held} are held, and {unit} is a resident unit.",
            len(held),
            held=in_a_row(held),
            unit=proposal.unit,
        )
        yield ask(text, *held, day=proposal.day)
    cleared = [a for a in movers if a.pk not in told]
    apart = [a for a in others if a.pk in told]
    if cleared and apart:
        text = tell_many(
            "{unit} has {some}, held; {cleared} is not.",
            "{unit} has {some}, held; {cleared} are not.",
            len(cleared),
            unit=proposal.unit,
            some=_some(apart),
            cleared=in_a_row(cleared),
        )
        yield ask(text, *cleared, day=proposal.day)


def _new_to_unit(proposal):
    """Return the animals of a proposal that are not in its unit already, and the others there."""
    inside = kept(
        ("inside", proposal.unit.pk, proposal.day), lambda: _inside(proposal.unit, proposal.day)
    )
    movers = {a.pk for a in proposal.animals}
    others = sorted((Other(*row) for row in inside.items() if row[0] not in movers), key=str)
    return [a for a in proposal.animals if a.pk not in inside], others


def _inside(unit, day):
    """Return the codes of all animals in a unit on a day, by key."""
    stays = Stay.objects.current().touching(day)
    stays = stays.filter(animal__isnull=False, enclosure__unit=unit)
    return dict(stays.order_by().values_list("animal", "animal__code"))


def _held_in(animals, day):
    """Return the keys of those held on a day, changed evidence included."""
    book = ledger(animals, day)
    found = {a: book.standings.on(who(a), day) for a in animals}
    held = {a.pk for a, one in found.items() if one and one.state != CLEARED}
    return held | changes_of([a for a in animals if a.pk not in held], day).keys()


def _some(animals):
    """Return at most five names, and how many more."""
    if len(animals) <= 5:
        return in_a_row(animals)
    some, more = ", ".join(str(a) for a in animals[:5]), len(animals) - 5
    return tell_many("{some} and {count} other", "{some} and {count} others", more, some=some)


@of_one_proposal
def leavers_are_cleared(leaving):
    """A held animal leaves only for a reason; its paper says held, and the receiver is told."""
    if leaving.kind in UNASKED:
        return
    told = standings(leaving.animals, leaving.day)
    for animals, text in _leavers(leaving, told):
        yield ask(text, *animals, day=leaving.day)


def _leavers(leaving, told):
    """Yield those who leave held, with the sentence that says so."""
    held = [a for a in leaving.animals if a.pk in told and told[a.pk].is_held]
    said = {"receiver": leaving.receiver, "names": in_a_row(held)}
    if leaving.among and held and leaving.receiver:
        yield (
            leaving.animals,
            tell_many(
                "{names} is held; the paper of the one prints “held”, and {receiver} is told.",
                "{names} are held; the paper of the one prints “held”, and {receiver} is told.",
                len(held),
                **said,
            ),
        )
    elif leaving.among and held:
        yield (
            leaving.animals,
            tell_many(
                "{names} is held; the paper of the one prints “held”.",
                "{names} are held; the paper of the one prints “held”.",
                len(held),
                **said,
            ),
        )
    for animal in held if not leaving.among else ():
        said |= {"animal": animal, "held_since": _one_held(told[animal.pk])}
        yield (animal,), _leaver_words(leaving, said)


def _leaver_words(leaving, said):
    if leaving.receiver:
        return tell(
            "{animal} is {held_since}; its paper prints “held”, and {receiver} is told.", **said
        )
    return tell("{animal} is {held_since}; its paper prints “held”.", **said)
