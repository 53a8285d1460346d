"""How long traces, standings and proposals take for 10,000 animals with 50,000 stays.

Run `python -m tests.bench.contacts`.  Five years: animals arrive in sixes, wait sixty days in two
quarantine tanks, are cleared, and move on through three or four tanks each.

careful: quarantine tanks are disinfected when they fall empty, and every box is cleared.
careless: nothing is ever disinfected, and one clearance in fifty is forgotten, so that at the end
nearly everybody has met somebody held; the worst case.
"""

from datetime import date, timedelta
from random import Random
from statistics import median
from time import process_time

from quarantine.contacts import company
from quarantine.facts import Arrival, Clearance, Disinfection, Facts, Stay
from quarantine.standing import moved, newly_held, proposed, standings
from quarantine.traces import backward, forward, trace_start
from quarantine.whereabouts import whereabouts

FIRST, YEARS = date(2021, 1, 1), 5
LAST = FIRST + timedelta(days=365 * YEARS)
ANIMALS, TANKS = 10_000, 2_500


def register(seed, *, washed, forgotten):
    """A register of five years; shares of tanks disinfected and of clearances forgotten."""
    random = Random(seed)
    stays, arrivals, clearances, disinfections = [], [], [], []
    for box in range(0, ANIMALS, 6):
        whos = tuple(f"A{n:05}" for n in range(box, min(box + 6, ANIMALS)))
        day = FIRST + timedelta(days=random.randrange(365 * YEARS - 10))
        arrivals.append(Arrival(who=whos, day=day, key=f"box {box}"))
        out, tank = day + timedelta(days=60), f"Q{box}" if washed else f"Q{box % 600}"
        if out < LAST and random.random() >= forgotten:
            clearances.append(Clearance(who=whos, day=out))
        stays += _in_quarantine(whos, tank, day, out)
        if random.random() < washed:
            disinfections.append(Disinfection(enclosure=tank, day=out - timedelta(days=30)))
            disinfections.append(Disinfection(enclosure=f"{tank}b", day=out))
        stays += (stay for who in whos for stay in _moves(random, who, out))
    return Facts(
        stays=tuple(stays),
        arrivals=tuple(arrivals),
        clearances=tuple(clearances),
        disinfections=tuple(disinfections),
    )


def _in_quarantine(whos, tank, day, out):
    """Two stays each: a move from one quarantine tank to another after a month."""
    over = day + timedelta(days=30)
    for who in whos:
        yield Stay(who=who, enclosure=tank, start=day, end=over)
        yield Stay(who=who, enclosure=f"{tank}b", start=over, end=out if out < LAST else None)


def _moves(random, who, since):
    """Three or four stays among the residents, the last one running."""
    room = (LAST - since).days
    if room <= 0:
        return []
    days = sorted(random.randrange(room) for _ in range(random.choice((2, 2, 3))))
    starts = [since, *(since + timedelta(days=d) for d in days)]
    ends = [*starts[1:], None]
    tanks = (f"E{random.randrange(TANKS)}" for _ in starts)
    return [
        Stay(who=who, enclosure=tank, start=start, end=end)
        for tank, start, end in zip(tanks, starts, ends, strict=True)
    ]


def taking(act, runs=5):
    """The median processor time of an act in milliseconds, and what it returns."""
    times = []
    for _ in range(runs):
        begun = process_time()
        found = act()
        times.append(1000 * (process_time() - begun))
    return median(times), found


def tell(title, act, say=lambda found: ""):
    time, found = taking(act)
    print(f"  {title:44} {time:8.1f} ms   {say(found)}")
    return found


def reach(trace):
    return f"{len(trace.reached)} reached"


def measure(title, facts):
    print(f"{title}: {ANIMALS} animals, {len(facts.stays)} stays")
    where = tell("put in order", lambda: whereabouts(facts))
    source, month = "A00042", trace_start(LAST)
    tell("trace forward, 90 days", lambda: forward(where, source, month, LAST), reach)
    tell("trace backward, 90 days", lambda: backward(where, source, month, LAST), reach)
    tell("trace forward, all five years", lambda: forward(where, source, FIRST, LAST), reach)
    tell("who is in one tank", lambda: company(where, "E42", LAST))
    now = tell("standings of everybody, every day", lambda: standings(facts))
    new = max(facts.arrivals, key=lambda arrival: arrival.day)
    print(f"  a newcomer, here since {new.day}, is put into a resident's tank")
    for ago in (0, 9, 365):
        stay = Stay(who=new.who[0], enclosure="E42", start=LAST - timedelta(days=ago))
        then = tell(f"proposed for {ago} days ago", lambda stay=stay: proposed(now, [stay]))
        tell("  whom it holds", lambda then=then: newly_held(now, then), len)
        tell("  whom it delays", lambda then=then: moved(now, then, LAST), len)


def main():
    measure("careful", register(1, washed=1, forgotten=0))
    measure("careless", register(2, washed=0, forgotten=0.02))


if __name__ == "__main__":
    main()
