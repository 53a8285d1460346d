"""One of several in quarantine died or left: clock, tests, standings, contacts, and the audit."""

from datetime import timedelta

import pytest

from quarantine.auditing import audit
from quarantine.batches import batch_on
from quarantine.clearing import sign_clearance
from quarantine.examining import Finding, enter_necropsy
from quarantine.held import standings
from quarantine.models import Assay, Sample
from quarantine.phrases import start_words
from quarantine.readings import Cause, NegativesMissing
from quarantine.refusals import ActRefused
from quarantine.tracing import Asked, trace
from registry.departing import objections as asked
from registry.objections import ReasonsMissing
from registry.one_of_these import (
    Among,
    enter_one_of_these,
    leaving_of,
    objections,
    open_again,
    settle_on,
)
from tests import make
from tests.quarantine import make as q

pytestmark = pytest.mark.django_db
DAY = make.DAY
DIED = DAY + timedelta(days=30)  # 1 Apr 2026
BEST = DAY + timedelta(days=60)


def after(days, since=DIED):
    """Return a day so many days after the death."""
    return since + timedelta(days=days)


@pytest.fixture
def keeper():
    """Somebody with every right."""
    return make.user(superuser=True)


@pytest.fixture
def tank():
    """Where the batch waits."""
    return make.enclosure("Q1", unit=make.unit("Quarantine", role="quarantine"))


@pytest.fixture
def three(tank):
    """Three newcomers that nobody tells apart, in one enclosure."""
    kind = make.taxon("Epipedobates anthonyi", grouping="group")
    return [q.newcomer(code, tank, taxon=kind) for code in ("A", "B", "C")]


@pytest.fixture
def batch(three):
    """Their isolation: 60 days, Bd and ranavirus once from day 14, two faecals."""
    return q.isolation(three)


def one_died(animals, tank, keeper, day=DIED, **more):
    """Enter that one of these died, on the evening of that day."""
    told = Among(enclosure=tank, what="death", day=day, animals=tuple(animals), **more)
    return enter_one_of_these(told, by=keeper, at=q.moment(day))


def zero(batch, on):
    """Return day zero and its cause on a day."""
    start = batch_on(batch, on).reading.zero
    return start.day, start.cause


def swabbed(animals, tank, day):
    """Everything asked of some animals is sampled on a day and negative a week later."""
    for assay in ("bd-pcr", "ranavirus-pcr"):
        for one in animals:
            q.result(q.sample(assay, [one], day=day), day=after(7, day))
    for when in (day, after(14, day)):
        q.result(q.sample("faecal", enclosure=tank, day=when), day=after(7, when))


@pytest.mark.parametrize(("days", "cause"), [(-1, Cause.OPENED), (0, None), (1, None)])
def test_it_is_a_death_in_their_batch_from_its_day_on(three, tank, batch, keeper, days, cause):
    """Day zero is the day of the death, the day before it is still the opening."""
    one_died(three, tank, keeper)
    found = zero(batch, after(days))
    assert found == ((DAY, cause) if cause else (DIED, Cause.DEATH_OF_ONE))


def test_it_is_told_as_that_of_one_of_these(three, tank, batch, keeper):
    """The sentence names all among which it was."""
    one_died(three, tank, keeper)
    start = batch_on(batch, after(1)).reading.zero
    words = start_words(start, {}, {})
    assert words == "one of A, B and C died on 1 Apr 2026 and the death is not explained"


def test_before_it_is_saved_the_delay_is_shown(three, tank, batch):
    """Thirty days, as a death of one known by name would."""
    told = Among(enclosure=tank, what="death", day=DIED, animals=tuple(three))
    said = [o.message for o in objections(told, DIED)]
    assert "Q1 would be delayed by 30 days: 31 May 2026 instead of 1 May 2026." in said


def test_a_death_among_two_batches_counts_in_both(tank, keeper):
    """Whichever it was, each batch may have lost it."""
    first, second = q.newcomer("A", tank), q.newcomer("B", tank)
    batches = [q.isolation([first], name="I"), q.isolation([second], name="II")]
    one_died([first, second], tank, keeper)
    assert [zero(one, DIED) for one in batches] == [(DIED, Cause.DEATH_OF_ONE)] * 2


@pytest.mark.parametrize("how", ["cause", "veterinarian"])
def test_explained_it_no_longer_counts_settled_or_not(three, tank, batch, keeper, how):
    """An accepted cause, or a veterinarian's word; it holds when it is settled later."""
    event = one_died(three, tank, keeper)
    given = {
        "cause": {"cause": "drowned", "accepted": True},
        "veterinarian": {"none_can_be_found": True, "veterinarian": make.party("Dr. Quill")},
    }[how]
    enter_necropsy(event, Finding(day=after(5), **given), by=keeper, at=q.moment(after(5)))
    assert zero(batch, after(6)) == (DAY, Cause.OPENED)
    settle_on(event, three[1], by=keeper, at=q.moment(after(8)))
    assert zero(batch, after(9)) == (DAY, Cause.OPENED)
    with pytest.raises(ActRefused, match="settled on B"):
        enter_necropsy(event, Finding(day=after(9)), by=keeper)


def test_a_necropsy_is_not_before_the_death(three, tank, keeper):
    """The day before is refused, the day itself is not."""
    event = one_died(three, tank, keeper)
    with pytest.raises(ActRefused, match="A, B or C died"):
        enter_necropsy(event, Finding(day=after(-1)), by=keeper)
    enter_necropsy(event, Finding(day=DIED), by=keeper)


def test_true_and_known_differ_until_it_was_settled(three, tank, batch, keeper):
    """The audit of the days between says what was known then: one of three."""
    q.as_it_happened()
    event = one_died(three, tank, keeper)
    settle_on(event, three[1], by=keeper, at=q.moment(after(10)))
    (line,) = audit(after(5))
    assert line.known.why.startswith("one of A, B and C died")
    assert line.true.why.startswith("B died")
    assert (line.true.zero, line.known.zero) == (DIED, DIED)
    (line,) = audit(after(10))
    assert line.known.why.startswith("B died")
    (line,) = audit(after(-1))
    assert line.differs == []


def test_opened_again_it_was_known_as_settled_in_between(three, tank, batch, keeper):
    """Unsettled, settled, unsettled: each day knows its own; today it is one of three."""
    q.as_it_happened()
    event = one_died(three, tank, keeper)
    settle_on(event, three[1], by=keeper, at=q.moment(after(4)))
    open_again(event, by=keeper, why="B sits on its leaf.", at=q.moment(after(8)))
    for days, who in ((3, "one of"), (4, "B died"), (7, "B died"), (8, "one of"), (20, "one of")):
        (line,) = audit(after(days))
        assert line.known.why.startswith(who), days
        assert line.true.why.startswith("one of")


def test_a_late_entry_was_not_known_before(three, tank, batch, keeper):
    """Back-dated by nine days: true from the death, known from the entry."""
    q.as_it_happened()
    told = Among(enclosure=tank, what="death", day=DIED, animals=tuple(three))
    enter_one_of_these(told, by=keeper, at=q.moment(after(9)))
    (line,) = audit(after(8))
    assert (line.true.zero, line.known.zero) == (DIED, DAY)
    (line,) = audit(after(9))
    assert (line.true.zero, line.known.zero) == (DIED, DIED)


@pytest.mark.parametrize("days", [0, 1])
def test_a_dead_one_owes_no_test_once_the_others_are_known_to_live(
    three, tank, batch, keeper, days
):
    """A and B sampled by name after the death: C was the one; sampled on its day proves nothing."""
    one_died(three, tank, keeper)
    swabbed(three[:2], tank, after(days + 14) if days else DIED)
    reading = batch_on(batch, after(90)).reading
    owing = {p.member for p in reading.unmet if isinstance(p, NegativesMissing)}
    assert "C" in reading.living if not days else reading.living == ("A", "B")
    assert reading.possible is bool(days)
    assert ("C" in owing) is not bool(days)


def test_a_sample_of_all_of_them_proves_nothing_about_any(three, tank, batch, keeper):
    """A keeper who ticks three codes for two frogs has not found out which one died."""
    one_died(three, tank, keeper)
    q.sample("bd-pcr", three, day=after(14))
    assert batch_on(batch, after(15)).reading.living == ("A", "B", "C")


def test_released_are_those_that_live(three, tank, batch, keeper):
    """The one that can only have been the dead is not signed out; it is settled on later."""
    event = one_died(three, tank, keeper)
    swabbed(three[:2], tank, after(14))
    signed = sign_clearance(batch, after(60), by=keeper, at=q.moment(after(60)))
    assert {a.code for a in signed.animals.all()} == {"A", "B"}
    settle_on(event, three[2], by=keeper, at=q.moment(after(61)))
    assert batch_on(batch, after(62)).change is None


def test_all_of_them_dead_leaves_nobody_to_release(three, tank, batch, keeper):
    """Three deaths of three, none settled: the batch has ended."""
    for days in (0, 1, 2):
        one_died(three, tank, keeper, day=after(days))
    reading = batch_on(batch, after(3)).reading
    assert reading.living == ()
    assert reading.best is None


def test_each_goes_on_meeting_others(three, tank, batch, keeper):
    """Until it is settled C may live: a resident it is put to is held from that day."""
    home = make.enclosure("E10")
    resident = q.resident("R", home)
    event = one_died(three, tank, keeper)
    three[2].stays.update(end=after(3), ended_at=q.moment(after(3)))
    make.stay(three[2], home, start=after(3))
    assert standings([resident], after(3))[resident.pk].is_held
    assert not standings([resident], after(2))[resident.pk].is_held
    assert event.settlement() is None


def test_sold_while_held_is_an_ask_and_the_receiver_is_told(three, tank, batch, keeper):
    """One question for all of them; a trace names each that may be the one."""
    buyer = make.party("Juniper Hallorane")
    told = Among(enclosure=tank, what="sale", day=DIED, animals=tuple(three), receiver=buyer)
    with pytest.raises(ReasonsMissing) as refused:
        enter_one_of_these(told, by=keeper)
    asks = [o for o in refused.value.objections if o.is_ask]
    assert [o.message for o in asks] == [
        "A, B and C are held; the paper of the one prints “held”, and Juniper Hallorane is told."
    ]
    reasons = {o.key: "She keeps it apart." for o in asks}
    event = enter_one_of_these(told, by=keeper, reasons=reasons)
    assert event.held
    assert event.answers.get().reason == "She keeps it apart."
    found = trace(Asked(animal=three[0], start=DAY, until=after(1))).trace
    assert [(t.who, t.receiver, t.perhaps) for t in found.to_be_told] == [
        (code, "Juniper Hallorane", True) for code in ("A", "B", "C")
    ]
    settle_on(event, three[1], by=keeper, reasons=_all_asks(event, three[1]))
    found = trace(Asked(animal=three[0], start=DAY, until=after(1))).trace
    assert [(t.who, t.perhaps) for t in found.to_be_told] == [("B", False)]


def _all_asks(event, animal):
    """Return a reason for whatever settling asks."""
    return {o.key: "As entered." for o in asked(leaving_of(event, animal)) if o.is_ask}


def test_what_was_found_in_the_carcass_is_of_whomever_it_is_of(three, tank, batch, keeper):
    """Positive for all until it is settled, then of the one, and of all when it is opened again."""
    event = one_died(three, tank, keeper)
    found = Finding(day=after(5), positive=(Assay.objects.get(code="bd-pcr"),))
    enter_necropsy(event, found, by=keeper, at=q.moment(after(5)))

    def named():
        (sample,) = Sample.objects.current()
        assert (sample.day, sample.carcass, sample.results.count()) == (DIED, True, 1)
        return [a.code for a in sample.animals.order_by("code")]

    assert named() == ["A", "B", "C"]
    assert zero(batch, after(6))[0] == DIED
    settle_on(event, three[0], by=keeper, at=q.moment(after(7)))
    assert named() == ["A"]
    open_again(event, by=keeper, why="A is alive.", at=q.moment(after(8)))
    assert named() == ["A", "B", "C"]


def test_a_death_of_one_after_the_release_changes_no_evidence(three, tank, batch, keeper):
    """The day after signing it counts nothing; back-dated before it, the evidence has changed."""
    swabbed(three, tank, after(14, DAY))
    sign_clearance(batch, BEST, by=keeper, at=q.moment(BEST))
    one_died(three, tank, keeper, day=after(1, BEST))
    assert batch_on(batch, after(2, BEST)).change is None
    told = Among(enclosure=tank, what="death", day=DIED, animals=tuple(three))
    enter_one_of_these(told, by=keeper, at=q.moment(after(3, BEST)))
    assert batch_on(batch, after(4, BEST)).change is not None
