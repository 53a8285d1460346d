"""How long the clock takes for a batch of 500 with three tests: run `python -m tests.bench.clock`.

Each animal is swabbed by itself on its own days, the worst case: no two share their samples.
"""

from dataclasses import replace
from datetime import date, timedelta
from statistics import median
from time import process_time

from quarantine.clock import known_on, true_on
from quarantine.evidence import Facts, Membership, Opening, Outcome, Result, Sample, Stay
from quarantine.protocols import IMPORT

FIRST = date(2026, 1, 5)
ANIMALS = 500
PCR = ("bd-pcr", "ranavirus-pcr")


def day(number):
    return FIRST + timedelta(days=number)


def large_batch(animals):
    """Wild frogs in twenties, two swabs each and three faecals a tank, the last ones waited for."""
    names = [f"M{n:03}" for n in range(animals)]
    swabs = [_swab(n, name, at + n % 14) for at in (14, 46) for n, name in enumerate(names)]
    tanks = [_tank(n, at) for n in range(animals // 20) for at in (0, 14, 50)]
    samples = [*swabs, *tanks]
    return Facts(
        batch="B",
        openings=(Opening(key="o", batch="B", day=FIRST, protocol=IMPORT, entered=FIRST),),
        memberships=tuple(_member(name) for name in names),
        stays=tuple(_stay(n, name) for n, name in enumerate(names)),
        samples=tuple(samples),
        results=tuple(_negative(s, assay) for s in samples for assay in s.assays),
    )


def _member(name):
    return Membership(key=f"m{name}", batch="B", member=name, joined=FIRST, entered=FIRST)


def _stay(n, name):
    tank = f"Q{n // 20}"
    return Stay(key=f"s{name}", member=name, enclosure=tank, unit="Q", first=FIRST, entered=FIRST)


def _swab(n, name, at):
    taken = day(at)
    key = f"swab{name}-{at}"
    return Sample(key=key, taken=taken, assays=PCR, members=frozenset({name}), entered=taken)


def _tank(n, at):
    key, taken = f"tank{n}-{at}", day(at)
    return Sample(key=key, taken=taken, assays=("faecal",), enclosure=f"Q{n}", entered=taken)


def _negative(sample, assay):
    reported = sample.taken + timedelta(days=7)
    return Result(
        key=f"{sample.key}:{assay}",
        sample=sample.key,
        assay=assay,
        outcome=Outcome.NEGATIVE,
        reported=reported,
        entered=reported,
    )


def taking(answer, facts, at, runs=30):
    """Return the median processor time of an answer, in milliseconds."""
    times = []
    for _ in range(runs):
        begun = process_time()
        answer(facts, at)
        times.append(process_time() - begun)
    return 1000 * median(times)


def main():
    facts = large_batch(ANIMALS)
    bare = replace(facts, samples=(), results=())
    for title, of, at in (
        ("nothing sampled yet", bare, 10),
        ("half of the swabs back", facts, 28),
        ("the last swabs waited for", facts, 60),
        ("ready", facts, 90),
    ):
        true, known = taking(true_on, of, day(at)), taking(known_on, of, day(at))
        print(f"{title:28} true_on {true:5.1f} ms   known_on {known:5.1f} ms")


if __name__ == "__main__":
    main()
