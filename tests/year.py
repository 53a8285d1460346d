"""A room kept for a year through the doors only, the same at every run.

Forty pairs of four taxa in sixty enclosures lay some 230 clutches; of 1,000 young 300 go to others.
There are findings, moves, losses, deaths, loans, a second premises, newcomers who wait, and entries
that were wrong and are put right. Fewer pairs make a smaller room of the same kind.
"""

from collections import Counter
from datetime import date, datetime, time, timedelta
from random import Random

from django.db.models import Exists, OuterRef
from django.utils import timezone

from quarantine import clearing, receiving
from quarantine.amending import amend
from quarantine.refusals import ActRefused
from registry import amending, arriving, correcting, departing, finding, laying, missing, observing
from registry import models as m
from registry.lifetime import NotOnThatDay
from registry.objections import ReasonsMissing, Refused
from registry.pairing import Match, join_match
from registry.placement import Placement, place
from registry.separating import Separation, SeparationRefused, take_out
from registry.tending import disinfect
from registry.transferring import Transfer
from tests import make

FIRST = date(2026, 1, 1)
DAYS = 365
SEED = 20260101
TAXA = ("Ranitomeya imitator", "Ranitomeya sirensis", "Oophaga pumilio", "Phyllobates vittatus")
WRONG = "Read off the wrong line."
WHY_LOST = ("mould", "not fertile", "dried out", "spindly legs", "never fed")
BACK = timedelta(days=1)
REFUSALS = (ActRefused, NotOnThatDay, Refused, SeparationRefused, laying.CountRefused,
            missing.AlreadyMissing)  # fmt: skip


class Year:
    """The room, its clock, and what is still to happen: acts by day, in the order they were set."""

    def __init__(self, seed=SEED, pairs=40, clutches=6, prefix=""):
        self.random, self.ticks, self.today = Random(seed), 0, FIRST
        self.pairs, self.clutches_each, self.prefix = pairs, clutches, prefix
        self.by = make.user(superuser=True)
        self.done, self.refused, self.agenda = Counter(), Counter(), {}
        self._furnish()

    def _furnish(self):
        """Two premises with their rooms, four taxa with a place each, and those dealt with."""
        p = self.prefix
        self.holding = make.holding("Lantern Row")
        self.shed = make.holding("Sallow Shed")
        room = make.unit(f"{p}Room", holding=self.holding)
        rack = make.unit(f"{p}Rack", role="quarantine", holding=self.holding)
        far = make.unit(f"{p}Shed rack", role="quarantine", holding=self.shed)
        self.homes = [make.enclosure(f"{p}P{n:02}", unit=room) for n in range(self.pairs)]
        self.rooms = {
            name: [make.enclosure(f"{p}G{t}{n}", unit=room, room_for=400) for n in range(4)]
            for t, name in enumerate(TAXA)
        }
        self.wards = [make.enclosure(f"{p}Q{n}", unit=rack) for n in range(4)]
        self.far = [make.enclosure(f"{p}S{n}", unit=far) for n in range(8)]
        self.taxa = {
            name: make.taxon(name, grouping="pair", mature_days=400, leave_days=None)
            for name in TAXA
        }
        self.places = {name: make.locality("Mill", self.taxa[name]) for name in TAXA}
        self.buyers = [make.party(f"{p}Buyer {n}") for n in range(6)]

    # Acts and their days.

    def moment(self):
        """Return the moment of the next entry; entries of one day follow one another."""
        self.ticks += 1
        noon = datetime.combine(self.today, time(6)) + timedelta(seconds=self.ticks % 40_000)
        return timezone.make_aware(noon)

    def then(self, days, act, *args):
        """Set an act for a number of days from today, within the year."""
        day = self.today + timedelta(days=days)
        if day < FIRST + timedelta(days=DAYS):
            self.agenda.setdefault(day, []).append((act, args))

    def told(self):
        """Return who enters it and when."""
        return {"by": self.by, "at": self.moment()}

    def answered(self, door, *args, **more):
        """Go through a door, answering what it asks."""
        try:
            return door(*args, **more, **self.told())
        except ReasonsMissing as asked:
            reasons = {o.key: "It has to be." for o in asked.objections if o.is_ask}
            return door(*args, reasons=reasons, **more, **self.told())

    def keep(self, days=DAYS):
        """Keep the room for its year, or for some days of it; return the year."""
        self._begin()
        for _ in range(days):
            for act, args in self.agenda.pop(self.today, ()):
                self._do(act, args)
            self.today += BACK
        self.today -= BACK
        return self

    def _do(self, act, args):
        try:
            self.done[act.__name__] += act(*args) is not None
        except REFUSALS:
            self.refused[act.__name__] += 1

    def some(self, rows, count):
        """Return some of what the register holds, by chance."""
        rows = list(rows)
        return tuple(self.random.sample(rows, min(count, len(rows))))

    def here(self, taxon=None, **more):
        """Return the young that live in the growing rooms."""
        stays = m.Stay.objects.current().running(self.today).filter(animal__clutch__isnull=False)
        stays = stays.filter(enclosure__code__startswith=f"{self.prefix}G", **more)
        if taxon:
            stays = stays.filter(animal__taxon__name=taxon)
        rows = stays.select_related("animal__taxon", "animal__clutch", "animal__locality")
        return [s.animal for s in rows.order_by("animal__code")]

    # What happens.

    def _begin(self):
        """Enter those that are here already, pair them, and set what the year brings."""
        for number, name in enumerate(TAXA):
            self._stock(name, self.homes[number :: len(TAXA)])
        for act, times in OFTEN.items():
            early = 120 if act in LATE else 10
            for _ in range(max(times * self.pairs // 40, 4)):
                self.then(self.random.randrange(early, DAYS), getattr(self, act.__name__))

    def _stock(self, name, homes):
        short = f"{self.prefix}{name[0]}{name.split()[1][:2].upper()}"
        codes = [f"{short}-{n:03}" for n in range(2 * len(homes))]
        coming = arriving.Coming(
            day=FIRST,
            kind="opening",
            holding=self.holding,
            supplier=None,
            taxon=self.taxa[name],
            locality=self.places[name],
            source_code="W",
            told=arriving.Told(belief="wild"),
            newcomers=tuple(arriving.Newcomer(code=code) for code in codes),
        )
        arrival = arriving.register_arrival(coming, **self.told())
        animals = list(arrival.animals.order_by("code").select_related("taxon", "locality"))
        clearing.clear_opening_stock(animals, FIRST, grounds="here for years", **self.told())
        for home, male, female in zip(homes, animals[::2], animals[1::2], strict=True):
            finding.find_sex(male, "male", "calling", FIRST, self.by, at=self.moment())
            finding.find_sex(female, "female", "laid", FIRST, self.by, at=self.moment())
            match = Match(day=FIRST, first=male, second=female)
            self.answered(join_match, match, home)
            for _ in range(self.clutches_each):
                self.then(self.random.randrange(2, 300), self.a_clutch, home, male, female)

    def a_clutch(self, home, male, female):
        """Eggs are found with a pair, and what becomes of them is set."""
        if m.Departure.objects.current().filter(animal__in=[male, female]).exists():
            return None
        eggs = self.random.randrange(4, 9)
        clutch = m.Clutch(
            code=laying.next_code(),
            taxon=male.taxon,
            enclosure=home,
            found_on=self.today,
            laid=self.today,
        )
        parents = [("sire", [(male, 1)], "seen"), ("dam", [(female, 1)], "seen")]
        what = {"into": home, "parents": parents, "count": eggs}
        self.answered(laying.enter_clutch, clutch, **what)
        self._sets(clutch, eggs)
        return clutch

    def _sets(self, clutch, eggs):
        left = eggs
        for days, stage in ((5, "fertile"), (16, "hatched"), (82, "metamorphosed")):
            fewer = left - (self.random.random() < 0.3)
            if fewer < left:
                self.then(days - 1, self.one_is_lost, clutch)
            left = fewer
            self.then(days, self.they_are_counted, clutch, stage, left)
        self.then(95, self.they_are_taken_out, clutch, left)

    def they_are_counted(self, clutch, stage, count):
        """So many have come to a stage."""
        return laying.count_stage(clutch, stage, self.today, count, self.by, at=self.moment())

    def one_is_lost(self, clutch):
        """One of a clutch dies."""
        reason = self.random.choice(WHY_LOST)
        return laying.lose(clutch, 1, reason, self.today, self.by, at=self.moment())

    def they_are_taken_out(self, clutch, count):
        """Young leave their clutch as animals, and nothing is left of it."""
        if not count:
            return None
        separation = Separation(
            clutch=clutch,
            day=self.today,
            codes=tuple(f"{clutch.code}-{n}" for n in range(1, count + 1)),
            enclosure=self.random.choice(self.rooms[clutch.taxon.name]),
            locality=self.places[clutch.taxon.name],
            born=self.today - timedelta(days=13),
        )
        young = self.answered(take_out, separation)
        laying.end_clutch(clutch, self.today, self.by, at=self.moment())
        return young

    def _leave(self, animals, kind, receiver=None):
        if not animals:
            return None
        leaving = departing.Leaving(
            day=self.today, animals=tuple(animals), kind=kind, receiver=receiver
        )
        return self.answered(departing.depart_together, leaving)

    def young_are_sold(self):
        """A few of one taxon go to somebody."""
        animals = self.some(self.here(self.random.choice(TAXA)), self.random.randrange(3, 8))
        kind = self.random.choice(["sale"] * 6 + ["gift", "exchange"])
        return self._leave(animals, kind, self.random.choice(self.buyers))

    def young_die(self):
        """One of those that grow up is found dead."""
        return self._leave(self.some(self.here(), 1), "death")

    def an_old_one_dies(self):
        """One of a pair dies, and is laid by no more."""
        stays = m.Stay.objects.current().running(self.today).filter(enclosure__in=self.homes)
        rows = stays.filter(animal__isnull=False).select_related("animal")
        return self._leave([s.animal for s in self.some(rows.order_by("pk"), 1)], "death")

    def young_are_moved(self):
        """Some go into another growing room of their taxon."""
        name = self.random.choice(TAXA)
        animals = self.some(self.here(name), self.random.randrange(1, 4))
        into = self.random.choice(self.rooms[name])
        if not animals:
            return None
        placement = Placement(day=self.today, enclosure=into, animals=animals)
        return self.answered(place, placement)

    def young_are_looked_at(self):
        """One looks like a male or a female."""
        for animal in self.some(self.here(), 1):
            sex = self.random.choice(["male", "female"])
            return finding.find_sex(animal, sex, "looks", self.today, self.by, at=self.moment())

    def one_is_weighed(self):
        """One is weighed."""
        for animal in self.some(self.here(), 1):
            told = {"grams": f"{self.random.random() + 0.2:.3f}", "at": self.moment()}
            return observing.observe(animal, "weight", self.today, self.by, **told)

    def one_is_cleaned(self):
        """An enclosure is disinfected."""
        place_ = self.random.choice(self.homes)
        return disinfect(place_, self.today, self.by, "steam", at=self.moment())

    def one_is_missed(self):
        """One is not found, and three days later it is."""
        for animal in self.some(self.here(), 1):
            entry = missing.miss(animal, self.today, self.by, at=self.moment())
            self.then(3, self.one_is_found, entry)
            return entry

    def one_is_found(self, entry):
        """It sat behind the bark, unless it was seen since and has left."""
        for stay in entry.animal.stays.current().running(self.today):
            return missing.find_again(entry, self.today, stay.enclosure, self.by, at=self.moment())

    # Others, near and far.

    def newcomers(self):
        """Two come from elsewhere, wait, and are released by a veterinarian."""
        name, number = self.random.choice(TAXA), self.ticks
        coming = arriving.Coming(
            day=self.today,
            kind="purchase",
            holding=self.holding,
            supplier=self.random.choice(self.buyers),
            taxon=self.taxa[name],
            locality=self.places[name],
            source_code="C",
            newcomers=tuple(arriving.Newcomer(code=f"{self.prefix}N{number}-{n}") for n in (1, 2)),
        )
        return receiving.receive(coming, self._apart(self.wards), reason="one box", **self.told())

    def _apart(self, wards):
        """Return a batch of their own, in the ward that has been empty longest."""
        from tests.quarantine import make as qmake

        used = m.Stay.objects.current().filter(enclosure__in=wards).values_list("enclosure")
        free = [one for one in wards if (one.pk,) not in set(used)]
        name = f"Batch {self.ticks}"
        return receiving.Apart(name=name, version=qmake.version(), enclosures=tuple(free[:1]))

    def one_is_lent(self):
        """One goes to somebody for some weeks, and is back in a ward."""
        for animal in self.some(self.here(), 1):
            buyer = self.random.choice(self.buyers)
            self.then(self.random.randrange(20, 60), self.it_is_back, animal, buyer)
            return self._leave([animal], "loan", buyer)

    def it_is_back(self, animal, buyer):
        """It comes back from its loan."""
        back = arriving.Return(
            day=self.today,
            kind="return",
            holding=self.holding,
            supplier=buyer,
            animals=(animal,),
        )
        how = {"reason": "back", **self.told()}
        return receiving.receive_again(back, self._apart(self.wards), **how)

    def some_go_to_the_shed(self):
        """Two of one taxon go to the other premises."""
        animals = self.some(self.here(self.random.choice(TAXA)), 2)
        kind = self.random.choice(["loan", "sale", "gift"])
        move = Transfer(day=self.today, kind=kind, animals=animals, holding=self.shed)
        apart = self._apart(self.far)
        if len(animals) < 2 or not apart.enclosures:
            return None
        return receiving.receive_between(move, apart, reason="room there", **self.told())

    # What was entered wrong.

    def _why(self):
        return {"why": WRONG, **self.told()}

    def a_move_is_corrected(self):
        """A move was a day later, or to another room."""
        before = m.Stay.objects.current().filter(animal=OuterRef("animal"), end=OuterRef("start"))
        rows = m.Stay.objects.current().filter(Exists(before), end=None, start__lt=self.today)
        rows = rows.filter(enclosure__code__startswith=f"{self.prefix}G").order_by("pk")
        for stay in self.some(rows.select_related("animal__taxon"), 1):
            into = self.random.choice(self.rooms[stay.animal.taxon.name])
            to = {"day": stay.start + BACK, "enclosure": into, "why": WRONG}
            return self.answered(amending.correct_move, stay, **to)

    def _gone(self):
        rows = m.Departure.objects.current().filter(arrived_as=None, day__lt=self.today)
        return rows.exclude(kind="loan").order_by("pk").select_related("animal", "receiver")

    def a_departure_is_corrected(self):
        """Somebody left a day later, or died."""
        for gone in self.some(self._gone(), 1):
            changes = {"day": gone.day + BACK}
            if self.random.random() < 0.3:
                changes = {"kind": "death", "receiver": None}
            return self.answered(amending.correct_departure, gone, changes, why=WRONG)

    def a_departure_never_was(self):
        """It was another one."""
        for gone in self.some(self._gone(), 1):
            self.answered(amending.take_back_departure, gone, why=WRONG)
            return gone

    def a_count_is_corrected(self):
        """One fewer, or one more, had hatched."""
        rows = m.StageCount.objects.current().filter(stage="hatched", count__gt=1)
        for counted in self.some(rows.order_by("pk").select_related("clutch"), 1):
            changes = {"count": counted.count + self.random.choice([-1, 1])}
            return correcting.correct(counted, changes, **self._why())

    def a_finding_never_was(self):
        """It looked like nothing."""
        rows = m.SexFinding.objects.current().filter(basis="looks").order_by("pk")
        for found in self.some(rows, 1):
            return correcting.withdraw(found, **self._why())

    def a_shed_move_was_earlier(self):
        """They went to the other premises the day before; both halves are put right."""
        rows = m.Arrival.objects.current().filter(holding=self.shed).order_by("pk")
        for arrival in self.some(rows, 1):
            changes = {"day": arrival.day - BACK}
            return amend(arrival, changes, reason="so it was", **self._why())


OFTEN = {
    Year.young_are_sold: 75, Year.young_die: 90, Year.young_are_moved: 60,
    Year.young_are_looked_at: 60, Year.one_is_weighed: 60, Year.newcomers: 4,
    Year.one_is_missed: 6, Year.one_is_lent: 6, Year.some_go_to_the_shed: 8,
    Year.an_old_one_dies: 5, Year.a_move_is_corrected: 12, Year.a_departure_is_corrected: 12,
    Year.a_departure_never_was: 6, Year.a_count_is_corrected: 12, Year.a_finding_never_was: 4,
    Year.a_shed_move_was_earlier: 4, Year.one_is_cleaned: 30,
}  # fmt: skip
EARLY = {
    Year.newcomers, Year.an_old_one_dies, Year.a_count_is_corrected, Year.one_is_cleaned,
}  # fmt: skip
LATE = OFTEN.keys() - EARLY  # there are young to do it with
