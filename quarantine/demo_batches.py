"""The demo story's acts of quarantine: arrivals, swabs, results, courses, clearances."""

from registry import arriving, transferring
from registry import models as m

from . import clearing, examining, isolating, receiving, reporting, rounds, treating
from .models import Assay, Isolation, Protocol, Sample


def _version(name):
    return Protocol.objects.get(name=name).newest() if name else None


def _apart(teller, into, batch, protocol):
    enclosures = tuple(teller.enclosure(code) for code in into)
    return receiving.Apart(name=batch, version=_version(protocol), enclosures=enclosures)


def arrive(teller, day, at, *, kind, taxon, locality, origin, belief, supplier, codes, into,
           arrived=None, sires=None, dams=None, sexes=None, batch="", protocol="", papers=(),
           route="", country="", born=None, reason="As the story goes."):  # fmt: skip
    """Animals come together, with papers, and wait apart."""
    species = m.Taxon.objects.get(name=taxon)
    coming = arriving.Coming(
        day=teller.day(arrived) if arrived else day,
        kind=kind,
        holding=teller.holding,
        supplier=teller.party(supplier),
        taxon=species,
        locality=m.Locality.objects.get(taxon=species, name=locality),
        source_code=origin,
        born=teller.day(born) if born else None,
        born_precision="about" if born else "unknown",
        told=arriving.Told(belief=belief, sires=sires, dams=dams),
        newcomers=tuple(
            arriving.Newcomer(code=code, sex=(sexes or {}).get(code, "")) for code in codes
        ),
        papers=tuple(
            arriving.PaperGiven(**told | {"day": teller.day(told["day"])}) for told in papers
        ),
        route=route,
        country=country,
    )
    apart = _apart(teller, into, batch, protocol)
    receiving.receive(coming, apart, by=teller.by, reason=reason, at=at)


def come_back(teller, day, at, *, codes, kind, supplier, into, batch, protocol, route=""):
    """Animals on record come again, and are held anew."""
    back = arriving.Return(
        day=day,
        kind=kind,
        supplier=teller.party(supplier),
        holding=teller.holding,
        animals=teller.animals(codes),
        route=route,
    )
    apart = _apart(teller, into, batch, protocol)
    receiving.receive_again(back, apart, by=teller.by, at=at)


def go_between(teller, day, at, *, codes, kind, premises, into, batch, protocol, due_back=None):
    """Animals go to other premises of this register, and are held there."""
    move = transferring.Transfer(
        day=day,
        kind=kind,
        animals=teller.animals(codes),
        holding=m.Holding.objects.select_related("party").get(name=premises),
        due_back=None if due_back is None else teller.day(due_back),
    )
    apart = _apart(teller, into, batch, protocol)
    receiving.receive_between(move, apart, by=teller.by, at=at)


def clear_opening(teller, day, at, *, grounds):
    """The animals that were here before the register began are cleared by one signed act."""
    stock = m.Animal.objects.filter(arrivals__kind="opening").select_related("taxon")
    clearing.clear_opening_stock(list(stock), day, by=teller.by, grounds=grounds, at=at)


def clear(teller, day, at, *, batch):
    """A batch is signed out."""
    isolation = Isolation.objects.current().get(name=batch)
    clearing.sign_clearance(isolation, day, by=teller.by, at=at)


def swab(teller, day, at, *, name, assay, batch=None, enclosure=None):
    """A round of samples: everyone living in a batch, or an enclosure."""
    animals = ()
    if batch:
        isolation = Isolation.objects.current().get(name=batch)
        animals = tuple(isolating.living_in(isolation, day))
    taken = rounds.Round(
        day=day,
        assays=(Assay.objects.get(code=assay),),
        singly=animals,
        enclosures=(teller.enclosure(enclosure),) if enclosure else (),
        laboratory=m.Party.objects.filter(kind="laboratory").first(),
        label=name,
    )
    teller.samples[name] = rounds.enter_round(taken, by=teller.by, at=at)


def result(teller, day, at, *, of, outcome, verdict="", only=None, note=""):
    """The laboratory reports a round; `only` is the one animal with that outcome."""
    for sample in Sample.objects.filter(pk__in=[s.pk for s in teller.samples[of]]):
        hit = only is None or sample.animals.filter(code=only).exists()
        told = {"verdict": verdict, "note": note} if hit else {}
        said = outcome if hit else "negative"
        reporting.report(sample, day, said, by=teller.by, at=at, **told)


def treat(teller, day, at, *, batch, against, what, planned_last, last):
    """A course is given, as prescribed."""
    treatment = treating.Treatment(
        what=what,
        day=day,
        assay=Assay.objects.get(code=against),
        planned_last=teller.day(planned_last),
        prescribed_by=m.Party.objects.filter(kind="veterinarian").first(),
    )
    isolation = Isolation.objects.current().get(name=batch)
    course = treating.begin_course(isolation, treatment, by=teller.by, at=at)
    treating.end_course(course, teller.day(last), by=teller.by, at=teller.moment(last))


def necropsy(teller, day, at, *, code, cause, accepted):
    """A carcass was examined."""
    death = m.Departure.objects.current().get(animal__code=code, kind="death")
    finding = examining.Finding(
        day=day,
        cause=cause,
        accepted=accepted,
        veterinarian=m.Party.objects.filter(kind="veterinarian").first(),
    )
    examining.enter_necropsy(death, finding, by=teller.by, at=at)
