"""One of several look-alikes died, left, called or laid: entered, counted, settled, put right."""

from datetime import timedelta

import pytest
from django.utils import timezone, translation

from registry.amending import take_back_departure
from registry.conflicts import conflicts
from registry.correcting import correct, withdraw
from registry.departing import Leaving, depart
from registry.departing import objections as leaving_objections
from registry.lifetime import NotOnThatDay
from registry.models import Departure, OneOfThese, RegisterLine, SexFinding, Sexing, Stay
from registry.objections import ReasonsMissing, Stopped
from registry.observing import observe
from registry.one_of_these import (
    Among,
    enter_one_of_these,
    let_be,
    objections,
    open_again,
    settle_on,
    settle_otherwise,
)
from registry.placement import Placement, place
from registry.placement import objections as placed
from registry.presence import presences
from registry.timeline import timeline
from registry.unsettled import AmongRefused, fewer, open_departures, opened, unsettled
from tests import make

pytestmark = pytest.mark.django_db
DAY, ONE = make.DAY, timedelta(days=1)


@pytest.fixture
def keeper():
    """Somebody with every right."""
    return make.user(superuser=True)


@pytest.fixture
def three(keeper):
    """Three cleared frogs that nobody tells apart, together in one enclosure."""
    place = make.enclosure("E10")
    kind = make.taxon("Epipedobates anthonyi", grouping="group")
    frogs = [make.animal(code, taxon=kind) for code in ("A", "B", "C")]
    for frog in frogs:
        make.stay(frog, place)
    return frogs


def among(animals, what="death", day=DAY, **more):
    """Return that one of these died, by default."""
    place = Stay.objects.filter(animal=animals[0]).first().enclosure
    return Among(enclosure=place, what=what, day=day, animals=tuple(animals), **more)


def test_one_died_and_each_is_here_unless_it_was_the_one(three, keeper):
    """No animal is recorded dead and all stays go on; the company is one fewer from that day."""
    event = enter_one_of_these(among(three), by=keeper)
    assert not Departure.objects.exists()
    assert Stay.objects.current().running(DAY + ONE).count() == 3
    known = {a.pk: make_sexing() for a in three}
    assert fewer(three, open_departures()).notation(known) == "0.0.2"
    assert fewer(three, open_departures(day__lte=DAY - ONE)).notation(known) == "0.0.3"
    (one,) = opened(unsettled())
    assert one.sentence == "One of A, B and C died in E10 on 2 Mar 2026."
    assert one.only is None
    assert one.event == event


def make_sexing(sex=None):
    """Return what is known of the sex of one animal."""
    return Sexing(sex=sex, strong=bool(sex))


def test_a_company_of_both_sexes_is_told_with_one_less(three):
    """Where it may have been a male or an unsexed one, no column is made up."""
    enter_one_of_these(among(three), by=None)
    known = {a.pk: make_sexing() for a in three} | {three[0].pk: make_sexing("male")}
    assert fewer(three, open_departures()).notation(known) == "1.0.2 less 1"


def test_where_they_live_apart_since_each_place_may_have_one_fewer(three):
    """What was one of three is surely gone of all three, perhaps of two."""
    enter_one_of_these(among(three), by=None)
    few = fewer(three[:2], open_departures())
    assert not few.surely
    assert len(few.perhaps) == 1
    assert few.notation({a.pk: make_sexing() for a in three[:2]}) == "0.0.2 or fewer"


def test_several_die_on_different_days_and_no_more_than_there_are(three, keeper):
    """Three of three can die, each on its day; a fourth cannot."""
    for day in (DAY, DAY + ONE, DAY + 2 * ONE):
        enter_one_of_these(among(three, day=day), by=keeper)
    with pytest.raises(Stopped) as refused:
        enter_one_of_these(among(three, day=DAY + 3 * ONE), by=keeper)
    assert "As many of A, B and C as there were" in str(refused.value)
    assert OneOfThese.objects.count() == 3
    assert RegisterLine.objects.count() == 3
    assert fewer(three, open_departures()).notation({a.pk: make_sexing() for a in three}) == "0.0.0"


def test_a_narrower_death_counts_with_the_wider_one(three, keeper):
    """One of A and B twice leaves neither; one of all three can then only have been C."""
    enter_one_of_these(among(three[:2]), by=keeper)
    enter_one_of_these(among(three[:2], day=DAY + ONE), by=keeper)
    with pytest.raises(Stopped):
        enter_one_of_these(among(three[:2], day=DAY + ONE), by=keeper)
    enter_one_of_these(among(three, day=DAY + ONE), by=keeper)


@pytest.mark.parametrize("days", [-1, 0, 1])
def test_settled_it_is_a_death_of_the_day_it_happened(three, keeper, days):
    """The stay ends on the day of the event, and the number comes right again."""
    event = enter_one_of_these(among(three, cause="thin"), by=keeper)
    settled = settle_on(event, three[1], by=keeper)
    assert (settled.day, settled.kind, settled.cause, settled.one_of) == (
        DAY,
        "death",
        "thin",
        event,
    )
    here = presences({three[1].pk: three[1]})[three[1].pk].is_here(DAY + days * ONE)
    assert here is (days < 0)
    assert Stay.objects.current().get(animal=three[1]).end == DAY
    assert not unsettled().exists()
    assert not open_departures()
    with pytest.raises(AmongRefused, match="settled on B"):
        settle_on(event, three[0], by=keeper)


def test_settled_wrongly_it_is_put_right(three, keeper):
    """It was C: B is where it was, C is gone since that day; the register names each step."""
    event = enter_one_of_these(among(three), by=keeper)
    settle_on(event, three[1], by=keeper)
    settle_otherwise(event, three[2], by=keeper, why="B is alive; its ring was read.")
    assert Stay.objects.current().running(DAY).filter(animal=three[1]).exists()
    assert event.settlement().animal == three[2]
    lines = list(RegisterLine.objects.order_by("number"))
    assert [(line.codes, line.change, line.withdraws) for line in lines] == [
        ("one of A, B, C", -1, False),
        ("B", 0, False),
        ("one of A, B, C", 0, False),
        ("C", 0, False),
    ]
    assert [line.corrects_id for line in lines] == [None, lines[0].pk, lines[1].pk, lines[2].pk]
    assert RegisterLine.objects.all().balance() == -1


def test_opened_again_on_the_page_of_corrections_it_is_unsettled(three, keeper):
    """Taking back the departure by itself opens the question again, and the register says so."""
    event = enter_one_of_these(among(three), by=keeper)
    settled = settle_on(event, three[0], by=keeper)
    take_back_departure(settled, by=keeper, why="It sits on its leaf.")
    assert [one.event for one in opened(unsettled())] == [event]
    assert RegisterLine.objects.order_by("number").last().codes == "one of A, B, C"


def test_who_is_seen_later_can_only_be_settled_on_with_a_reason(three, keeper):
    """An observation by name after the day is an ask of the departure's own door."""
    event = enter_one_of_these(among(three), by=keeper)
    observe(three[0], "ate", DAY + ONE, keeper)
    with pytest.raises(ReasonsMissing, match="has later entries"):
        settle_on(event, three[0], by=keeper)
    settle_on(event, three[1], by=keeper)


def test_one_left_that_it_can_have_been_is_a_proposal_and_no_more(three, keeper):
    """A sold and B dead by themselves: only C is left, and nothing is settled by itself."""
    event = enter_one_of_these(among(three), by=keeper)
    depart(three[0], DAY + ONE, "sale", make.party(), keeper)
    depart(three[1], DAY + ONE, "death", None, keeper)
    (one,) = opened(unsettled())
    assert one.only == three[2]
    assert event.settlement() is None
    assert conflicts() == []


@pytest.mark.parametrize(("days", "possible"), [(-1, False), (0, False), (1, False)])
def test_who_left_by_itself_was_another_whenever_it_left(three, keeper, days, possible):
    """Before, on that day, or later: it was seen to go, so it was not the one."""
    depart(three[0], DAY + days * ONE, "death", None, keeper)
    if days <= 0:
        with pytest.raises((Stopped, NotOnThatDay, AmongRefused)):
            enter_one_of_these(among(three), by=keeper)
        return
    with pytest.raises(Stopped, match="leave it out, it was another"):
        enter_one_of_these(among(three), by=keeper)
    enter_one_of_these(among(three[1:]), by=keeper)


def test_an_event_whose_candidates_have_all_gone_is_listed(three, keeper):
    """The last departure says before that nobody is left; then it stands among the conflicts."""
    enter_one_of_these(among(three[:2]), by=keeper)
    depart(three[0], DAY + ONE, "sale", make.party(), keeper)
    told = leaving_objections(Leaving(day=DAY + ONE, animals=(three[1],), kind="death"))
    assert any("Nobody is left then" in o.message and not o.is_stop for o in told)
    depart(three[1], DAY + ONE, "death", None, keeper)
    (found,) = conflicts()
    assert found.sentence.startswith("One of A and B died in E10 on 2 Mar 2026.")
    withdraw(OneOfThese.objects.get(), by=keeper, why="Counted wrong.")
    assert conflicts() == []


def test_its_line_is_written_in_the_language_of_whoever_enters_it(three, keeper):
    with translation.override("de"):
        enter_one_of_these(among(three), by=keeper)
    line = RegisterLine.objects.get()
    assert line.codes.startswith("eines von A, ")
    assert "Welches, ist nicht geklärt." in line.remark


def test_sold_it_names_its_receiver_and_its_line_the_party(three, keeper):
    """Without a receiver it is refused; with one the line is numbered at once."""
    with pytest.raises(Stopped, match="Name who received A, B or C"):
        enter_one_of_these(among(three, "sale"), by=keeper)
    buyer = make.party("Juniper Hallorane")
    event = enter_one_of_these(among(three, "sale", receiver=buyer), by=keeper)
    line = RegisterLine.objects.get()
    assert (line.kind, line.party_name, line.count, line.change) == (
        "departure",
        "Juniper Hallorane",
        1,
        -1,
    )
    settle_on(event, three[0], by=keeper)
    assert Departure.objects.get().receiver == buyer


def test_heard_calling_settles_on_a_finding_only_when_somebody_says_so(three, keeper):
    """One known female cannot have called; with one left it is proposed, never entered."""
    event = enter_one_of_these(among(three, "calling"), by=keeper)
    assert not RegisterLine.objects.exists()
    for frog in three[:2]:
        make.finding(frog, sex="female", basis="dna")
    (one,) = opened(unsettled())
    assert one.only == three[2]
    assert not SexFinding.objects.filter(animal=three[2]).exists()
    settle_on(event, three[2], by=keeper)
    found = SexFinding.objects.get(animal=three[2])
    assert (found.sex, found.basis, found.day, found.one_of) == ("male", "calling", DAY, event)
    open_again(event, by=keeper, why="It came from the next tank.")
    assert unsettled().count() == 1
    assert not three[2].sex_findings.current().exists()


def test_a_known_female_is_no_caller(three, keeper):
    """Strong findings leave somebody out; weak ones do not."""
    make.finding(three[0], sex="female", basis="laid")
    with pytest.raises(AmongRefused, match="A was found to be of the sex that never calls"):
        enter_one_of_these(among(three, "calling"), by=keeper)
    make.finding(three[1], sex="female", basis="looks")
    enter_one_of_these(among(three[1:], "calling"), by=keeper)


def test_nobody_can_have_called_is_listed(three, keeper):
    """Two callers' worth of findings later all of them are female."""
    enter_one_of_these(among(three[:2], "calling"), by=keeper)
    for frog in three[:2]:
        make.finding(frog, sex="female", basis="dna")
    assert "was heard calling" in conflicts()[0].sentence


def test_what_cannot_be_is_refused_with_a_sentence(three, keeper):
    """Alone, of two species, elsewhere, not here yet, and tomorrow."""
    other = make.animal("X")
    make.stay(other, three[0].stays.get().enclosure)
    outside = make.animal("Y", taxon=three[0].taxon)
    make.stay(outside, make.enclosure("E11"))
    tomorrow = timezone.localdate() + ONE
    for wrong, words in (
        (among(three[:1]), "at least two"),
        (among([three[0], three[0]]), "at least two"),
        (among([*three, other]), "different species"),
        (among([*three, outside]), "Y was not in E10"),
        (among(three, day=tomorrow), "still to come"),
        (among(three, day=make.DAY.replace(year=2019)), "here only from"),
    ):
        with pytest.raises((AmongRefused, NotOnThatDay), match=words):
            enter_one_of_these(wrong, by=keeper)
    assert not OneOfThese.objects.exists()
    assert not RegisterLine.objects.exists()


def test_left_as_it_is_it_is_still_one_fewer(three, keeper):
    """Let be for a reason, on a day not before it; it can be settled all the same."""
    event = enter_one_of_these(among(three), by=keeper)
    with pytest.raises(AmongRefused, match="Say why"):
        let_be(event, "  ", DAY, keeper)
    with pytest.raises(AmongRefused, match="then or later"):
        let_be(event, "All are brothers.", DAY - ONE, keeper)
    let_be(event, "All are brothers.", DAY, keeper)
    assert len(open_departures()) == 1
    settle_on(event, three[0], by=keeper)


def test_a_correction_is_held_to_the_same_and_a_settled_one_refused(three, keeper):
    """Another day is a new line; while it is settled the departure is corrected instead."""
    event = enter_one_of_these(among(three), by=keeper)
    new = correct(event, {"day": DAY - ONE}, by=keeper, why="Misread.")
    assert new.among() == three
    assert new.day == DAY - ONE
    line = RegisterLine.objects.order_by("number").last()
    assert (line.day, line.change, line.why) == (DAY - ONE, 0, "Misread.")
    with pytest.raises(NotOnThatDay, match="here only from"):
        correct(new, {"day": make.DAY.replace(year=2019)}, by=keeper, why="?")
    settle_on(new, three[0], by=keeper)
    for act in (
        lambda: correct(new, {"day": DAY}, by=keeper, why="?"),
        lambda: withdraw(new, by=keeper, why="?"),
    ):
        with pytest.raises(AmongRefused, match="settled on A"):
            act()


def test_whoever_moves_or_pairs_one_is_told(three, keeper):
    """From the day on a note says that it may be gone; before that day nothing does."""
    enter_one_of_these(among(three), by=keeper)
    for day, told in ((DAY - ONE, False), (DAY, True), (DAY + ONE, True)):
        move = Placement(day=day, enclosure=make.enclosure(), animals=(three[0],))
        said = [o.message for o in placed(move)]
        assert any("unless it was the one that died on 2 Mar 2026" in s for s in said) is told


def test_settled_after_they_were_moved_on_withdraws_the_later_stay(three, keeper):
    """The door of departures asks, and the stay after the death never was."""
    event = enter_one_of_these(among(three), by=keeper)
    place(
        Placement(day=DAY + 2 * ONE, enclosure=make.enclosure("E12"), animals=tuple(three)),
        by=keeper,
    )
    with pytest.raises(ReasonsMissing) as asked:
        settle_on(event, three[0], by=keeper)
    reasons = {o.key: "It lay there dead." for o in asked.value.objections if o.is_ask}
    settle_on(event, three[0], by=keeper, reasons=reasons)
    assert [s.end for s in Stay.objects.current().filter(animal=three[0])] == [DAY]


def test_the_time_line_of_each_tells_it(three, keeper):
    """It stands in the life of all, and after settling it names the one."""
    event = enter_one_of_these(among(three), by=keeper)
    told = [e.text for e in timeline(three[1])]
    assert "One of A, B and C died in E10 on 2 Mar 2026. Which one is not settled." in told
    settle_on(event, three[0], by=keeper)
    assert "One of A, B and C died in E10 on 2 Mar 2026. It was A." in [
        e.text for e in timeline(three[1])
    ]


def test_full_is_counted_without_the_dead(three, keeper):
    """Two living of three leave room for one more in an enclosure for three."""
    home = three[0].stays.get().enclosure
    home.room_for = 3
    home.save()
    fourth = make.animal("D", taxon=three[0].taxon)
    asks = [o.rule for o in objections(among(three), DAY)]
    assert "enclosure_has_room" not in asks
    before = [o.rule for o in placed(Placement(day=DAY, enclosure=home, animals=(fourth,)))]
    enter_one_of_these(among(three), by=keeper)
    after = [o.rule for o in placed(Placement(day=DAY, enclosure=home, animals=(fourth,)))]
    assert "enclosure_has_room" in before
    assert "enclosure_has_room" not in after
