"""The register's rules on who may live together; each is the sentence that holds."""

from itertools import combinations

import networkx as nx
from django.utils.translation import gettext_lazy as _

from . import shelf
from .mixes import mixes_known
from .models import Grouping, Stay
from .objections import ask, impossible, note, stop
from .phrases import figure, in_a_row, kin_words, written
from .presence import presences
from .seldom import seldom
from .telling import tell
from .unsettled import DID, fewer, open_about, open_departures
from .whence import holding_among, holdings_on, stays_of_clutches

# F of the young from which the rules speak, expected and at worst.
NOTE_EXPECTED, ASK_EXPECTED = 1 / 16, 1 / 8
NOTE_WORST, ASK_WORST = 1 / 8, 1 / 4


def animals_are_alive_and_here(proposal):
    """Only an animal that has come or was born, and has not died or left, can be moved.

    Nor is a clutch anywhere before it was found, or alone while it is reared with others.
    """
    for clutch in proposal.clutches:
        if proposal.day < clutch.found_on:
            found = tell(
                "{clutch} was found only on {found_on}.",
                clutch=clutch,
                found_on=written(clutch.found_on),
            )
            yield impossible(found, clutch, day=proposal.day)
        if clutch.pk not in mixes_known().inside:
            continue
        for part in clutch.mixings.current().filter(day__lt=proposal.day).select_related("mix"):
            text = tell(
                "{clutch} is reared with others in {mix}; move {mix}.", clutch=clutch, mix=part.mix
            )
            yield impossible(text, clutch, day=proposal.day)
    for animal in proposal.animals:
        presence = proposal.herd.once("presence", lambda: presences(proposal.herd.animals))
        if problem := presence[animal.pk].problem(proposal.day, proposal.until):
            yield impossible(problem, animal, day=proposal.day)


def those_who_may_be_gone_are_told(proposal):
    """Whoever moves or pairs look-alikes is told where one of them has died or left already."""
    if not proposal.animals:
        return
    for one in proposal.herd.once("unsettled", lambda: _unsettled(proposal)):
        movers = [a for a in proposal.animals if a.pk in one.keys]
        if movers and one.event.day <= proposal.day:
            text = tell(
                "{names}: here, unless it was the one that {did} on {day}.",
                names=in_a_row(movers),
                did=DID[one.event.what],
                day=written(one.event.day),
            )
            yield note(text, *movers)


def _unsettled(proposal):
    found = open_about(proposal.herd.animals.values(), proposal.day)
    return [one for one in found if one.event.has_left]


def animals_are_in_one_place(proposal):
    """An animal is in one enclosure at a time."""
    if proposal.enclosure is None:
        return
    for animal in proposal.animals:
        for later in _later_stays(animal, proposal):
            yield impossible(_elsewhere(animal, later), animal, day=later.start)
    for clutch in proposal.clutches:
        for later in _later_stays_of(clutch, proposal):
            yield impossible(_elsewhere(clutch, later), clutch, day=later.start)


def _later_stays(animal, proposal):
    rows = Stay.objects.current().filter(animal=animal, start__gt=proposal.day)
    later = shelf.kept(
        ("later stays", animal.pk, proposal.day), lambda: list(rows.select_related("enclosure"))
    )
    return _first_before_the_end(later, proposal)


def _later_stays_of(clutch, proposal):
    later = [s for s in _stays_of(clutch, proposal) if s.start > proposal.day]
    return _first_before_the_end(later, proposal)


def _first_before_the_end(later, proposal):
    return [s for s in later if not proposal.until or s.start < proposal.until][:1]


def _stays_of(clutch, proposal):
    """Return the stays of a clutch; the rules on one proposal fetch them once."""
    return proposal.herd.once(("stays of", clutch.pk), lambda: stays_of_clutches([clutch.pk]))


def _elsewhere(who, stay):
    return tell(
        "{who} is entered in {enclosure} from {start}; say until when it was "
        "here, not later than that day.",
        who=who,
        enclosure=stay.enclosure,
        start=written(stay.start),
    )


def moves_stay_on_the_premises(proposal):
    """A move to other premises is a departure and an arrival in one act, and no plain move."""
    if proposal.enclosure is None or not (proposal.animals or proposal.clutches):
        return
    if not seldom().more_premises:
        return
    there = proposal.unit.holding
    kept = _premises_of(proposal.animals, proposal.day)
    for animal in proposal.animals:
        if kept[animal.pk] != there:
            text = tell(
                "{animal} is at {kept}, and {enclosure} stands at {there}: enter a "
                "move between premises.",
                animal=animal,
                kept=kept[animal.pk],
                enclosure=proposal.enclosure,
                there=there,
            )
            yield impossible(text, animal, day=proposal.day)
    for clutch in proposal.clutches:
        kept_at = holding_among(_stays_of(clutch, proposal), clutch, proposal.day)
        if kept_at != there and clutch.register_lines.exists():
            text = tell(
                "The young of {clutch} are counted in the register of {kept_at}: let "
                "them leave their clutch there, then enter a move between premises.",
                clutch=clutch,
                kept_at=kept_at,
            )
            yield impossible(text, clutch, day=proposal.day)


def _premises_of(animals, day):
    key = ("premises", frozenset(a.pk for a in animals), day)
    return shelf.kept(key, lambda: holdings_on(animals, day)) if animals else {}


def taxa_cannot_cross(proposal):
    """Two taxa that could have young together never share an enclosure."""
    for company in proposal.companies:
        for one, other in _taxa_pairs(company):
            if one.could_cross_with(other):
                yield stop(
                    tell("{one} and {other} could cross.", one=one, other=other),
                    *_of_taxa(company, one, other),
                    day=company.day,
                )


def taxa_live_apart(proposal):
    """Two taxa share an enclosure only for a reason, unless both allow it."""
    for company in proposal.companies:
        for one, other in _taxa_pairs(company):
            if not one.could_cross_with(other) and not (one.may_mix_taxa and other.may_mix_taxa):
                yield ask(
                    tell("{one} and {other} would live together.", one=one, other=other),
                    *_of_taxa(company, one, other),
                    day=company.day,
                )


def _taxa_pairs(company):
    taxa = {a.taxon for a in company.animals} | {c.taxon for c in company.clutches}
    return combinations(sorted(taxa, key=str), 2)


def _of_taxa(company, *taxa):
    return [one for one in (*company.animals, *company.clutches) if one.taxon in taxa]


def localities_live_apart(proposal):
    """Animals of two collecting places share an enclosure only for a reason."""
    for company in proposal.companies:
        for taxon, animals in _by_taxon(company.animals):
            places = {_place(a) for a in animals}
            if len(places) > 1 and not taxon.may_mix_localities:
                yield ask(
                    tell(
                        "{taxon} of {places} would live together.",
                        taxon=taxon,
                        places=in_a_row(sorted(places)),
                    ),
                    *animals,
                    day=company.day,
                )


def _by_taxon(animals):
    taxa = {}
    for animal in animals:
        taxa.setdefault(animal.taxon, []).append(animal)
    return sorted(taxa.items(), key=lambda item: str(item[0]))


def _several_adults(company):
    """Return each taxon with its adults, where two or more of it are together."""
    return [(taxon, adults) for taxon, adults in _by_taxon(company.adults()) if len(adults) > 1]


def _place(animal):
    return animal.locality.name if animal.locality_id else tell("unknown locality")


def grouping_is_kept(proposal):
    """Adults whose taxon makes them rivals do not live together."""
    for company in proposal.companies:
        for taxon, adults in _several_adults(company):
            for rivals in nx.connected_components(rivalry(adults, taxon, proposal.herd)):
                if len(rivals) > 1:
                    yield _rivals(taxon, rivals, proposal.herd, company.day)


RIVAL_SEXES = {
    Grouping.PAIR: {"male", "female"},
    Grouping.ONE_MALE: {"male"},
    Grouping.ONE_FEMALE: {"female"},
    Grouping.GROUP: set(),
}


def rivalry(adults, taxon, herd):
    """Return the adults as a graph, an edge between two that rival; `strong` tells how sure."""
    graph = nx.Graph()
    graph.add_nodes_from(adults)
    for a, b in combinations(adults, 2):
        one, other = herd.sexing(a), herd.sexing(b)
        if taxon.grouping == Grouping.SINGLE:
            graph.add_edge(a, b, strong=True)
        elif one.sex == other.sex and one.sex in RIVAL_SEXES[taxon.grouping]:
            graph.add_edge(a, b, strong=one.strong and other.strong)
    return graph


RIVALS = {
    ("male", True): _("{rivals}: {count} males, where {taxon} lives as {grouping}."),
    ("male", False): _("{rivals}: may be {count} males, where {taxon} lives as {grouping}."),
    ("female", True): _("{rivals}: {count} females, where {taxon} lives as {grouping}."),
    ("female", False): _("{rivals}: may be {count} females, where {taxon} lives as {grouping}."),
}


def _rivals(taxon, rivals, herd, day):
    rivals = sorted(rivals, key=str)
    if taxon.grouping == Grouping.SINGLE:
        return ask(
            tell("{rivals}: {taxon} lives singly.", rivals=in_a_row(rivals), taxon=taxon),
            *rivals,
            day=day,
        )
    sex = herd.sexing(rivals[0]).sex
    strong = sum(herd.sexing(r).strong for r in rivals) > 1
    told = {"rivals": in_a_row(rivals), "count": len(rivals), "taxon": taxon}
    text = tell(RIVALS[sex, strong], grouping=taxon.get_grouping_display(), **told)
    return (ask if strong else note)(text, *rivals, day=day)


def unsexed_may_be_rivals(proposal):
    """Unsexed adults of a taxon kept in pairs may be two of one sex."""
    for company in proposal.companies:
        for taxon, adults in _several_adults(company):
            unsexed = [a for a in adults if proposal.herd.sexing(a).sex is None]
            if taxon.grouping != Grouping.PAIR or not unsexed:
                continue
            if len(adults) == 2:
                text = tell(
                    "{adults}: an even chance that both are of one sex.", adults=in_a_row(adults)
                )
                yield note(text, *adults, day=company.day)
            else:
                text = tell(
                    "{adults}: {count} adults of a taxon kept in pairs, {unsexed} of "
                    "them unsexed; at least two are of one sex.",
                    adults=in_a_row(adults),
                    count=len(adults),
                    unsexed=len(unsexed),
                )
                yield ask(text, *adults, day=company.day)


def young_would_not_be_inbred(proposal):
    """Adults that could have young together are not close kin; kinship never stops."""
    for company in proposal.companies:
        for _taxon, adults in _several_adults(company):
            for level in (ask, note):
                kin = kinship_graph(adults, proposal.herd, level)
                for group in nx.connected_components(kin):
                    if len(group) > 1:
                        yield _inbred(kin.subgraph(group), level, company.day)


def kinship_graph(adults, herd, level):
    """Return adults as a graph, an edge between two whose young would be an ask, or a note."""
    graph = nx.Graph()
    graph.add_nodes_from(adults)
    for a, b in combinations(adults, 2):
        if may_breed(herd.sexing(a), herd.sexing(b)):
            expected, worst = herd.kinship(a, b)
            if inbreeding_level(expected, worst) is level:
                graph.add_edge(a, b, expected=expected, worst=worst)
    return graph


def inbreeding_level(expected, worst):
    """Return ask, note or None for the F that the young of two animals would have."""
    if expected >= ASK_EXPECTED or worst >= ASK_WORST:
        return ask
    return note if expected >= NOTE_EXPECTED or worst >= NOTE_WORST else None


def may_breed(one, other):
    """Return whether two animals may be of different sex."""
    return one.sex is None or other.sex is None or one.sex != other.sex


def _inbred(kin, level, day):
    """Say of two animals, or of several that are kin to one another, what their young would be."""
    pairs = sorted(kin.edges(data=True), key=lambda e: (-e[2]["expected"], -e[2]["worst"], str(e)))
    a, b, told = pairs[0]
    a, b = sorted((a, b), key=str)
    worst = figure(told["worst"])
    if getattr(told["worst"], "is_bound", False):
        worst = tell("at most {figure}", figure=worst)
    said = {"one": a, "other": b, "expected": figure(told["expected"]), "worst": worst}
    said["kin"] = kin_words(told["expected"])
    text = tell(
        "Young of {one} and {other} would have F {expected} expected ({kin}), {worst} at worst.",
        **said,
    )
    if len(pairs) > 1:
        text = tell(
            "{names}: {count} possible pairs of kin. Young of {one} and {other} would have "
            "F {expected} expected ({kin}), {worst} at worst; the others are no closer.",
            names=in_a_row(sorted(kin.nodes, key=str)),
            count=len(pairs),
            **said,
        )
    return level(text, *sorted(kin.nodes, key=str), day=day)


def young_leave_their_parents(proposal):
    """Young past the age at which they must leave do not live with their parents."""
    for company in proposal.companies:
        keys = {a.pk: a for a in company.animals}
        for young in company.animals:
            due = young.must_leave_parents()
            parents = proposal.herd.parents.get(young.pk, set()) & keys.keys()
            if due and due <= company.day and parents:
                those = sorted((keys[p] for p in parents), key=str)
                text = tell(
                    "{young} should have left {those} by {due}.",
                    young=young,
                    those=in_a_row(those),
                    due=written(due),
                )
                yield ask(text, young, *those, day=company.day)


def enclosure_has_room(proposal):
    """An enclosure holds no more animals than it has room for."""
    if proposal.enclosure is None:
        return
    for company in proposal.companies:
        room, count = proposal.enclosure.room_for, len(company.animals)
        if count > room:
            count -= len(fewer(company.animals, open_departures(company.day)).surely)
        if count > room:
            text = tell(
                "{enclosure} has room for {room}; {count} would be in it.",
                enclosure=proposal.enclosure,
                room=room,
                count=count,
            )
            yield ask(text, *company.animals, day=company.day)
