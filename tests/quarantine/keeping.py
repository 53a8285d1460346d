"""A small room kept at random: every act goes through the door a page would use."""

from datetime import datetime, time, timedelta

from django.utils import timezone

from quarantine import clearing, examining, holding, isolating, receiving, reporting, rounds
from quarantine import models as q
from quarantine.amending import amend, take_back
from quarantine.refusals import ActRefused
from quarantine.wording import begin, line_of
from registry import (
    amending,
    arriving,
    correcting,
    departing,
    laying,
    missing,
    one_of_these,
    tending,
)
from registry import models as m
from registry.lifetime import NotOnThatDay
from registry.models.facts import AlreadyReplaced
from registry.objections import ReasonsMissing, Refused, Stopped
from registry.pairing import AlreadyPaired, Match, join_match
from registry.placement import Happened, Placement, place
from registry.separating import Separation, SeparationRefused, take_out
from registry.unsettled import AmongRefused
from tests import make
from tests.quarantine.lives import on
from tests.quarantine.reckoning import PERSISTENCE

REFUSALS = (
    ActRefused,
    AlreadyPaired,
    AlreadyReplaced,
    AmongRefused,
    NotOnThatDay,
    Refused,
    SeparationRefused,
    laying.CountRefused,
    missing.AlreadyMissing,
)
RIGHTS = (
    "quarantine.sign_clearance",
    "quarantine.override_clearance",
    "quarantine.hold_by_hand",
)
ANYWAY = Happened(why="nobody looked", who="the help")
BEGAN, NOW = 1, 16  # the residents came on day 1, the tests begin on day 16


class Keeping:
    """A room with residents, a rack for newcomers, a quick protocol, and a clock that is turned."""

    def __init__(self):
        self.today, self.ticks, self.count = NOW, 0, 0
        self.by = make.user(rights=RIGHTS)
        self.supplier, self.holding = make.party(), make.holding()
        self.taxon = make.taxon(grouping="group", leave_days=None)
        self.locality = make.locality(taxon=self.taxon)
        room, rack = make.unit("Room"), make.unit("Rack", role="quarantine")
        for code, unit in (("E1", room), ("E2", room), ("E3", room), ("Q1", rack), ("Q2", rack)):
            make.enclosure(code, unit=unit)
        self.version = quick_protocol()
        self.bd = q.Assay.objects.get(code="bd-pcr")
        for place_ in ("E1", "E1", "E2"):
            self.resident(place_)

    def resident(self, place_):
        """Somebody that was here when the register began, and is cleared since."""
        coming = self.coming(1, BEGAN, kind="opening")
        at = self.moment(BEGAN)
        animals = tuple(arriving.register_arrival(coming, by=self.by, at=at).animals.all())
        grounds = {"grounds": "here for years", "at": at}
        clearing.clear_opening_stock(animals, on(BEGAN), by=self.by, **grounds)
        into = Placement(day=on(BEGAN), enclosure=self.place(place_), animals=animals)
        self.answered(lambda reasons, breach: place(into, by=self.by, reasons=reasons, at=at))

    def moment(self, day=None):
        """Return the moment of the next entry; entries of one day follow one another."""
        self.ticks += 1
        noon = datetime.combine(on(day or self.today), time(6)) + timedelta(seconds=self.ticks)
        return timezone.make_aware(noon)

    def code(self, prefix):
        """Return a code not used before."""
        self.count += 1
        return f"{prefix}{self.count:02}"

    def place(self, code):
        """Return an enclosure."""
        return m.Enclosure.objects.select_related("unit").get(code=code)

    def answered(self, act, breach=None):
        """Do an act, answering what it asks; what is stopped happens anyway where breached."""
        try:
            return act({}, None)
        except ReasonsMissing as missing:
            return act({o.key: "it has to be" for o in missing.objections if o.is_ask}, None)
        except Stopped:
            if breach is None:
                raise
            return act({}, breach)

    # What may happen. Days are numbers.

    def coming(self, count, day, kind="purchase"):
        """Return what is told of newcomers."""
        return arriving.Coming(
            day=on(day),
            kind=kind,
            holding=self.holding,
            supplier=self.supplier,
            taxon=self.taxon,
            locality=self.locality,
            source_code="W",
            told=arriving.Told(belief="wild"),
            newcomers=tuple(arriving.Newcomer(code=self.code("A")) for _ in range(count)),
        )

    def apart(self, place_, batch, opens):
        """Return where those that come wait."""
        return receiving.Apart(
            name=self.code("Batch "),
            version=self.version if opens and batch is None else None,
            batch=batch,
            enclosures=(self.place(place_),) if place_ else (),
        )

    def arrive(self, count, day, apart, breach):
        """Newcomers come."""
        coming, told = self.coming(count, day), {"by": self.by, "at": self.moment()}
        receiving.receive(coming, apart, reason="so it was", breach=breach, **told)

    def come_back(self, animal, day, apart, breach):
        """One that left is here again."""
        back = arriving.Return(
            day=on(day),
            kind="return",
            supplier=self.supplier,
            holding=self.holding,
            animals=(animal,),
        )
        told = {"by": self.by, "at": self.moment()}
        receiving.receive_again(back, apart, reason="so it was", breach=breach, **told)

    def move(self, animals, clutches, place_, day, until, breach):
        """Some are moved, for good or for a time."""
        placement = Placement(
            day=on(day),
            enclosure=self.place(place_),
            animals=animals,
            clutches=clutches,
            until=until and on(until),
        )
        told = {"by": self.by, "at": self.moment()}
        self.answered(lambda r, b: place(placement, reasons=r, breach=b, **told), breach)

    def pair(self, first, second, place_, day, breach):
        """Two are joined."""
        match, told = Match(day=on(day), first=first, second=second), {"at": self.moment()}
        told |= {"by": self.by}
        into = self.place(place_)
        self.answered(lambda r, b: join_match(match, into, reasons=r, breach=b, **told), breach)

    def lay(self, found_in, into, day, breach):
        """A clutch is found."""
        clutch = m.Clutch(
            code=self.code("K"),
            taxon=self.taxon,
            enclosure=self.place(found_in),
            found_on=on(day),
            laid=on(day),
        )
        told = {"into": self.place(into), "by": self.by, "at": self.moment()}

        def enter(reasons, happened):
            clutch.pk, clutch._state.adding = None, True
            laying.enter_clutch(clutch, reasons=reasons, breach=happened, **told)

        self.answered(enter, breach)

    def take_out(self, clutch, place_, day, breach):
        """One young leaves its clutch."""
        separation = Separation(
            clutch=clutch,
            day=on(day),
            codes=(self.code("Y"),),
            enclosure=self.place(place_),
            locality=self.locality,
        )
        told = {"by": self.by, "at": self.moment()}
        self.answered(lambda r, b: take_out(separation, reasons=r, breach=b, **told), breach)

    def end_clutch(self, clutch, day):
        """Nothing is left of a clutch."""
        laying.end_clutch(clutch, on(day), self.by, at=self.moment())

    def leave(self, animal, day, kind):
        """One dies or goes."""
        receiver = None if kind == "death" else self.supplier
        told = {"by": self.by, "at": self.moment()}
        self.answered(
            lambda r, b: departing.depart(animal, on(day), kind, receiver, reasons=r, **told)
        )

    def one_of(self, place_, day, what):
        """One of those in an enclosure dies or goes, nobody knows which."""
        stays = m.Stay.objects.current().running(on(day)).filter(enclosure=self.place(place_))
        among = one_of_these.Among(
            enclosure=self.place(place_),
            what=what,
            day=on(day),
            animals=tuple(s.animal for s in stays.select_related("animal__taxon") if s.animal_id),
            receiver=None if what == "death" else self.supplier,
        )
        told, door = {"by": self.by, "at": self.moment()}, one_of_these.enter_one_of_these
        self.answered(lambda r, b: door(among, reasons=r, **told))

    def settle(self, event, which):
        """It was this one; what it was settled on before is taken back."""
        among = event.among()
        animal, told = among[which % len(among)], {"by": self.by, "at": self.moment()}
        door = one_of_these.settle_on
        if event.settlement():
            door, told = one_of_these.settle_otherwise, told | {"why": "another animal"}
        self.answered(lambda r, b: door(event, animal, reasons=r, **told))

    def correct_move(self, stay, place_, day, breach):
        """A move was on another day, or to another enclosure."""
        told = {"by": self.by, "why": "misread", "at": self.moment(), "day": on(day)}
        told |= {"enclosure": self.place(place_)}
        self.answered(lambda r, b: amending.correct_move(stay, reasons=r, breach=b, **told), breach)

    def take_back(self, stay, breach):
        """A move never was."""
        told = {"by": self.by, "why": "another animal", "at": self.moment()}
        self.answered(lambda r, b: amending.take_back(stay, reasons=r, breach=b, **told), breach)

    def correct_departure(self, departure, day, breach):
        """One left on another day."""
        told = {"by": self.by, "why": "misread", "at": self.moment()}
        door, changes = amending.correct_departure, {"day": on(day)}
        self.answered(lambda r, b: door(departure, changes, reasons=r, breach=b, **told), breach)

    def take_back_departure(self, departure, breach):
        """One never left."""
        told = {"by": self.by, "why": "another animal", "at": self.moment()}
        door = amending.take_back_departure
        self.answered(lambda r, b: door(departure, reasons=r, breach=b, **told), breach)

    def sample(self, isolation, day):
        """Everyone living in a batch is swabbed."""
        animals = tuple(isolating.living_in(isolation, on(day)))
        taken = rounds.Round(day=on(day), assays=(self.bd,), singly=animals)
        rounds.enter_round(taken, by=self.by, at=self.moment())

    def sample_place(self, place_, day):
        """Somebody swabs an enclosure."""
        taken = rounds.Round(day=on(day), assays=(self.bd,), enclosures=(self.place(place_),))
        rounds.enter_round(taken, by=self.by, at=self.moment())

    def report(self, sample, day, outcome):
        """The laboratory reports."""
        reporting.report(sample, on(day), outcome, by=self.by, at=self.moment())

    def correct_result(self, result, day, outcome):
        """The laboratory corrects itself."""
        told = {"by": self.by, "why": "laboratory corrects", "at": self.moment()}
        reporting.correct_result(result, on(day), outcome, **told)

    def decide(self, result, verdict):
        """Somebody decides what a positive means."""
        told = {"by": self.by, "why": "the veterinarian says so", "at": self.moment()}
        reporting.decide(result, verdict, **told)

    def examine(self, death, day):
        """A carcass was examined and the death explained."""
        finding = examining.Finding(day=on(day), cause="trauma", accepted=True)
        examining.enter_necropsy(death, finding, by=self.by, at=self.moment())

    def sign(self, isolation, day):
        """A batch is released."""
        clearing.sign_clearance(isolation, on(day), by=self.by, at=self.moment())

    def override(self, isolation, day):
        """A veterinarian releases a batch."""
        told = {"veterinarian": "a veterinarian", "grounds": "seen", "at": self.moment()}
        clearing.override(isolation, on(day), by=self.by, **told)

    def isolate(self, animals, day):
        """An isolation is opened."""
        opening = isolating.Opening(
            name=self.code("Batch "),
            kind="incoming",
            version=self.version,
            day=on(day),
            animals=animals,
        )
        isolating.open_isolation(opening, by=self.by, at=self.moment())

    def join(self, isolation, animals, day):
        """Some join a batch."""
        isolating.join(isolation, animals, on(day), by=self.by, at=self.moment())

    def split(self, isolation, animals, day):
        """Some are parted off."""
        name, told = self.code("Part "), {"by": self.by, "at": self.moment()}
        isolating.split(isolation, animals, on(day), name, **told)

    def move_batch(self, isolation, place_, day, breach):
        """A whole batch is moved."""
        told = {"by": self.by, "reason": "so it was", "breach": breach, "at": self.moment()}
        isolating.move_batch(isolation, (self.place(place_),), on(day), **told)

    def disinfect(self, place_, day):
        """An enclosure is disinfected."""
        tending.disinfect(self.place(place_), on(day), self.by, at=self.moment())

    def withdraw(self, fact):
        """Something entered never was."""
        correcting.withdraw(fact, by=self.by, why="misread", at=self.moment())

    def unsay(self, fact):
        """Something entered in quarantine never was."""
        take_back(fact, by=self.by, why="misread", at=self.moment())

    def redate_arrival(self, arrival, day):
        """Some came on another day."""
        amend(arrival, {"day": on(day)}, by=self.by, why="misread", at=self.moment())

    def miss(self, animal, day):
        """One is not found."""
        missing.miss(animal, on(day), self.by, at=self.moment())

    def find(self, entry, place_, day):
        """One is found again."""
        missing.find_again(entry, on(day), self.place(place_), self.by, at=self.moment())

    def carry(self, source, target, day):
        """Things go from one enclosure into another."""
        places = {"source": self.place(source), "target": self.place(target)}
        carrying = tending.Carrying(day=on(day), what="moss", **places)
        tending.carry(carrying, self.by, at=self.moment())

    def hold(self, thing, day):
        """Somebody holds an animal, an enclosure or a unit."""
        holding.hold(thing, "looks ill", on(day), by=self.by, at=self.moment())

    def end_hold(self, held, day):
        """A hold is lifted."""
        holding.end_hold(held, on(day), by=self.by, at=self.moment())


def quick_protocol():
    """Return a protocol of three days and one swab; those that are shipped are retired."""
    q.Protocol.objects.update(retired=True)
    bd = q.Assay.objects.get(code="bd-pcr")
    from quarantine.protocols import Test

    line = line_of(bd, Test(assay="bd-pcr", negatives=1))
    rules = {"min_days": 3, "laboratory_days": 1, "washout_days": 1}
    return begin("quick", [line], persistence_days=PERSISTENCE, **rules)
