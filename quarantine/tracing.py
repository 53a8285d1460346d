"""Traces from an animal or an enclosure: whom it can have reached, and who can have reached it."""

from dataclasses import dataclass
from datetime import date

from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from registry.charts import trace as drawn
from registry.charts.pedigree import Animal as DrawnAnimal
from registry.herd import sexings_of
from registry.models import Animal, Enclosure, Sexing, Stay
from registry.phrases import written
from registry.picturing import sex_signs
from registry.telling import tell

from .contacts import unit_contacts
from .held import standings
from .ledger import ledger, named
from .models import Outcome, Result
from .onward import onward
from .opened import opened
from .traces import backward, forward, forward_from_enclosure, trace_start

BACK = 90  # days a trace looks back at most
WAYS = {
    "direct": drawn.Way.DIRECT,
    "born": drawn.Way.DIRECT,
    "through": drawn.Way.ENCLOSURE,
    "enclosure": drawn.Way.ENCLOSURE,
    "things": drawn.Way.THINGS,
}
HOW = {
    "direct": _("{giver} to {taker}, together in {enclosure}, {day}"),
    "through": _("{giver} to {taker}, through {enclosure}, {day}"),
    "things": _("{giver} to {taker}, by things moved to {enclosure}, {day}"),
    "born": _("{giver} to {taker}, born from it, {day}"),
    "enclosure": _("{taker} stayed in {enclosure} on {day}"),
}


@dataclass(frozen=True, kw_only=True)
class Asked:
    """Where a trace starts, the day it is asked for, and which way it goes."""

    animal: Animal | None = None
    enclosure: Enclosure | None = None
    start: date
    until: date
    back: bool = False

    @property
    def source(self):
        """What the trace starts from."""
        return self.animal or self.enclosure


@dataclass(frozen=True, kw_only=True)
class Traced:
    """A trace with the animals it names, by code, and what each of them is on its last day."""

    asked: Asked
    trace: object
    animals: dict
    standings: dict
    in_unit: tuple

    @property
    def lines(self):
        """Return each one reached: its name, animal, standing, first day and chain in words."""
        return [self._line(reached) for reached in self.trace.reached]

    def _line(self, reached):
        animal = self.animals.get(reached.who)
        return {
            "name": named(reached.who),
            "animal": animal,
            "standing": self.standings.get(animal.pk) if animal else None,
            "day": reached.day,
            "chain": [link_words(link) for link in reached.chain],
        }


def link_words(link):
    """Say one step of a chain."""
    told = {"giver": named(link.giver), "taker": named(link.taker), "enclosure": link.enclosure}
    return tell(HOW[link.how], day=written(link.day), **told)


def trace(asked):
    """Return the trace that is asked for, on what is known today."""
    book = _book(asked)
    if asked.enclosure:
        found = forward_from_enclosure(book.where, asked.enclosure.code, asked.start, asked.until)
    else:
        way = backward if asked.back else forward
        found = way(book.where, asked.animal.code, asked.start, asked.until)
    codes = {asked.source.code, *(r.who for r in found.reached)}
    codes |= {end for r in found.reached for link in r.chain for end in (link.giver, link.taker)}
    rows = {a.code: a for a in Animal.objects.filter(code__in=codes).select_related("locality")}
    return Traced(
        asked=asked,
        trace=found,
        animals=rows,
        standings=standings(rows.values(), asked.until),
        in_unit=tuple(_in_unit(book, asked)),
    )


def _book(asked):
    """Return the facts of everyone the trace may reach, and of the units it passes through."""
    given = [asked.animal] if asked.animal else []
    places = [asked.enclosure] if asked.enclosure else list(_racks(asked))
    animals = onward(given, asked.start, asked.until, places if asked.enclosure else ())
    return ledger([*given, *animals], asked.until, enclosures=places, since=asked.start)


def _racks(asked):
    """Return the enclosures of every unit the animal stayed in."""
    stays = Stay.objects.current().filter(animal=asked.animal, start__lte=asked.until)
    units = stays.exclude(end__lt=asked.start).values("enclosure__unit")
    return Enclosure.objects.filter(unit__in=units)


def _in_unit(book, asked):
    """Yield the weaker contacts of the animal, those of the same days and unit together."""
    alike = {}
    if asked.animal:
        for one in unit_contacts(book.where, asked.animal.code, asked.start, asked.until):
            alike.setdefault((one.unit, one.first, one.last), []).append(named(one.other))
    units = opened().units
    for (unit, first, last), others in alike.items():
        yield {"unit": units.get(unit, ""), "first": first, "last": last, "others": others}


def start_of(animal, day):
    """Return the day a trace from an animal starts: the day after its last negative, or 90 back."""
    rows = Result.objects.current().filter(outcome=Outcome.NEGATIVE, sample__day__lt=day)
    rows = rows.filter(sample__animals=animal) if animal else rows.none()
    last = rows.select_related("sample").order_by("-sample__day").first()
    return trace_start(day, last.sample.day if last else None, back=BACK)


def picture_of(traced):
    """Return the trace as it is drawn, or None where nobody is reached."""
    links = {link for r in traced.trace.reached for link in r.chain}
    if not links:
        return None
    ends = {end for link in links for end in (link.giver, link.taker)} | {traced.trace.source}
    steps = [_step(link) for link in sorted(links, key=lambda x: (x.day, x.giver, x.taker))]
    sexings = sexings_of([animal.pk for animal in traced.animals.values()])
    return drawn.Trace(
        animals=tuple(_drawn(code, traced, sexings) for code in sorted(ends)),
        steps=tuple(steps),
        start=(traced.trace.source,),
    )


def _step(link):
    place = tell("born from it") if link.how == "born" else link.enclosure
    day = written(link.day)
    return drawn.Step(
        source=link.giver, target=link.taker, day=day, way=WAYS[link.how], place=place
    )


def _drawn(code, traced, sexings):
    animal = traced.animals.get(code)
    if animal is None:
        return DrawnAnimal(key=code, code=named(code))
    standing = traced.standings.get(animal.pk)
    return DrawnAnimal(
        key=code,
        code=code,
        locality=str(animal.locality or ""),
        notes=(standing.state,) if standing else (tell("not here"),),
        href=reverse("animal-show", args=[animal.pk]),
        **sex_signs(sexings.get(animal.pk, Sexing())),
    )
