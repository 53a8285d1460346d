"""What holds of the clock for any batch: compared with the slow one, and with time passing."""

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import event, given, settings
from hypothesis import strategies as st

from quarantine.clock import known_on, true_on
from quarantine.entries import KINDS, dated_up_to, standing
from quarantine.evidence import (
    Coming,
    Course,
    Death,
    Meeting,
    Membership,
    Necropsy,
    Outcome,
    Result,
    Sample,
    Stay,
)
from quarantine.protocols import Per, Protocol, Test, Verdict
from quarantine.readings import CourseRunning
from tests.quarantine import slow_clock
from tests.quarantine.evidence import batch, key, plus

FIRST = date(2026, 3, 2)
LAST = 24
ASSAYS = ["bd-pcr", "faecal"]
SETTLED = [Verdict.ACCEPTED, Verdict.TEST_AGAIN, Verdict.ALL_AGAIN]
MEMBERS = ["M1", "M2", "M3"]


def day(number):
    return FIRST + timedelta(days=number)


days = st.integers(0, LAST).map(day)
spells = st.tuples(days, st.integers(0, 8)).map(lambda s: (s[0], s[0] + timedelta(days=s[1])))
sometimes = st.booleans()


@st.composite
def asked(draw, assay):
    first = draw(st.integers(0, 6))
    return Test(
        assay=assay,
        negatives=draw(st.integers(1, 3)),
        gap=draw(st.integers(1, 4)),
        first_from=first,
        last_from=first + draw(st.integers(0, 6)),
        per=Per.ENCLOSURE if assay == "faecal" else Per.ANIMAL,
        members_asked=draw(st.sampled_from([None, None, 2])),
    )


@st.composite
def protocols(draw):
    return Protocol(
        name="any",
        min_days=draw(st.integers(0, 14)),
        tests=tuple(draw(asked(a)) for a in draw(st.sampled_from([[], ASSAYS[:1], ASSAYS]))),
        laboratory_days=draw(st.integers(1, 4)),
        washout_days=draw(st.integers(0, 4)),
    )


@st.composite
def sampled(draw):
    """A sample of one animal, a pool or a tank, with or without a result."""
    where = draw(st.sampled_from([None, None, "E1", "E2"]))
    who = draw(st.sets(st.sampled_from(MEMBERS), min_size=1)) if where is None else ()
    taken, reported = draw(spells)
    assay = draw(st.sampled_from(ASSAYS))
    sample = Sample(
        key=key("sample"),
        taken=taken,
        assays=(assay,),
        members=frozenset(who),
        enclosure=where,
        entered=taken,
    )
    if draw(st.integers(0, 4)) == 0:
        return [sample]
    outcome = draw(
        st.sampled_from([Outcome.NEGATIVE] * 4 + [Outcome.INCONCLUSIVE, Outcome.POSITIVE])
    )
    verdicts = [None, Verdict.VETERINARIAN, *SETTLED * 4]
    return [
        sample,
        Result(
            key=key("result"),
            sample=sample.key,
            assay=assay,
            outcome=outcome,
            reported=reported,
            verdict=draw(st.sampled_from(verdicts)) if outcome is Outcome.POSITIVE else None,
            entered=reported,
        ),
    ]


@st.composite
def courses(draw):
    first, last = draw(spells)
    ended = draw(sometimes)
    return Course(
        key=key("course"),
        batch="B",
        against=frozenset(draw(st.sets(st.sampled_from(ASSAYS), max_size=2))),
        first_dose=first,
        last_dose=last if ended else None,
        planned_last=draw(st.sampled_from([None, last])),
        entered=first,
        last_entered=last,
    )


@st.composite
def meetings(draw):
    first, last = draw(spells)
    return Meeting(
        key=key("meeting"),
        member=draw(st.sampled_from(MEMBERS)),
        other="X",
        first=first,
        last=last,
        entered=first,
        last_entered=last,
    )


@st.composite
def additions(draw):
    name, joined = key("N"), draw(days)
    came = draw(st.sampled_from([Coming.ADDED, Coming.ADDED, Coming.BORN]))
    left = draw(st.sampled_from([None, None, joined + timedelta(days=draw(st.integers(1, 9)))]))
    return [
        Membership(
            key=name,
            batch="B",
            member=name,
            joined=joined,
            left=left,
            came=came,
            entered=joined,
            left_entered=left,
        ),
        Stay(
            key=key("stay"),
            member=name,
            enclosure="E1",
            unit="rack",
            first=joined,
            last=left,
            entered=joined,
            last_entered=left,
        ),
    ]


deaths = st.tuples(days).map(lambda d: Death(key=key("death"), member="M3", day=d[0], entered=d[0]))
starting = st.one_of(additions(), courses(), meetings(), deaths)
happenings = st.one_of(sampled(), sampled(), sampled(), starting)


@st.composite
def batches(draw):
    housed = [
        Stay(key=key("stay"), member=m, enclosure=e, unit="rack", first=FIRST, entered=FIRST)
        for m, e in zip(MEMBERS, ["E1", "E1", "E2"], strict=True)
    ]
    facts = plus(
        batch(" ".join(MEMBERS), rules=draw(protocols())),
        housed,
        *draw(st.lists(happenings, max_size=9)),
    )
    facts = replace(facts, deaths=facts.deaths[:1])
    if draw(sometimes):
        facts = plus(facts, Necropsy(key=key("n"), member="M3", accepted=True, entered=day(LAST)))
    return facts


@settings(max_examples=400, deadline=None)
@given(batches(), days)
def test_the_clock_and_the_slow_clock_agree(facts, today):
    reading = true_on(facts, today)
    expected = slow_clock.best(facts, today)
    event(f"no forecast: {expected is None}; possible: {reading.possible}")
    assert reading.zero.day == slow_clock.zero(facts, today)
    assert reading.best == expected
    assert reading.possible == (expected == today)


@settings(deadline=None)
@given(batches(), days, st.randoms(use_true_random=False))
def test_the_order_of_entry_does_not_matter(facts, today, random):
    mixed = replace(
        facts, **{k: tuple(random.sample(getattr(facts, k), len(getattr(facts, k)))) for k in KINDS}
    )
    assert true_on(mixed, today) == true_on(facts, today)
    assert known_on(mixed, today) == known_on(facts, today)


@settings(deadline=None)
@given(batches(), starting | sampled(), days)
def test_no_fact_but_an_explained_death_moves_day_zero_back(facts, more, today):
    assert true_on(plus(facts, more), today).zero.day >= true_on(facts, today).zero.day


@settings(deadline=None)
@given(batches())
def test_day_zero_never_moves_back_as_days_pass(facts):
    zeros = [true_on(facts, day(n)).zero.day for n in range(LAST + 1)]
    assert zeros == sorted(zeros)


@settings(deadline=None)
@given(batches(), days)
def test_a_forecast_that_comes_true_is_the_release_day(facts, today):
    so_far = dated_up_to(standing(facts), today)
    reading = true_on(so_far, today)
    event(f"forecast: {reading.best is not None}")
    if reading.best is None:
        return
    came_true = all_goes_well(so_far, reading)
    assert true_on(came_true, reading.best).possible
    for between in range((reading.best - today).days):
        then = true_on(came_true, today + timedelta(days=between))
        assert (then.possible, then.best) == (False, reading.best)


def all_goes_well(facts, reading):
    """Take every sample due, all negative in time; courses end as expected, meetings today."""
    laboratory = timedelta(days=facts.openings[0].protocol.laboratory_days)
    expected = {a.sample: a.expected for a in reading.awaited}
    samples = [
        Sample(
            key=key("due"),
            taken=due.day,
            assays=(due.assay,),
            members=frozenset() if due.enclosure else frozenset(due.members),
            enclosure=due.enclosure,
            entered=due.day,
        )
        for due in reading.due
    ]
    expected |= {s.key: s.taken + laboratory for s in samples}
    told = {r.sample for r in facts.results}
    late = tuple(replace(r, reported=expected.get(r.sample, r.reported)) for r in facts.results)
    results = [
        Result(
            key=key("well"),
            sample=s.key,
            assay=s.assays[0],
            outcome=Outcome.NEGATIVE,
            reported=expected[s.key],
            entered=expected[s.key],
        )
        for s in (*facts.samples, *samples)
        if s.key not in told and s.key in expected
    ]
    ends = {u.course: u.last_dose for u in reading.unmet if isinstance(u, CourseRunning)}
    ended = tuple(replace(c, last_dose=ends.get(c.key, c.last_dose)) for c in facts.courses)
    met = tuple(replace(m, last=m.last or reading.day) for m in facts.meetings)
    return plus(replace(facts, results=late, courses=ended, meetings=met), samples, results)
