"""What holds of the register after every act, checked against a plain reading of it."""

from quarantine import models as q
from quarantine.held import CLEARED, standings
from registry import models as m
from tests.quarantine.lives import on
from tests.quarantine.plain_register import who

EVER = on(1000)


def stays():
    """Return the stays in force, the latest entered first."""
    return m.Stay.objects.current().select_related("animal", "clutch").order_by("-pk")


def everyone_is_in_one_place():
    """No two stays of one overlap."""
    spans = {}
    for stay in stays().order_by("start", "end"):
        end = stay.end or EVER
        for start, until in spans.get(who(stay), ()):
            assert end <= start or until <= stay.start, f"{stay}, and another from {start}"
        spans.setdefault(who(stay), []).append((stay.start, end))


def everyone_is_here_while_it_stays(plain):
    """A stay begins when its animal is here, and ends when it leaves."""
    came = [(one, row.day) for row in plain.facts.arrivals for one in row.who]
    came += [(row.who, row.day) for row in plain.facts.births]
    went = list(m.Departure.objects.current().values_list("animal__code", "day"))
    for stay in stays().filter(clutch=None):
        comings = [day for one, day in came if one == who(stay) and day <= stay.start]
        goings = [day for one, day in went if one == who(stay)]
        gone = [day for day in goings if day < stay.start or day == stay.start != stay.end]
        assert len(comings) > len(gone), f"{stay} is of one that is away"
        inside = [day for day in goings if stay.start < day < (stay.end or EVER)]
        assert not inside, f"{stay} goes on after {inside}"


def standings_are_those_of_a_plain_reckoning(plain, day):
    """For everyone, as far as the rows themselves tell; changed evidence is told apart."""
    animals = list(m.Animal.objects.all())
    told = standings(animals, on(day))
    for animal in animals:
        now = told.get(animal.pk)
        if now and now.change is None:
            since = plain.evening[day].get(animal.code)
            assert (now.state == CLEARED) == (since is None), f"{animal} on {on(day)}: {now}"
            assert since is None or now.since == on(since), f"{animal} on {on(day)}: {now}"


def nobody_met_unnoticed(before, after, days):
    """Each two brought together are both held or both cleared, or a breach names both.

    What they are is looked at before the meetings of the day.
    """
    for day, one, other in sorted(after.together(days) - before.together(days)):
        if after.is_held(one, day) != after.is_held(other, day):
            held, cleared = sorted((one, other), key=lambda who_: not after.is_held(who_, day))
            told = f"{held}, held, and {cleared}, cleared, are together on {on(day)}"
            assert breached(one, other), f"{told}; {[str(b) for b in m.Breach.objects.all()]}"


def breached(one, other):
    """Return whether a breach names both; clutches stand in its sentence only."""
    whos = {one, other}
    for breach in m.Breach.objects.prefetch_related("animals").select_related("stay__clutch"):
        named = {a.code for a in breach.animals.all()}
        named |= {who(breach.stay)} if breach.stay.clutch_id else set()
        named |= {w for w in whos if w.replace("clutch:", "clutch ") in breach.message}
        if whos <= named:
            return True
    return False


def fingerprint():
    """Return how many entries of each kind there are, and the stays as they stand."""
    kinds = (m.Stay, m.Arrival, m.Departure, m.Clutch, m.Animal, m.Breach, m.Answer, m.Pairing)
    kinds += (m.OneOfThese, m.RegisterLine)
    kinds += (q.Isolation, q.Membership, q.Clearance, q.Sample, q.Result, q.Hold)
    ends = m.Stay.objects.values_list("pk", "end", "superseded_at", "void").order_by("pk")
    return [kind.objects.count() for kind in kinds], list(ends)
