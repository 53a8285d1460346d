"""The rules of a batch once more, slowly: day by day and over every choice of samples.

Written apart from the clock, to compare with: no greedy choice, no shared code but the facts.
It knows batches that were never split and entries that were never corrected.
"""

from datetime import date, timedelta

from quarantine.evidence import Facts
from quarantine.protocols import ASSAYS

HORIZON = 150


def zero(facts: Facts, day: date) -> date:
    """Day zero as it stands."""
    return max(_candidates(facts, day))


def best(facts: Facts, day: date) -> date | None:
    """The first day on which, with all going well, the batch could be released."""
    if not living(facts, day) or any(_bars(facts, p) for p in _positives(facts, day)):
        return None
    later = (day + timedelta(days=n) for n in range(HORIZON))
    return next(end for end in later if _could_be_released(facts, day, end))


def living(facts, day):
    joined = {m.member for m in facts.memberships if m.joined <= day}
    left = {m.member for m in facts.memberships if m.left and m.left <= day}
    return joined - left - {d.member for d in facts.deaths if d.day <= day}


def _candidates(facts, day):
    yield facts.openings[0].day
    yield from (m.joined for m in facts.memberships if m.came == "added" and m.joined <= day)
    yield from _events(facts, day)
    for sample, result in _positives(facts, day):
        for course in facts.courses:
            cured = course.last_dose and course.last_dose <= day
            if cured and _restarts(facts, result) and _cures(course, sample, result, day):
                yield course.last_dose + timedelta(days=1)


def _cures(course, sample, result, day):
    return result.assay in course.against and sample.taken <= course.first_dose <= day


def _events(facts, day):
    """The days after which samples must be taken."""
    yield from (s.taken for s, r in _positives(facts, day) if _restarts(facts, r))
    explained = {n.member for n in facts.necropsies if n.accepted}
    for death in facts.deaths:
        if (
            death.day <= day
            and death.member not in explained
            and _was_in(facts, death.member, death.day)
        ):
            yield death.day
    for meeting in facts.meetings:
        met = meeting.first
        while met <= min(meeting.last or day, day):
            if _was_in(facts, meeting.member, met):
                yield met
            met += timedelta(days=1)


def _was_in(facts, member, day):
    return any(
        m.member == member and m.joined <= day and (m.left is None or day < m.left)
        for m in facts.memberships
    )


def _covered(facts, sample):
    if sample.members:
        return sample.members
    return {
        s.member
        for s in facts.stays
        if s.enclosure == sample.enclosure
        and s.first <= sample.taken
        and (s.last is None or sample.taken < s.last)
    }


def _positives(facts, day):
    for result in facts.results:
        sample = next(s for s in facts.samples if s.key == result.sample)
        found = result.outcome == "positive" and sample.taken <= day
        if found and any(_was_in(facts, m, sample.taken) for m in _covered(facts, sample)):
            yield sample, result


def _verdict(result):
    return result.verdict or {a.code: a.positive_means for a in ASSAYS}[result.assay]


def _restarts(facts, result):
    return _verdict(result) == "all again"


def _bars(facts, positive):
    return _verdict(positive[1]) in (None, "veterinarian")


def _last_dose(course, day):
    if course.last_dose and course.last_dose <= day:
        return course.last_dose
    return max(course.planned_last or day, day)


def _expected_zero(facts, day):
    days = [zero(facts, day)]
    for sample, result in _positives(facts, day):
        for course in facts.courses:
            if _restarts(facts, result) and _cures(course, sample, result, day):
                days.append(_last_dose(course, day) + timedelta(days=1))
    return max(days)


def _could_be_released(facts, day, end):
    rules = facts.openings[0].protocol
    if end < _expected_zero(facts, day) + timedelta(days=rules.min_days):
        return False
    if any(c.first_dose <= day and _last_dose(c, day) >= end for c in facts.courses):
        return False
    return all(_could_be_met(facts, day, end, test) for test in rules.tests)


def _could_be_met(facts, day, end, test):
    members = living(facts, day)
    enough = min(test.members_asked or len(members), len(members))
    return sum(_could_meet(facts, day, end, test, m) for m in members) >= enough


def _could_meet(facts, day, end, test, member):
    """Whether any choice of samples, taken or to come, is reported by the end."""
    rules = facts.openings[0].protocol
    start = _expected_zero(facts, day)
    states = {(0, date.min)}
    for taken in sorted(_days(facts, day, end, test, member)):
        if _counts(facts, day, test, start, taken):
            for done, last in list(states):
                late_enough = taken >= start + timedelta(days=test.last_from)
                apart = done == 0 or (taken - last).days >= test.gap
                if apart and (done + 1 < test.negatives or late_enough):
                    states.add((done + 1, taken))
    assert rules.laboratory_days >= 1
    return any(done == test.negatives for done, _ in states)


def _days(facts, day, end, test, member):
    rules = facts.openings[0].protocol
    laboratory = timedelta(days=rules.laboratory_days)
    for sample in facts.samples:
        named = member in sample.members
        housed = test.per == "enclosure" and member in _covered(facts, sample)
        if sample.taken <= day and (named or housed):
            known = _good_on(facts, sample, test, day, laboratory)
            if known and known <= end:
                yield sample.taken
    coming = day
    while coming + laboratory <= end:
        yield coming
        coming += timedelta(days=1)


def _good_on(facts, sample, test, day, laboratory):
    """The day a sample is or will be known to be good, None if it is not."""
    if test.assay not in sample.assays:
        return None
    expected = max(sample.taken + laboratory, day + timedelta(days=1))
    result = next((r for r in facts.results if r.sample == sample.key), None)
    if result is None:
        return expected
    if result.outcome == "positive" and _verdict(result) != "accepted":
        return None
    if result.reported > day:
        return expected
    return None if result.outcome == "inconclusive" else day


def _counts(facts, day, test, start, taken):
    rules = facts.openings[0].protocol
    if taken < start + timedelta(days=test.first_from):
        return False
    if any(taken <= event for event in _events(facts, day)):
        return False
    again = (
        s.taken
        for s, r in _positives(facts, day)
        if r.assay == test.assay and _verdict(r) == "test again"
    )
    if any(taken <= voided for voided in again):
        return False
    return not any(
        test.assay in c.against
        and c.first_dose <= day
        and c.first_dose <= taken <= _last_dose(c, day) + timedelta(days=rules.washout_days)
        for c in facts.courses
    )
