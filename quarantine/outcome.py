"""What a move would make of everybody: the facts it is judged on, standings with and without it.

A move entered late, or planned, runs over days on which more is on record; it is judged on each.
"""

from datetime import date

from . import facts as f
from .ledger import ledger, who
from .standing import newly_held, proposed

FAR = date(9000, 1, 1)  # past every day on record


def movers(proposal):
    """Return whom a proposal is about."""
    return (*proposal.animals, *proposal.clutches)


def is_move(proposal):
    """Return whether somebody would come into an enclosure, and stay for some days."""
    return proposal.enclosure is not None and bool(movers(proposal))


def the_book(proposal):
    """Return the facts about everyone in the proposal on all its days, fetched once."""
    return proposal.herd.once(("book", proposal.day, proposal.enclosure), lambda: _fetch(proposal))


def _fetch(proposal):
    animals = {a for c in proposal.companies for a in c.animals} | concerned(proposal)
    clutches = {c for company in proposal.companies for c in company.clutches}
    days = [c.day for c in proposal.companies] or [proposal.day]
    places = [proposal.enclosure] if proposal.enclosure else []
    known = {"clutches": clutches | set(proposal.clutches), "enclosures": places}
    last = FAR if is_move(proposal) else max(days)
    return ledger(animals, last, since=min(days), **known)


def concerned(proposal):
    """Return whom the facts are fetched for: for a pair, the whole herd it is one of many in."""
    if proposal.enclosure is None:
        return {*proposal.animals, *proposal.herd.animals.values()}
    return set(proposal.animals)


def without_movers(proposal):
    """Return what everybody would be if the movers were nowhere for as long as the move lasts."""
    if not is_move(proposal):
        return the_book(proposal).standings
    return _with_stays(proposal, "without", "nowhere:{}".format)


def with_movers(proposal):
    """Return what everybody would be with the move."""
    return _with_stays(proposal, "with", lambda one: proposal.enclosure.code)


def _with_stays(proposal, name, place_of):
    days = {"start": proposal.day, "end": proposal.until}
    whos = [who(one) for one in movers(proposal)]
    stays = [f.Stay(who=one, enclosure=place_of(one), **days) for one in whos]
    key = (name, proposal.day, proposal.enclosure)
    return proposal.herd.once(key, lambda: proposed(the_book(proposal).standings, stays))


def days_between(proposal):
    """Return the later days of a move on which something is on record."""
    if not is_move(proposal):
        return []
    first, until = proposal.day.toordinal(), (proposal.until or FAR).toordinal()
    days = the_book(proposal).standings.agenda.days
    return [date.fromordinal(d) for d in days if first < d < until]


def held_by_it(proposal):
    """Yield who would be held by being together with somebody in the enclosure of the move."""
    if is_move(proposal):
        for one in newly_held(without_movers(proposal), with_movers(proposal)):
            why = one.reason
            if why.how == "direct" and why.enclosure == proposal.enclosure.code:
                yield one


def animals_named(proposal, whos):
    """Return those of some names that are animals who would be there."""
    there = {a.code: a for company in proposal.companies for a in company.animals}
    return [there[one] for one in whos if one in there]
