"""The register's rows about some animals as the dated facts contacts and standings follow from."""

from dataclasses import dataclass, replace
from functools import cached_property

from registry import shelf
from registry.models import Animal, Clutch
from registry.telling import tell

from . import ledger_rows as rows
from .facts import Facts, known_on, true_on
from .opened import opened
from .reach import Reach, Whole
from .standing import standings
from .whereabouts import PERSISTENCE, whereabouts

SMALL = 20_000  # stays up to which a register is looked at whole


def who(animal_or_clutch):
    """Return the name by which the facts call an animal or a clutch, unique over both."""
    code = animal_or_clutch.code
    return f"clutch:{code}" if isinstance(animal_or_clutch, Clutch) else code


def named(key):
    """Return what people call somebody the facts name."""
    if key.startswith("clutch:"):
        return tell("clutch {code}", code=key.removeprefix("clutch:"))
    return key


@dataclass(frozen=True, kw_only=True)
class Ledger:
    """Facts of everyone who can bear on some animals on a day, with what follows from them."""

    on: object
    facts: Facts
    persistence: int = PERSISTENCE

    @cached_property
    def true(self):
        """What was true on the day, as known today."""
        return true_on(self.facts, self.on)

    @cached_property
    def known(self):
        """What was known on the day."""
        return known_on(self.facts, self.on)

    @cached_property
    def standings(self):
        """Who is held on the day, as known today."""
        return standings(self.true, self.persistence)

    @cached_property
    def standings_known(self):
        """Who was known to be held on the day."""
        return standings(self.known, self.persistence)

    @cached_property
    def where(self):
        """Who was where up to the day, as known today."""
        return whereabouts(self.true, self.persistence)


def ledger(animals, on, *, clutches=(), enclosures=(), since=None):
    """Return the facts on which the standing of animals and clutches rests, up to a day.

    `since` is the first day asked about; what each one was before its last clearance does not
    matter. Enclosures are named where what was left in them counts. While a page is made, a
    register that is small enough is fetched whole, and once.
    """
    if whole := shelf.kept("whole", _whole):
        return shelf.kept(("ledger", on), lambda: _ledger(*whole, on))
    reach = Reach(on, opened().persistence)
    for animal in animals:
        reach.want(Animal, animal.pk, since or on, on)
    for clutch in clutches:
        reach.want(Clutch, clutch.pk, since or on, on)
    for enclosure in enclosures:
        reach.want("enclosures", enclosure.pk, since or on, on)
    return _ledger(*facts_of(reach.follow()), on)


def _whole():
    """Return the facts of the whole register, None where it is large or no page is made."""
    if not shelf.is_open() or opened().stays > SMALL:
        return None
    return facts_of(Whole())


def _ledger(facts, missing, on):
    deaths = facts.deaths + tuple(rows.lost(missing, on))
    return Ledger(on=on, facts=replace(facts, deaths=deaths), persistence=opened().persistence)


def facts_of(reach):
    """Return the facts about everyone reached, and the entries about those missing."""
    codes = rows.codes_of(reach)
    facts = Facts(
        stays=tuple(rows.stays(reach, codes)),
        stations=tuple(rows.stations(codes)),
        disinfections=tuple(rows.disinfections(reach, codes)),
        transfers=tuple(rows.transfers(reach, codes)),
        arrivals=tuple(rows.arrivals(reach, codes)),
        departures=tuple(rows.departures(reach, codes)),
        perhaps_left=tuple(rows.perhaps_left(reach, codes)),
        deaths=tuple(rows.deaths(reach, codes)),
        layings=tuple(rows.layings(reach, codes)),
        births=tuple(rows.births(reach, codes)),
        batches=tuple(rows.batches(reach, codes)),
        memberships=tuple(rows.memberships(reach, codes)),
        clearances=tuple(rows.clearances(reach, codes)),
        hand_holds=tuple(rows.hand_holds(reach, codes)),
        positives=tuple(rows.positives(reach, codes)),
    )
    return facts, rows.missing(reach, codes)
