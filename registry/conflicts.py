"""Everything now on record that cannot be true together; nothing is changed, all of it listed."""

from datetime import timedelta
from itertools import chain, product

from django.db.models import F, Q, prefetch_related_objects

from .contradictions import Contradiction, Evidence, LoopOfDescent, WrongSex, against
from .herd import findings_on
from .light import PLACE, Light
from .mixes import mixes_known
from .mixing_conflicts import of_mixes, of_mixes_about, young_and_clutches
from .models import Animal, ArrivalMember, Candidate, Descent, SexFinding, Stay, conclude
from .pedigree import Ancestry
from .phrases import dated, in_a_row, written
from .presence import comings_and_goings, presences_by
from .seldom import seldom
from .telling import tell
from .together import attach, fetch
from .unsettled import all_open, unmatched


class SexContradicted(Contradiction):
    """Two strong findings on one animal differ."""

    def __init__(self, animal, findings):
        told = in_a_row(
            f"{f.get_sex_display()} ({f.get_basis_display()}, {written(f.day)})" for f in findings
        )
        facts = [getattr(f, "descent", f) for f in findings]
        super().__init__(
            tell("{animal} was found {findings}.", animal=animal, findings=told),
            animals=[animal],
            facts=facts,
        )


class BeforeBirth(Contradiction):
    """Something is on record of an animal from before it was born."""

    def __init__(self, animal, fact, day):
        born = dated(animal.born, animal.born_precision)
        text = tell(
            "{animal} was born {born}; it is on record on {day}: {fact}.",
            animal=animal,
            born=born,
            day=written(day),
            fact=fact,
        )
        super().__init__(text, animals=[animal], facts=[fact])


class StayWhileAway(Contradiction):
    """A stay is on record from a time when the animal was not here."""

    def __init__(self, stay, problem):
        text = tell(
            "{problem} It is entered in {enclosure} from {start}.",
            problem=problem,
            enclosure=stay.enclosure,
            start=written(stay.start),
        )
        super().__init__(text, animals=[stay.animal], facts=[stay])


class LocalityDiffers(Contradiction):
    """An animal is recorded from another place than its parents can have given it."""

    def __init__(self, animal, descents):
        text = tell(
            "{animal} is recorded from {locality}, which its parents cannot have given.",
            animal=animal,
            locality=animal.locality,
        )
        super().__init__(text, animals=[animal], facts=descents)


class NobodyItCanBe(Contradiction):
    """One of several died, left or was heard, and by other entries it was none of them."""

    def __init__(self, one):
        text = tell(
            "{sentence} By what else is on record it can have been none of them.",
            sentence=one.sentence,
        )
        super().__init__(text, animals=one.among, facts=[one.event])


def conflicts():
    """Return every contradiction now on record, each once, by the animals it is about."""
    found, mixes = {}, mixes_known()
    out_of_time, of_mixed = (*_before_birth(), *_while_away()), young_and_clutches(mixes)
    light = Light(*out_of_time, *of_mixed)
    kinds = (
        _of_descent(light),
        _loops(light),
        _of_places(light),
        of_mixes(mixes, *of_mixed),
        _of_time(*out_of_time),
        _of_several(),
    )
    for contradiction in chain.from_iterable(kinds):
        found.setdefault(contradiction.sentence, contradiction)
    return sorted(found.values(), key=lambda c: [a.code for a in c.animals])


def conflicts_of(animal):
    """Return the contradictions that one animal has a part in."""
    rows = Descent.objects.current()
    about = Q(animal=animal) | Q(candidates__animal=animal) | Q(candidates__mate=animal)
    evidence = Evidence(detailed(rows.filter(about).distinct()))
    found = [c for d in evidence.descents for c in against(d, evidence)]
    found = [c for c in found if animal in c.animals or c.facts[0].animal == animal]
    found += _both_ways([animal], {c.facts[0] for c in found if isinstance(c, WrongSex)})
    found += _misplaced([animal] if animal.locality_id else [])
    found += _of_time(*fetch(*_before_birth(animal=animal), *_while_away(animal=animal)))
    if any(animal in event.animals.all() for event in seldom().events):
        found += (c for c in _of_several() if animal in c.animals)
    found += of_mixes_about(animal)
    return list({c.sentence: c for c in found}.values())


def detailed(descents):
    """Return statements with what the questions about them need."""
    rows = descents.select_related("animal__taxon", "animal__clutch__taxon", "clutch__taxon")
    named = Candidate.objects.filter(descent__in=descents.order_by().values("pk"))
    fetch(rows, named := named.select_related("animal__taxon", "mate__taxon"))
    attach(rows, "candidates", named)
    return list(rows)


def _of_descent(light):
    """Yield what speaks against the statements in force, and the sexes found both ways."""
    suspects = {row[0] for row in light.candidates if _suspect(row, light)}
    evidence = Evidence(detailed(Descent.objects.filter(pk__in=suspects)) if suspects else ())
    found = [c for descent in evidence.descents for c in against(descent, evidence)]
    yield from found
    explained = {c.facts[0] for c in found if isinstance(c, WrongSex)}
    both = light.strong["male"] & light.strong["female"]
    yield from _both_ways(Animal.objects.filter(pk__in=both) if both else (), explained)


def _suspect(row, light):
    """Whether a quick look finds something against a possible parent."""
    _, role, animal, mate, child, clutch, _ = row
    window, taxon = light.child(child, clutch)
    parents = [(animal, "female" if role == "dam" else "male")]
    if mate is not None:
        parents.append((mate, "female"))
    return any(
        parent == child or _against(parent, sex, window, taxon, light) for parent, sex in parents
    )


def _against(parent, sex, window, taxon, light):
    """Whether birth, death, taxon or sex speaks against a parent of what began in a window."""
    born, _, kind, *_ = light.animals[parent]
    own = light.taxa[kind]
    if kind != taxon or parent in light.strong["male" if sex == "female" else "female"]:
        return True
    if born and window.last and born + timedelta(days=own.mature_days) > window.last:
        return True
    died = light.deaths.get(parent)
    stored = timedelta(days=0 if sex == "female" else own.stored_sperm_days)
    return bool(died and window.first and died < window.first - stored)


def _both_ways(animals, explained):
    """Yield the animals found strongly male and strongly female, no one statement explaining it."""
    found = findings_on([a.pk for a in animals]) if animals else {}
    for animal in animals:
        strong = [f for f in found.get(animal.pk, ()) if f.is_strong]
        apart = [f for f in strong if getattr(f, "descent", None) not in explained]
        if conclude(apart).contradicted:
            yield SexContradicted(animal, sorted(apart, key=lambda f: f.day))


def _loops(light):
    """Yield the circles in the pedigree."""
    for ring in light.rings():
        animals = {a.pk: a for a in Animal.objects.filter(pk__in=ring)}
        told = (held for key in ring for held in light.holding(key).items())
        held = {statement for statement, parents in told if parents & set(ring)}
        facts = Descent.objects.filter(pk__in=held)
        yield LoopOfDescent([animals[key] for key in ring], facts=facts)


def _of_places(light):
    """Yield the animals recorded from a place that their parents cannot have given them."""
    moved = [key for key, row in light.animals.items() if row[PLACE] and _elsewhere(key, light)]
    rows = Animal.objects.filter(pk__in=moved).select_related("locality")
    yield from _misplaced(rows if moved else ())


def _misplaced(animals):
    """Yield those of these animals whose place no pair of their possible parents could give."""
    ancestry = Ancestry()
    ancestry.add(animals)
    told = [a for a in ancestry.animals.values() if ancestry.statements(a)]
    if not told:
        return
    prefetch_related_objects(told, "locality__parts")
    named = Animal.objects.filter(pk__in=ancestry.named()).select_related("locality")
    parents = {a.pk: a for a in named.prefetch_related("locality__parts")}
    for animal in told:
        given = [_given(stated, parents) for *_, stated in ancestry.families(animal)]
        if None not in given and _sites(animal) not in chain.from_iterable(given):
            yield LocalityDiffers(animal, ancestry.statements(animal))


def _elsewhere(key, light):
    """Whether some possible parent is recorded from another place."""
    place = light.animals[key][PLACE]
    parents = {p for keys in light.holding(key).values() for p in keys}
    return any(light.animals[p][PLACE] != place for p in parents)


def _given(stated, parents):
    """Return the sets of places that the stated parents may give, or None where any is possible."""
    if any(sum(c.weight for c in d.candidates.all()) < 1 - 1e-9 for d in stated.values()):
        return None
    if "pair" in stated:
        pairs = [(c.animal_id, c.mate_id) for c in stated["pair"].candidates.all()]
    elif {"sire", "dam"} <= stated.keys():
        sides = (stated[role].candidates.all() for role in ("sire", "dam"))
        pairs = product(*([c.animal_id for c in side] for side in sides))
    else:
        return None
    found = [[_sites(parents[key]) for key in pair] for pair in pairs]
    return None if any(None in two for two in found) else [one | other for one, other in found]


def _sites(animal):
    """Return the single places an animal's locality stands for; None where it is unknown."""
    return frozenset(s.pk for s in animal.locality.sites()) if animal.locality_id else None


def _before_birth(**whose):
    """Return questions for what is on record of animals from before they were born."""
    findings = SexFinding.objects.current().filter(day__lt=F("animal__born"), **whose)
    stays = Stay.objects.current().filter(start__lt=F("animal__born"), **whose)
    comings = ArrivalMember.objects.filter(arrival__day__lt=F("animal__born"), **whose)
    comings = comings.filter(arrival__void=False, arrival__superseded_at__isnull=True)
    return (
        findings.select_related("animal"),
        stays.select_related("animal", "enclosure"),
        comings.select_related("animal", "arrival"),
    )


def _while_away(**whose):
    """Return questions for the stays of a time when the animal may have died, left, or not come.

    With them go the days on which these animals came and went.
    """
    gone = Q(animal__departures__void=False, animal__departures__superseded_at__isnull=True)
    while_gone = gone & (Q(end__isnull=True) | Q(end__gt=F("animal__departures__day")))
    early = Q(start__lt=F("animal__comings__arrival__day"))
    rows = Stay.objects.current().filter(while_gone | early, **whose).distinct()
    animals = rows.order_by().values("animal")
    return rows.select_related("animal", "enclosure"), *comings_and_goings(animals)


def _of_time(findings, stays, comings, away, came, went):
    """Yield what is on record of a time before birth, or when an animal was not here."""
    told = chain(
        ((f.animal, f, f.day) for f in findings),
        ((s.animal, s, s.start) for s in stays),
        ((c.animal, c.arrival, c.arrival.day) for c in comings),
    )
    for animal, fact, day in told:
        if animal.earliest_birth and day < animal.earliest_birth:
            yield BeforeBirth(animal, fact, day)
    yield from _of_stays(away, came, went)


def _of_stays(stays, came, went):
    """Yield the stays entered for a time when the animal had died, left, or not come yet."""
    known = presences_by({s.animal_id: s.animal for s in stays}, came, went)
    for stay in stays:
        presence = known[stay.animal_id]
        if problem := presence.problem(stay.start) or _left_meanwhile(stay, presence):
            yield StayWhileAway(stay, problem)


def _left_meanwhile(stay, presence):
    """Say that an animal left during a stay, if it did."""
    left = [d for d, _ in presence.goings if d > stay.start and (not stay.end or d < stay.end)]
    return presence.problem(left[0]) if left else None


def _of_several():
    """Yield what happened to one of several and can have been none of them."""
    events = all_open()
    gone = unmatched([one for one in events if one.event.has_left])
    heard = [one for one in events if not one.event.has_left and not one.possible]
    yield from map(NobodyItCanBe, gone + heard)
