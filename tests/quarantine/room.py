"""A room kept at random: what may happen in it, in any order, each through its own door."""

from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    invariant,
    precondition,
    rule,
)

from quarantine import models as q
from quarantine.wards import open_on
from registry import models as m
from tests.quarantine.keeping import ANYWAY, REFUSALS, Keeping
from tests.quarantine.lives import number, on
from tests.quarantine.plain_register import PlainRegister
from tests.quarantine.soundness import (
    everyone_is_here_while_it_stays,
    everyone_is_in_one_place,
    fingerprint,
    nobody_met_unnoticed,
    standings_are_those_of_a_plain_reckoning,
    stays,
)

AHEAD = 8  # how far ahead moves are planned, in days

PLACES = st.sampled_from(["E1", "E2", "E3", "Q1", "Q2"])
SHIFT = st.integers(-10, AHEAD)
PAST = st.integers(-10, 0)
ANY = st.integers(0, 99)
ANYHOW = st.sampled_from([None, None, ANYWAY])
MOSTLY_NEGATIVE = st.sampled_from(["negative"] * 4 + ["positive"])
TAKEN_BACK = st.sampled_from([q.Sample, q.Hold, q.Membership, q.Clearance, q.Isolation])
FEW = st.lists(ANY, min_size=1, max_size=2)


class Room(RuleBasedStateMachine):
    """One room, kept at random."""

    def __init__(self):
        super().__init__()
        self.atom = transaction.atomic()
        self.atom.__enter__()

    def teardown(self):
        """Take everything back."""
        transaction.set_rollback(True)
        self.atom.__exit__(None, None, None)

    @initialize()
    def begin(self):
        """Furnish the room."""
        self.room = Keeping()
        self.plain = self.read()
        self.looked_at = False

    def read(self):
        """Read the register plainly."""
        return PlainRegister(self.room.today + AHEAD + 6)

    def does(self, act, *given):
        """Do an act, and look whom it brought together; where it is refused nothing has changed."""
        before, entries = self.plain, fingerprint()
        try:
            with transaction.atomic():
                act(*given)
        except REFUSALS:
            assert fingerprint() == entries, "what was refused left something behind"
            return
        self.plain, self.looked_at = self.read(), False
        nobody_met_unnoticed(before, self.plain, range(1, self.room.today + AHEAD + 5))

    # Finding whom an act is about

    def one(self, rows, number_):
        """Return one of some rows, by any number."""
        rows = list(rows)
        return rows[number_ % len(rows)] if rows else None

    def animals(self, numbers):
        """Return some animals, none twice."""
        rows = list(m.Animal.objects.order_by("pk").select_related("taxon", "locality"))
        return tuple(dict.fromkeys(rows[n % len(rows)] for n in numbers))

    def batch(self, number_):
        """Return a batch that is open, or none."""
        return self.one(open_on(on(self.room.today)), number_)

    def day(self, shift):
        """Return a day so many days from today."""
        return self.room.today + shift

    # What happens

    @rule(days=st.integers(1, 4))
    def time_passes(self, days):
        """Days go by."""
        if self.room.today < 60:
            self.room.today += days
            self.plain, self.looked_at = self.read(), False

    @rule(count=st.integers(1, 2), back=PAST, where=PLACES, opens=st.booleans(), how=ANYHOW)
    def animals_come(self, count, back, where, opens, how):
        """Newcomers, in an isolation of their own or in none."""
        apart = self.room.apart(where, None, opens)
        self.does(self.room.arrive, count, self.day(back), apart, how)

    @rule(back=PAST, where=PLACES, which=ANY, how=ANYHOW)
    def animals_come_into_a_batch(self, back, where, which, how):
        """Newcomers that join a batch."""
        apart = self.room.apart(where, self.batch(which), True)
        self.does(self.room.arrive, 1, self.day(back), apart, how)

    @rule(whom=FEW, where=PLACES, shift=SHIFT, stay=st.none() | st.integers(0, 6), how=ANYHOW)
    def animals_move(self, whom, where, shift, stay, how):
        """Today, back-dated or planned; for good or for some days."""
        until = None if stay is None else self.day(shift) + stay
        self.does(self.room.move, self.animals(whom), (), where, self.day(shift), until, how)

    @precondition(lambda self: m.Clutch.objects.exists())
    @rule(which=ANY, where=PLACES, shift=SHIFT, how=ANYHOW)
    def clutches_move(self, which, where, shift, how):
        """A clutch is moved."""
        clutch = self.one(m.Clutch.objects.order_by("pk"), which)
        self.does(self.room.move, (), (clutch,), where, self.day(shift), None, how)

    @rule(first=ANY, second=ANY, where=PLACES, shift=SHIFT, how=ANYHOW)
    def animals_pair(self, first, second, where, shift, how):
        """Two are joined as a pair."""
        two = self.animals((first, second))
        if len(two) == 2:
            self.does(self.room.pair, *two, where, self.day(shift), how)

    @rule(where=PLACES, into=PLACES, back=PAST, how=ANYHOW)
    def eggs_are_laid(self, where, into, back, how):
        """A clutch is found and set somewhere."""
        self.does(self.room.lay, where, into, self.day(back), how)

    @precondition(lambda self: m.Clutch.objects.exists())
    @rule(which=ANY, where=PLACES, back=PAST, how=ANYHOW)
    def young_leave_their_clutch(self, which, where, back, how):
        """One young becomes an animal."""
        clutch = self.one(m.Clutch.objects.order_by("pk"), which)
        self.does(self.room.take_out, clutch, where, self.day(back), how)

    @precondition(lambda self: m.Clutch.objects.exists())
    @rule(which=ANY, back=PAST)
    def clutches_end(self, which, back):
        """Nothing is left of a clutch."""
        clutch = self.one(m.Clutch.objects.order_by("pk"), which)
        self.does(self.room.end_clutch, clutch, self.day(back))

    @rule(whom=ANY, back=PAST, kind=st.sampled_from(["death", "sale", "loan"]))
    def animals_leave(self, whom, back, kind):
        """One dies, is sold or lent."""
        self.does(self.room.leave, *self.animals([whom]), self.day(back), kind)

    @rule(where=PLACES, back=PAST, what=st.sampled_from(["death", "death", "sale"]))
    def one_of_several_leaves(self, where, back, what):
        """One dies or is sold, nobody knows which."""
        self.does(self.room.one_of, where, self.day(back), what)

    @precondition(lambda self: m.OneOfThese.objects.exists())
    @rule(which=ANY, whom=ANY)
    def it_is_settled(self, which, whom):
        """It was this one, or another than it was settled on."""
        event = self.one(m.OneOfThese.objects.current().order_by("pk"), which)
        self.does(self.room.settle, event, whom)

    @precondition(lambda self: m.Departure.objects.exists())
    @rule(which=ANY, back=PAST, where=PLACES, opens=st.booleans(), how=ANYHOW)
    def animals_come_back(self, which, back, where, opens, how):
        """One that left returns, on a later day than it left."""
        gone = self.one(m.Departure.objects.current().exclude(kind="death"), which)
        if gone and gone.day < on(self.day(back)):
            apart = self.room.apart(where, None, opens)
            self.does(self.room.come_back, gone.animal, self.day(back), apart, how)

    @rule(which=ANY, where=PLACES, shift=SHIFT, how=ANYHOW)
    def moves_are_corrected(self, which, where, shift, how):
        """A move was otherwise."""
        if stay := self.one(stays(), which):
            self.does(self.room.correct_move, stay, where, self.day(shift), how)

    @rule(which=ANY, how=ANYHOW)
    def moves_are_taken_back(self, which, how):
        """A move never was."""
        if stay := self.one(stays(), which):
            self.does(self.room.take_back, stay, how)

    @precondition(lambda self: m.Departure.objects.exists())
    @rule(which=ANY, back=PAST, never=st.booleans(), how=ANYHOW)
    def departures_are_corrected(self, which, back, never, how):
        """One left on another day, or never."""
        gone = self.one(m.Departure.objects.current(), which)
        if gone and never:
            self.does(self.room.take_back_departure, gone, how)
        elif gone:
            self.does(self.room.correct_departure, gone, self.day(back), how)

    @rule(which=ANY, back=PAST)
    def batches_are_swabbed(self, which, back):
        """A round of samples."""
        if batch := self.batch(which):
            self.does(self.room.sample, batch, self.day(back))

    @rule(where=PLACES, back=PAST)
    def enclosures_are_swabbed(self, where, back):
        """A sample of whoever stays there."""
        self.does(self.room.sample_place, where, self.day(back))

    @precondition(lambda self: q.Sample.objects.exists())
    @rule(
        which=ANY, later=st.integers(0, 3), outcome=st.sampled_from(["negative"] * 4 + ["positive"])
    )
    def results_come(self, which, later, outcome):
        """The laboratory reports."""
        told = q.Result.objects.values("sample")
        if sample := self.one(q.Sample.objects.exclude(pk__in=told).order_by("pk"), which):
            self.does(self.room.report, sample, number(sample.day) + later, outcome)

    @precondition(lambda self: q.Result.objects.exists())
    @rule(which=ANY, outcome=st.sampled_from(["negative", "positive"]))
    def results_are_corrected(self, which, outcome):
        """The laboratory was wrong."""
        if result := self.one(q.Result.objects.current().order_by("pk"), which):
            self.does(self.room.correct_result, result, self.room.today, outcome)

    @precondition(lambda self: q.Result.objects.exists())
    @rule(which=ANY, verdict=st.sampled_from(["accepted", "test again", "all again"]))
    def positives_are_decided(self, which, verdict):
        """Somebody says what a positive means."""
        if result := self.one(q.Result.objects.current().order_by("pk"), which):
            self.does(self.room.decide, result, verdict)

    @precondition(lambda self: m.Departure.objects.exists())
    @rule(which=ANY)
    def deaths_are_explained(self, which):
        """A necropsy."""
        if death := self.one(m.Departure.objects.current().filter(kind="death"), which):
            self.does(self.room.examine, death, self.room.today)

    @precondition(lambda self: q.Isolation.objects.exists())
    @rule(which=ANY, back=st.integers(-3, 0), met=st.booleans())
    def batches_are_released(self, which, back, met):
        """By what the rules say, or by a veterinarian."""
        if batch := self.batch(which):
            act = self.room.sign if met else self.room.override
            self.does(act, batch, self.day(back))

    @rule(whom=FEW, back=PAST)
    def batches_are_opened(self, whom, back):
        """An isolation for some."""
        self.does(self.room.isolate, self.animals(whom), self.day(back))

    @precondition(lambda self: q.Isolation.objects.exists())
    @rule(which=ANY, whom=FEW, back=PAST, parts=st.booleans())
    def batches_change(self, which, whom, back, parts):
        """Some join a batch, or are parted off."""
        if batch := self.batch(which):
            act = self.room.split if parts else self.room.join
            self.does(act, batch, self.animals(whom), self.day(back))

    @precondition(lambda self: q.Isolation.objects.exists())
    @rule(which=ANY, where=PLACES, shift=SHIFT, how=ANYHOW)
    def batches_move(self, which, where, shift, how):
        """A whole batch goes elsewhere."""
        if batch := self.batch(which):
            self.does(self.room.move_batch, batch, where, self.day(shift), how)

    @rule(where=PLACES, back=PAST)
    def enclosures_are_disinfected(self, where, back):
        """Somebody disinfects."""
        self.does(self.room.disinfect, where, self.day(back))

    @rule(which=ANY)
    def disinfections_are_withdrawn(self, which):
        """It was another enclosure."""
        if fact := self.one(m.Disinfection.objects.current(), which):
            self.does(self.room.withdraw, fact)

    @rule(where=PLACES, into=PLACES, back=PAST)
    def things_are_carried(self, where, into, back):
        """Plants go from one enclosure into another."""
        if where != into:
            self.does(self.room.carry, where, into, self.day(back))

    @rule(whom=ANY, back=PAST)
    def animals_are_held_by_hand(self, whom, back):
        """One looks ill."""
        self.does(self.room.hold, *self.animals([whom]), self.day(back))

    @rule(where=PLACES, back=PAST, whole=st.sampled_from([False, False, True]))
    def places_are_held_by_hand(self, where, back, whole):
        """All in an enclosure, or in a unit, are held."""
        enclosure = self.room.place(where)
        self.does(self.room.hold, enclosure.unit if whole else enclosure, self.day(back))

    @precondition(lambda self: q.Hold.objects.exists())
    @rule(which=ANY)
    def holds_are_lifted(self, which):
        """A hold takes nobody more in."""
        if held := self.one(q.Hold.objects.current().filter(end=None), which):
            self.does(self.room.end_hold, held, self.room.today)

    @rule(
        which=ANY, kind=st.sampled_from([q.Sample, q.Hold, q.Membership, q.Clearance, q.Isolation])
    )
    def entries_are_taken_back(self, which, kind):
        """It never was."""
        if fact := self.one(kind.objects.current().order_by("-pk"), which):
            self.does(self.room.unsay, fact)

    @rule(which=ANY, back=PAST, never=st.booleans())
    def arrivals_are_corrected(self, which, back, never):
        """Some came on another day, or never."""
        arrival = self.one(m.Arrival.objects.current().order_by("-pk"), which)
        if arrival and never:
            self.does(self.room.unsay, arrival)
        elif arrival:
            self.does(self.room.redate_arrival, arrival, self.day(back))

    @rule(whom=ANY, back=PAST)
    def animals_are_missed(self, whom, back):
        """One is not found."""
        self.does(self.room.miss, *self.animals([whom]), self.day(back))

    @precondition(lambda self: m.Missing.objects.exists())
    @rule(which=ANY, where=PLACES, back=PAST)
    def animals_are_found(self, which, where, back):
        """One is found again."""
        if entry := self.one(m.Missing.objects.current().filter(found_on=None), which):
            self.does(self.room.find, entry, where, self.day(back))

    @invariant()
    def the_register_is_sound(self):
        """Looked at after every act that changed something."""
        if not self.looked_at:
            self.looked_at = True
            everyone_is_in_one_place()
            everyone_is_here_while_it_stays(self.plain)
            for day in (self.room.today, self.room.today - 4):
                standings_are_those_of_a_plain_reckoning(self.plain, day)
