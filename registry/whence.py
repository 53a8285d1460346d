"""Where animals come from and where they were kept, as papers and the register print it."""

from .models import ArrivalMember, Holding, PaperKind, PartyKind, SourceCode, Stay
from .together import fetch

BRED = {SourceCode.CAPTIVE_BRED, SourceCode.CAPTIVE_BORN, SourceCode.REGISTERED}
BREEDERS = {PartyKind.KEEPER, PartyKind.INSTITUTION}


def country_of(animal, arrival):
    """Return the country of origin, "" where the register does not know it.

    Bred animals originate where they were bred, all others where they or their founders were
    taken. Of animals bred elsewhere the register knows it only where they came from a breeder.
    """
    if animal.clutch_id:
        return _bred_here(animal)
    if animal.source_code in BRED:
        return _bred_at(arrival or arrival_of(animal))
    return collected_in(animal.locality)


def _bred_here(animal):
    return animal.clutch.enclosure.unit.holding.party.country


def _bred_at(arrival):
    if arrival is None or arrival.supplier is None or arrival.supplier.kind not in BREEDERS:
        return ""
    return arrival.supplier.country or arrival.country


def collected_in(locality):
    """Return the country of a collecting place, or the countries of the parts of a mixed one."""
    if locality is None:
        return ""
    return ", ".join(sorted({place.country for place in locality.sites()} - {""}))


def arrival_of(animal):
    """Return the arrival by which an animal first came, or None."""
    member = members_of([animal]).first()
    return member.arrival if member else None


def members_of(animals):
    """Return the arrivals of some animals that stand, the first first, with their suppliers."""
    rows = ArrivalMember.objects.filter(
        animal__in=animals, arrival__void=False, arrival__superseded_at__isnull=True
    )
    return rows.select_related("arrival__supplier", "arrival__holding__party").order_by(
        "arrival__day", "arrival_id"
    )


def permits_of(arrival):
    """Return the numbers of the import permits that came with an arrival."""
    papers = arrival.papers.current().filter(kind=PaperKind.PERMIT).exclude(number="")
    return ", ".join(papers.order_by("pk").values_list("number", flat=True))


def holdings_on(animals, day):
    """Return the holding each animal was at on a day, by key: where it came to, or stayed since."""
    keys = [a.pk for a in animals]
    arrivals = members_of(keys).filter(arrival__day__lte=day)
    stays = Stay.objects.current().filter(animal__in=keys, start__lte=day).order_by("start", "pk")
    fetch(stays := stays.select_related("enclosure__unit__holding__party"), arrivals)
    been = [((s.start, _outlasts(s)), s.animal_id, s.enclosure.unit.holding) for s in stays]
    been += [((m.arrival.day, 0), m.animal_id, m.arrival.holding) for m in arrivals]
    found = {key: holding for _, key, holding in sorted(been, key=lambda one: one[0])}
    for animal in animals:
        if animal.pk not in found:
            found[animal.pk] = _born_at(animal, day)
    return found


def _outlasts(stay):
    """Put a stay that ended on its first day before an arrival of that day, others after it."""
    return -1 if stay.end == stay.start else 1


def _born_at(animal, day):
    if animal.clutch_id:
        return holding_of_clutch(animal.clutch, day)
    return Holding.objects.order_by("pk").first()


def holding_of_clutch(clutch, day):
    """Return the holding a clutch was at on a day, else the one in which it was found."""
    return holding_among(stays_of_clutches([clutch.pk]), clutch, day)


def holding_among(stays, clutch, day):
    """Return the same out of the stays of several clutches, as `stays_of_clutches` gives them."""
    begun = [s for s in stays if s.clutch_id == clutch.pk and s.start <= day]
    return (begun[-1] if begun else clutch).enclosure.unit.holding


def stays_of_clutches(keys):
    """Return the stays of clutches, by key, with their premises, as they followed each other."""
    rows = Stay.objects.current().filter(clutch__in=keys).order_by("start", "pk")
    return rows.select_related("enclosure__unit__holding__party")
