"""What the rules say to everything that stands now, enclosure by enclosure, fetched together."""

from collections import defaultdict
from dataclasses import dataclass

from django.db.models import Q

from . import shelf
from .herd import Herd
from .models import Animal, Answer, Clutch, Enclosure, Locality, SourceGroup, Stay, Taxon
from .placement import Placement, objections
from .presence import presences
from .together import fetch, share


@dataclass(frozen=True, kw_only=True)
class Standing:
    """One objection against what stands in an enclosure, with the reason given to it, if any."""

    enclosure: Enclosure
    objection: object
    answer: Answer | None = None


def standing_in(enclosure, on):
    """Return what stands against the company of one enclosure on a day, answered or not."""
    stays, answers = fetch(
        _stays(on).filter(enclosure=enclosure), _answers(on).filter(stay__enclosure=enclosure)
    )
    placement = Placement(day=on, enclosure=enclosure, stays_given=list(stays))
    return _told(enclosure, objections(placement), _by_message(answers))


def standing_everywhere(on):
    """Return what stands against the company of any enclosure on a day, answered or not."""
    there = defaultdict(list)
    for stay in stays_from(on):
        there[stay.enclosure].append(stay)
    herd, answers = herd_on(on), _by_message(answers_on(on))
    rooms = sorted(there.items(), key=lambda item: item[0].code)
    companies = ({s.animal for s in stays if s.animal_id} for _, stays in rooms)
    found = []
    for (enclosure, stays), some in zip(rooms, herd.parts(companies), strict=True):
        placement = Placement(day=on, enclosure=enclosure, herd_given=some, stays_given=stays)
        found += _told(enclosure, objections(placement), answers)
    return found


def met_in_each(movers, enclosures, on):
    """Return what stands against some animals in each of some enclosures from a day on."""
    stays = [s for s in _stays(on).filter(enclosure__in=enclosures) if s.animal not in movers]
    there = [[s for s in stays if s.enclosure_id == one.pk] for one in enclosures]
    companies = [{*movers, *(s.animal for s in some if s.animal_id)} for some in there]
    everybody = set().union(movers, *companies)
    presences({a.pk: a for a in everybody})  # kept for each company among them
    told = zip(enclosures, there, Herd(everybody).parts(companies), strict=True)
    return [
        (
            one,
            objections(
                Placement(day=on, enclosure=one, animals=movers, herd_given=herd, stays_given=some)
            ),
        )
        for one, some, herd in told
    ]


def stays_from(on):
    """Return the stays that had not ended before a day; a page fetches them once."""
    return shelf.kept(("stays", on), lambda: _stays_of_all(on))


def _stays_of_all(on):
    """Return the stays with all they name, each of which is one object for all of them."""
    stays = _from(on)
    mine = stays.order_by()
    animals = Animal.objects.filter(pk__in=mine.filter(animal__isnull=False).values("animal"))
    clutches = Clutch.objects.filter(pk__in=mine.filter(clutch__isnull=False).values("clutch"))
    enclosures = Enclosure.objects.select_related("unit")
    kinds = Taxon.objects.all(), Locality.objects.all(), SourceGroup.objects.all()
    fetch(stays, animals, clutches, enclosures, *kinds, answers_on(on))
    for name, others in zip(("taxon", "locality", "source_group"), kinds, strict=True):
        share(animals, name, others)
    share(clutches, "taxon", kinds[0])
    for name, others in (("animal", animals), ("clutch", clutches), ("enclosure", enclosures)):
        share(stays, name, others)
    return stays


def herd_on(on):
    """Return everybody who stays in an enclosure on a day or later, looked at together."""
    return shelf.kept(("herd", on), lambda: Herd({s.animal for s in stays_from(on) if s.animal_id}))


def _from(on):
    return Stay.objects.current().exclude(end__lt=on).order_by("start", "pk")


def _stays(on):
    return _from(on).select_related(
        "enclosure__unit",
        "animal__taxon",
        "animal__locality",
        "animal__source_group",
        "clutch__taxon",
    )


def answers_on(on):
    """Return the reasons given for whoever is in an enclosure on a day, as a question."""
    return shelf.kept(("answers", on), lambda: _answers(on))


def _answers(on):
    there = Q(stay__end__isnull=True) | Q(stay__end__gt=on)
    rows = Answer.objects.filter(there, stay__void=False)
    return rows.select_related("stay", "entered_by")


def _by_message(answers):
    standing = (a for a in answers if a.stay.superseded_at is None)
    return {(a.stay.enclosure_id, a.message): a for a in standing}


def _told(enclosure, found, answers):
    return [
        Standing(
            enclosure=enclosure,
            objection=objection,
            answer=answers.get((enclosure.pk, objection.message)),
        )
        for objection in found
    ]
