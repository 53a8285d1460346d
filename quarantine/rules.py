"""Quarantine's rules on who may meet whom; each is the sentence that holds."""

from registry.models import Animal, DepartureKind, Stay, UnitRole
from registry.objections import ask, stop
from registry.phrases import in_a_row, written

from .changed import changes_of
from .held import CLEARED, NEVER, standings, standings_in
from .ledger import ledger, named, who
from .outcome import (
    animals_named,
    concerned,
    days_between,
    held_by_it,
    movers,
    the_book,
    without_movers,
)
from .shelf import of_one_proposal

UNASKED = {DepartureKind.DEATH, DepartureKind.ESCAPE}  # nobody decides these


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
        text = f"{named(source)} would be held by {day}, when {names} would be with it."
        yield stop(text, *animals_named(proposal, (source, *whos)), day=since)


def _groups(standings_, company, changed):
    """Return the batch each one is held in, "" for the cleared; those not here are left out."""
    everyone = (*company.animals, *company.clutches)
    found = {one: standings_.on(who(one), company.day) for one in everyone}
    return {one: _group(one, found[one], changed) for one in everyone if found[one]}


def _changed(proposal, company):
    """Return what speaks against the clearances of all concerned, asked once for all of them."""
    asked, book = {*company.animals, *concerned(proposal)}, the_book(proposal)
    key = ("changed", company.day, frozenset(a.pk for a in asked))
    return proposal.herd.once(
        key, lambda: changes_of(_cleared(asked, book, company.day), company.day)
    )


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
        verb = "is" if len(others) == 1 else "are"
        return f"{said} {in_a_row(sorted(named(who(o)) for o in others))} {verb} cleared."
    return f"{said} They are not of one batch."


def _held_words(book, held, day):
    told = standings_in(book, _animals(held), day)
    alike = {}
    for one in sorted(held, key=who):
        standing = told.get(one.pk) if isinstance(one, Animal) else None
        alike.setdefault(_one_held(standing), []).append(named(who(one)))
    return " ".join(f"{in_a_row(names)} {_verb(names)} {words}." for words, names in alike.items())


def _verb(names):
    return "is" if len(names) == 1 else "are"


def _one_held(standing):
    """Say why one is held, since when, and the best release day."""
    if standing is None:
        return "held with its parents"
    best = f"; best release day {written(standing.best)}" if standing.best else ""
    if standing.state == NEVER:
        return f"never to be released ({standing.why})"
    return f"held since {written(standing.since)} ({standing.why}{best})"


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
        were = "was" if len(dirty) == 1 else "were"
        text = (
            f"{names} {were} held on leaving {proposal.enclosure}, "
            f"which has not been disinfected since."
        )
        yield stop(text, *proposal.animals, day=proposal.day)


def _own_group(one, standing):
    return _group(one, standing, {}) if standing else ""


@of_one_proposal
def units_are_not_mixed(proposal):
    """Held animals stay out of resident units, and cleared ones out of units with held ones."""
    if proposal.enclosure is None or not proposal.animals:
        return
    movers = _new_to_unit(proposal)
    others = _others_in_unit(proposal)
    told = proposal.herd.once(
        ("unit", proposal.day, proposal.unit), lambda: _held_in(movers + others, proposal.day)
    )
    held = [a for a in movers if a.pk in told]
    if held and proposal.unit.role == UnitRole.RESIDENT:
        text = f"{in_a_row(held)} {_verb(held)} held, and {proposal.unit} is a resident unit."
        yield ask(text, *held, day=proposal.day)
    cleared = [a for a in movers if a.pk not in told]
    apart = [a for a in others if a.pk in told]
    if cleared and apart:
        text = (
            f"{proposal.unit} has {_some(apart)}, held; {in_a_row(cleared)} {_verb(cleared)} not."
        )
        yield ask(text, *cleared, day=proposal.day)


def _new_to_unit(proposal):
    """Return the animals of a proposal that are not in its unit already."""
    stays = Stay.objects.current().touching(proposal.day)
    stays = stays.filter(animal__in=proposal.animals, enclosure__unit=proposal.unit)
    inside = set(stays.values_list("animal", flat=True))
    return [a for a in proposal.animals if a.pk not in inside]


def _others_in_unit(proposal):
    stays = Stay.objects.current().touching(proposal.day).filter(animal__isnull=False)
    stays = stays.filter(enclosure__unit=proposal.unit).exclude(animal__in=proposal.animals)
    return sorted({s.animal for s in stays.select_related("animal")}, key=str)


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
    return f"{', '.join(str(a) for a in animals[:5])} and {len(animals) - 5} others"


@of_one_proposal
def leavers_are_cleared(leaving):
    """A held animal leaves only for a reason; its paper says held, and the receiver is told."""
    if leaving.kind in UNASKED:
        return
    told = standings(leaving.animals, leaving.day)
    receiver = f", and {leaving.receiver} is told" if leaving.receiver else ""
    if leaving.among:
        held = [a for a in leaving.animals if a.pk in told and told[a.pk].is_held]
        if held:
            text = f"{in_a_row(held)} {_verb(held)} held; the paper of the one prints “held”"
            yield ask(f"{text}{receiver}.", *leaving.animals, day=leaving.day)
        return
    for animal in leaving.animals:
        standing = told.get(animal.pk)
        if standing and standing.is_held:
            text = f"{animal} is {_one_held(standing)}; its paper prints “held”"
            yield ask(f"{text}{receiver}.", animal, day=leaving.day)
