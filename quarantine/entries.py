"""Which entries of a batch stand: entered by a day, not corrected, dated up to a day.

Nothing is overwritten, so the same facts answer for every day: what was entered later is left
out to see what was *known*, and what is dated later is left out to see what was *true*.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date

from quarantine.evidence import Facts, Outcome, Sample

BEGINS = {
    "openings": "day",
    "memberships": "joined",
    "splits": "day",
    "stays": "first",
    "unit_arrivals": "day",
    "samples": "taken",
    "courses": "first_dose",
    "deaths": "day",
    "one_of": "day",
    "missing": "since",
    "meetings": "first",
    "weights": "day",
    "meals": "day",
    "signs": "first",
}
ENDS = {
    "memberships": ("left", "left_entered"),
    "stays": ("last", "last_entered"),
    "courses": ("last_dose", "last_entered"),
    "missing": ("found", "found_entered"),
    "meetings": ("last", "last_entered"),
    "signs": ("gone", "gone_entered"),
}
KINDS = (*BEGINS, "results", "necropsies", "withdrawals")


def entered_by(facts: Facts, day: date) -> Facts:
    """Leave out every entry, and every end, that was entered after a day.

    >>> from quarantine.evidence import Death
    >>> died = Death(key="d1", member="M2", day=date(2026, 4, 2), entered=date(2026, 4, 5))
    >>> facts = Facts(batch="B", openings=(), deaths=(died,))
    >>> len(entered_by(facts, date(2026, 4, 4)).deaths), len(entered_by(facts, died.entered).deaths)
    (0, 1)
    """
    facts = replace(facts, results=_results_of_first_entries(facts))
    return replace(facts, **{kind: _entered_by(facts, kind, day) for kind in KINDS})


def _entered_by(facts, kind, day):
    known = tuple(fact for fact in getattr(facts, kind) if fact.entered <= day)
    if kind not in ENDS:
        return known
    return tuple(_end_known_by(fact, *ENDS[kind], day) for fact in known)


def _end_known_by(fact, end, end_entered, day):
    told = getattr(fact, end_entered)
    return fact if told is None or told <= day else replace(fact, **{end: None, end_entered: None})


def standing(facts: Facts) -> Facts:
    """Leave out what a later entry corrects or takes back; results go to the corrected sample.

    What was found in a carcass is dated on the death.

    >>> from quarantine.evidence import Death, Withdrawal
    >>> day = date(2026, 4, 2)
    >>> died = Death(key="d1", member="M2", day=day, entered=day)
    >>> taken_back = Withdrawal(key="w1", replaces="d1", entered=day)
    >>> standing(Facts(batch="B", openings=(), deaths=(died,), withdrawals=(taken_back,))).deaths
    ()
    """
    results = _results_of_first_entries(facts)
    first_entries = _first_entries(facts.samples)
    gone = {fact.replaces for kind in KINDS for fact in getattr(facts, kind)} - {None}
    if gone:
        facts = replace(facts, **{kind: _without(getattr(facts, kind), gone) for kind in KINDS})
        now = {first_entries.get(s.key, s.key): s.key for s in sorted(facts.samples, key=_entry)}
        results = (
            replace(r, sample=now[r.sample]) if now.get(r.sample, r.sample) != r.sample else r
            for r in results
            if r.key not in gone
        )
    return replace(facts, results=tuple(results), samples=tuple(_dated_on_the_death(facts)))


def _entry(fact):
    return fact.entered, fact.key


def _without(kept: Iterable, gone: set[str]) -> tuple:
    return tuple(fact for fact in kept if fact.key not in gone)


def _first_entries(samples: Iterable[Sample]) -> dict[str, str]:
    """Map each corrected sample's entry to the first entry of that sample."""
    back = {sample.key: sample.replaces for sample in samples if sample.replaces}
    return {key: _first_entry(key, back) for key in back}


def _first_entry(key, back):
    seen = set()
    while key in back and key not in seen:
        seen.add(key)
        key = back[key]
    return key


def _results_of_first_entries(facts):
    first_entries = _first_entries(facts.samples)
    if not first_entries:
        return facts.results
    return tuple(
        replace(r, sample=first_entries[r.sample]) if r.sample in first_entries else r
        for r in facts.results
    )


def _dated_on_the_death(facts: Facts) -> Iterator[Sample]:
    died = {death.member: death.day for death in sorted(facts.deaths, key=lambda d: d.day)}
    for sample in facts.samples:
        if died and sample.members and sample.members <= died.keys():
            last = max(died[member] for member in sample.members)
            sample = replace(sample, taken=last) if last < sample.taken else sample
        yield sample


def dated_up_to(facts: Facts, day: date) -> Facts:
    """Leave out what is dated after a day; a negative is dated on its report.

    A positive counts from its sample and a necropsy from its death, whenever they were reported.

    >>> from quarantine.evidence import Course
    >>> first, last = date(2026, 2, 28), date(2026, 3, 10)
    >>> course = Course(key="c1", batch="B", against=frozenset({"bd-pcr"}), first_dose=first,
    ...                 last_dose=last, entered=last)
    >>> facts = Facts(batch="B", openings=(), courses=(course,))
    >>> dated_up_to(facts, date(2026, 3, 9)).courses[0].last_dose  # it is still running
    """
    kept = {kind: _begun_by(facts, kind, day) for kind in BEGINS}
    samples = {sample.key for sample in kept["samples"]}
    results = tuple(r for r in facts.results if r.sample in samples and _told(r, day))
    return replace(facts, **kept, results=results)


def _begun_by(facts, kind, day):
    begins = BEGINS[kind]
    begun = tuple(fact for fact in getattr(facts, kind) if getattr(fact, begins) <= day)
    if kind not in ENDS:
        return begun
    return tuple(_end_dated_by(fact, ENDS[kind][0], day) for fact in begun)


def _end_dated_by(fact, end, day):
    ended = getattr(fact, end)
    return fact if ended is None or ended <= day else replace(fact, **{end: None})


def _told(result, day):
    return result.outcome == Outcome.POSITIVE or result.reported <= day
