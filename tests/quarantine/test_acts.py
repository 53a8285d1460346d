"""What cannot be is refused with a sentence, and nothing is changed."""

from datetime import timedelta

import pytest

from quarantine import clearing, holding, isolating, pasting, treating
from quarantine import models as q
from quarantine.amending import amend, take_back
from quarantine.examining import Finding, enter_necropsy
from quarantine.isolating import Opening, open_isolation
from quarantine.refusals import ActRefused, NoRight, StalePage
from quarantine.reporting import correct_result, decide, report
from quarantine.rounds import Round, covered, enter_round, in_pools
from registry import models as m
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY = qmake.DAY
ONE = timedelta(days=1)
NOW = qmake.moment(DAY + 30 * ONE)


@pytest.fixture
def by():
    """Somebody with every right of quarantine."""
    rights = ["sign_clearance", "override_clearance", "hold_by_hand", "open_isolation"]
    return make.user("vet", rights=[f"quarantine.{right}" for right in rights])


def opening(*animals, day=DAY, **more):
    """Return what is said of an isolation."""
    told = {"name": "Q1", "kind": "incoming", "version": qmake.version()}
    return Opening(day=day, animals=animals, **told | more)


def bd():
    """Return the swab for Bd."""
    return q.Assay.objects.get(code="bd-pcr")


def refuses(words, act, *args, **more):
    """Hold that an act is refused in these words."""
    with pytest.raises(ActRefused, match=words):
        act(*args, at=NOW, **more)


@pytest.mark.parametrize(("days", "refused"), [(-1, True), (0, False), (1, False)])
def test_an_isolation_opens_not_before_its_newest_member_came(by, days, refused):
    """The day before is refused; the day it came and later are not."""
    told = opening(qmake.newcomer("EA-1"), qmake.newcomer("EA-2", since=DAY - 9 * ONE))
    told = opening(*told.animals, day=DAY + days * ONE)
    if refused:
        refuses("EA-1", open_isolation, told, by=by)
        assert not q.Isolation.objects.exists()
    else:
        assert open_isolation(told, by=by, at=NOW).members.count() == 2


def test_an_isolation_opens_not_before_its_newest_member_was_exposed(by):
    """A resident that met a held one on the fifth day."""
    room = make.enclosure("E10")
    resident = qmake.resident("D-01", room)
    make.stay(qmake.newcomer("EA-1"), room, start=DAY + 5 * ONE, end=DAY + 6 * ONE)
    early = opening(resident, day=DAY + 4 * ONE, kind="exposed")
    refuses("held only since 7 Mar 2026", open_isolation, early, by=by)
    open_isolation(opening(resident, day=DAY + 5 * ONE, kind="exposed"), by=by, at=NOW)


def test_nobody_dead_gone_or_double_is_isolated(by):
    """Each is refused by name."""
    dead = qmake.newcomer("EA-1")
    make.departure(dead, day=DAY + 2 * ONE, kind="death")
    refuses("EA-1 died on 4 Mar 2026", open_isolation, opening(dead, day=DAY + ONE), by=by)
    sold = qmake.newcomer("EA-2")
    make.departure(sold, day=DAY + 2 * ONE)
    refuses("EA-2 left", open_isolation, opening(sold, day=DAY + 3 * ONE), by=by)
    refuses("Choose at least one animal", open_isolation, opening(), by=by)
    ahead = opening(qmake.newcomer("EA-3"), day=DAY + 31 * ONE)
    refuses("still to come", open_isolation, ahead, by=by)


def test_a_released_batch_takes_nobody_in(by):
    """Those that come open a new isolation."""
    first = qmake.newcomer("EA-1")
    isolation = qmake.isolation([first])
    make.clearance([first], day=DAY + 5 * ONE, isolation=isolation, by=by)
    refuses("is released", isolating.join, isolation, [qmake.newcomer("EA-2")], DAY, by=by)


def test_one_released_from_a_batch_may_join_another(by):
    """Its membership of the first ends there; the evidence of its clearance still stands."""
    from quarantine.changed import change_of

    first = qmake.newcomer("EA-1")
    isolation = qmake.isolation([first], version=qmake.version(min_days=0))
    isolation.version.tests.all().delete()
    qmake.as_it_happened()
    signed = clearing.sign_clearance(isolation, DAY, by=by, at=qmake.moment(DAY))
    again = opening(first, day=DAY, kind="sick", name="Q2")
    open_isolation(again, by=by, at=NOW)
    assert isolation.members.get().end == DAY
    assert change_of(signed) is None


def test_a_split_parts_some_and_leaves_some(by):
    """Nobody, everybody and strangers are refused; the part keeps the day the whole opened."""
    animals = [qmake.newcomer(f"EA-{n}") for n in range(3)]
    isolation = qmake.isolation(animals)
    stranger = qmake.newcomer("N-1")
    split = isolating.split
    refuses("Nobody would stay", split, isolation, animals, DAY + ONE, "Part", by=by)
    refuses("N-1 is not living in Q1", split, isolation, [stranger], DAY + ONE, "Part", by=by)
    refuses("opened on", split, isolation, animals[:1], DAY - ONE, "Part", by=by)
    part = split(isolation, animals[:1], DAY + ONE, "Part", by=by, at=NOW)
    assert (part.opened, part.split_on) == (DAY, DAY + ONE)
    assert isolation.members.filter(end__isnull=True).count() == 2


@pytest.mark.parametrize(("days", "refused"), [(-1, True), (0, False), (10, False), (11, True)])
def test_a_sample_is_taken_between_arrival_and_death(by, days, refused):
    """The day of arrival and the day of death count; before and after are refused."""
    animal = qmake.newcomer("EA-1")
    make.departure(animal, day=DAY + 10 * ONE, kind="death")
    taken = Round(day=DAY + days * ONE, assays=(bd(),), singly=(animal,))
    if refused:
        refuses("No sample of EA-1", enter_round, taken, by=by)
        assert not q.Sample.objects.exists()
    else:
        enter_round(taken, by=by, at=NOW)


def test_a_sample_of_an_empty_enclosure_is_of_nobody(by):
    """It is refused; one where somebody stays covers those."""
    room = make.enclosure("Q1")
    taken = Round(day=DAY, assays=(bd(),), enclosures=(room,))
    refuses("Nobody stayed in Q1", enter_round, taken, by=by)
    animal = qmake.newcomer("EA-1", room)
    (sample,) = enter_round(taken, by=by, at=NOW)
    assert covered(sample) == [animal]
    ahead = Round(day=DAY + 31 * ONE, assays=(bd(),), enclosures=(room,))
    refuses("still to come", enter_round, ahead, by=by)


def test_a_pool_holds_at_most_five_swabs(by):
    """Six animals make two pools, each one sample."""
    animals = [qmake.newcomer(f"EA-{n}") for n in range(6)]
    pools = in_pools(animals)
    samples = enter_round(Round(day=DAY, assays=(bd(),), pools=pools, label="L"), by=by, at=NOW)
    assert [s.animals.count() for s in samples] == [5, 1]
    assert [s.label for s in samples] == ["L-1", "L-2"]


def test_a_result_is_of_its_sample_and_has_one_verdict(by):
    """Not before the sample, not ahead, not twice, and a verdict only of a positive."""
    sample = qmake.sample(animals=[qmake.newcomer("EA-1")], day=DAY + 3 * ONE)
    refuses("cannot be reported before", report, sample, DAY + 2 * ONE, "negative", by=by)
    refuses("still to come", report, sample, DAY + 31 * ONE, "negative", by=by)
    refuses("Only a positive", report, sample, DAY + 4 * ONE, "negative", by=by, verdict="accepted")
    refuses("negative, positive or inconclusive", report, sample, DAY + 4 * ONE, "fine", by=by)
    result = report(sample, DAY + 3 * ONE, "positive", by=by, at=NOW)
    refuses("correct that one", report, sample, DAY + 4 * ONE, "negative", by=by)
    refuses("Say why", decide, result, "accepted", by=by, why=" ")
    new = decide(result, "accepted", by=by, why="light", at=NOW)
    assert (new.day, new.verdict) == (result.day, "accepted")
    late = {"by": by, "why": "slip"}
    refuses("corrected already", correct_result, result, DAY + 5 * ONE, "negative", **late)


def test_a_pasted_table_is_read_line_by_line_and_saved_whole(by):
    """What is wrong is said by its line; then nothing of it is saved."""
    animals = [qmake.newcomer(f"EA-{n}") for n in (1, 2)]
    enter_round(Round(day=DAY, assays=(bd(),), singly=tuple(animals)), by=by, at=NOW)
    text = "EA-1\tBd PCR\tnegative\nEA-9\tBd PCR\tnegative\nEA-2\tBd PCR\tmaybe"
    with pytest.raises(pasting.LinesRefused) as refused:
        pasting.read(text, DAY + ONE)
    assert refused.value.problems[0].startswith("Line 3: “maybe” is no outcome known here")
    lines = pasting.read("EA-1;Bd PCR;neg\n\nEA-9;bd-pcr;not detected", DAY + ONE)
    with pytest.raises(pasting.LinesRefused) as refused:
        pasting.report_lines(lines, by=by, at=NOW)
    assert refused.value.problems == [
        "Line 3: EA-9 is not covered by a Bd PCR sample that waits for its result."
    ]
    assert not q.Result.objects.exists()
    good = pasting.read("EA-1, Bd PCR, pos, 2026-03-20, all again\nEA-2, Bd PCR, neg", DAY + ONE)
    first, second = pasting.report_lines(good, by=by, at=NOW)
    assert (first.outcome, first.verdict, str(first.day)) == ("positive", "all again", "2026-03-20")
    assert (second.outcome, second.day) == ("negative", DAY + ONE)


def test_two_samples_of_one_animal_are_told_apart_by_day_or_label(by):
    """Without either the line is refused, naming both days."""
    animal = qmake.newcomer("EA-1")
    for days in (0, 14):
        qmake.sample(animals=[animal], day=DAY + days * ONE, label=f"L{days}")
    lines = pasting.read("EA-1, Bd PCR, neg", DAY + 20 * ONE)
    with pytest.raises(pasting.LinesRefused, match="2 Mar 2026 and 16 Mar 2026"):
        pasting.report_lines(lines, by=by, at=NOW)
    lines = pasting.read("L0, Bd PCR, neg\nEA-1, Bd PCR, neg,,,16.03.2026", DAY + 20 * ONE)
    assert len(pasting.report_lines(lines, by=by, at=NOW)) == 2


@pytest.mark.parametrize(("days", "refused"), [(-1, True), (0, False), (1, False)])
def test_a_course_ends_on_its_first_day_at_the_earliest(by, days, refused):
    """The day before the first dose is refused."""
    isolation = qmake.isolation([qmake.newcomer("EA-1")])
    told = treating.Treatment(what="a bath, as prescribed", day=DAY + 5 * ONE)
    course = treating.begin_course(isolation, told, by=by, at=NOW)
    if refused:
        refuses("cannot be before", treating.end_course, course, DAY + 4 * ONE, by=by)
    else:
        treating.end_course(course, DAY + (5 + days) * ONE, by=by, at=NOW)
        refuses("is on record", treating.end_course, course, DAY + 9 * ONE, by=by)


def test_a_course_is_of_an_open_batch_and_as_prescribed(by):
    """Not before the opening, not ahead, with its words, and planned forward."""
    isolation = qmake.isolation([qmake.newcomer("EA-1")])
    for words, told in (
        ("begins later", {"what": "x", "day": DAY - ONE}),
        ("once its first dose", {"what": "x", "day": DAY + 31 * ONE}),
        ("as they were prescribed", {"what": " ", "day": DAY}),
        ("planned before the first", {"what": "x", "day": DAY, "planned_last": DAY - ONE}),
    ):
        treatment = treating.Treatment(**told)
        refuses(words, treating.begin_course, isolation, treatment, by=by)


def test_a_necropsy_is_of_a_death_and_names_what_it_accepts(by):
    """Not before the death; nothing found wants a veterinarian's name."""
    animal = qmake.newcomer("EA-1")
    death = make.departure(animal, day=DAY + 3 * ONE, kind="death")
    enter = enter_necropsy
    refuses("not examined before", enter, death, Finding(day=DAY + 2 * ONE, cause="x"), by=by)
    unnamed = Finding(day=DAY + 4 * ONE, accepted=True)
    refuses("Name the cause", enter, death, unnamed, by=by)
    unsigned = Finding(day=DAY + 4 * ONE, none_can_be_found=True)
    refuses("Name the veterinarian", enter, death, unsigned, by=by)
    found = Finding(day=DAY + 4 * ONE, cause="chytrid", positive=(bd(),))
    enter_necropsy(death, found, by=by, at=NOW)
    sample = q.Sample.objects.get()
    assert (sample.day, sample.carcass, sample.results.get().day) == (death.day, True, found.day)


def test_only_some_may_hold_by_hand_and_they_say_why(by):
    """The animal, everyone in an enclosure, or in a unit."""
    animal = qmake.resident("D-01", make.enclosure("E1"))
    with pytest.raises(NoRight):
        holding.hold(animal, "thin", DAY, by=make.user(), at=NOW)
    refuses("Write why", holding.hold, animal, " ", DAY, by=by)
    refuses("still to come", holding.hold, animal, "thin", DAY + 31 * ONE, by=by)
    held = holding.hold(animal, "thin", DAY, by=by, at=NOW)
    refuses("ends on that day or later", holding.end_hold, held, DAY - ONE, by=by)
    holding.end_hold(held, DAY, by=by, at=NOW)
    from registry.standing import standings

    assert standings([animal], DAY + 9 * ONE)[animal.pk].state == "held"


def ready(by):
    """Return a batch that can be released on the first day."""
    version = qmake.version(min_days=0)
    version.tests.all().delete()
    return qmake.isolation([qmake.newcomer("EA-1")], version=version)


def test_a_clearance_wants_its_right_and_a_fresh_page(by):
    """Without the right, or with something entered since, it is refused with a sentence."""
    isolation = ready(by)
    with pytest.raises(NoRight, match="may not sign a clearance"):
        clearing.sign_clearance(isolation, DAY, by=make.user("helper"), at=NOW)
    seal = clearing.evidence(isolation, DAY).seal
    m.Observation.objects.create(
        animal=m.Animal.objects.get(code="EA-1"), kind="weight", grams=2, start=DAY
    )
    with pytest.raises(StalePage, match="since this page was shown"):
        clearing.sign_clearance(isolation, DAY, by=by, seal=seal, at=NOW)
    assert not q.Clearance.objects.filter(isolation=isolation).exists()
    fresh = clearing.evidence(isolation, DAY).seal
    clearing.sign_clearance(isolation, DAY, by=by, seal=fresh, at=NOW)


def test_a_release_waits_for_its_day_and_is_not_signed_ahead(by):
    """The last day of waiting is refused, the sixtieth is not; tomorrow is refused."""
    version = qmake.version()
    version.tests.all().delete()
    isolation = qmake.isolation([qmake.newcomer("EA-1")], version=version)
    sign = clearing.sign_clearance
    with pytest.raises(ActRefused, match="release from 1 May 2026"):
        sign(isolation, DAY + 59 * ONE, by=by, at=qmake.moment(DAY + 59 * ONE))
    with pytest.raises(ActRefused, match="not ahead"):
        sign(isolation, DAY + 60 * ONE, by=by, at=qmake.moment(DAY + 59 * ONE))
    sign(isolation, DAY + 60 * ONE, by=by, at=qmake.moment(DAY + 60 * ONE))


def test_an_override_lists_what_was_unmet(by):
    """It names the veterinarian and the reason; the points it listed are not flagged later."""
    from quarantine.changed import change_of

    isolation = qmake.isolation([qmake.newcomer("EA-1")])
    told = {"veterinarian": "Dr. Quill", "grounds": "tested before it came", "by": by}
    refuses(
        "Name the veterinarian", clearing.override, isolation, DAY, **told | {"veterinarian": " "}
    )
    refuses("reason", clearing.override, isolation, DAY, **told | {"grounds": ""})
    signed = clearing.override(isolation, DAY, at=NOW, **told)
    assert any("Bd PCR" in sentence for sentence in signed.unmet)
    assert signed.evidence["listed"]
    assert change_of(signed) is None


def test_nobody_is_released_under_a_protocol_that_releases_nobody(by):
    """Not even by an override."""
    version = qmake.version(never_releases=True)
    isolation = qmake.isolation([qmake.newcomer("EA-1")], version=version)
    told = {"veterinarian": "Dr. Quill", "grounds": "please", "by": by}
    refuses("releases nobody", clearing.override, isolation, DAY, **told)


def test_opening_stock_is_cleared_by_one_act_on_grounds(by):
    """Only what came as opening stock, once, with grounds."""
    stock = [make.animal(f"S-{n}", arrived=False) for n in (1, 2)]
    make.arrival(stock, kind="opening", day=DAY - 900 * ONE)
    stranger = qmake.newcomer("EA-1")
    clear = clearing.clear_opening_stock
    refuses("On what grounds|on what grounds", clear, stock, DAY, by=by, grounds=" ")
    refuses("EA-1 is no opening stock", clear, [stranger], DAY, by=by, grounds="here for years")
    signed = clear(stock, DAY, by=by, grounds="here for years", at=NOW)
    assert signed.animals.count() == 2
    refuses("cleared already", clear, stock, DAY + ONE, by=by, grounds="again")


def test_corrections_are_held_to_what_held_the_entry(by):
    """A sample, a course, a membership, an opening, an arrival."""
    animal = qmake.newcomer("EA-1", make.enclosure("Q1"))
    isolation = qmake.isolation([animal])
    sample = qmake.sample(animals=[animal], day=DAY + ONE)
    late = {"by": by, "why": "slip"}
    refuses("No sample of EA-1", amend, sample, {"day": DAY - ONE}, **late)
    refuses("Say why", amend, sample, {"day": DAY}, by=by, why="")
    new = amend(sample, {"day": DAY + 2 * ONE}, at=NOW, **late)
    assert (new.day, list(new.animals.all())) == (DAY + 2 * ONE, [animal])
    refuses("corrected already", amend, sample, {"day": DAY}, **late)
    membership = isolation.members.get()
    refuses("opened on", amend, membership, {"start": DAY - ONE}, **late)
    refuses("still to come", amend, isolation, {"opened": DAY + 31 * ONE}, **late)
    arrival = m.Arrival.objects.get(animals=animal)
    refuses("is entered in Q1", amend, arrival, {"day": DAY + ONE}, **late)
    newer = amend(arrival, {"day": DAY - ONE}, at=NOW, **late)
    assert list(newer.animals.all()) == [animal]
    take_back(new, at=NOW, **late)
    assert not q.Sample.objects.current().exists()
