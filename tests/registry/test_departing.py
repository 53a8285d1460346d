"""An animal leaves through one door, once, and what ran or was planned ends with it."""

from datetime import UTC, date, datetime

import pytest

from registry.departing import Leaving, depart, depart_together, objections
from registry.models import Departure, Missing, Observation, Pairing, Stay
from registry.objections import ReasonsMissing, Stopped
from registry.placement import Placement, place
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
DAY = make.DAY
BEFORE, AFTER = date(2026, 3, 1), date(2026, 3, 3)
NOON = datetime(2026, 3, 10, 12, tzinfo=UTC)


def leave(animal, day=DAY, kind="death", receiver=None, at=NOON, **more):
    return depart(animal, day, kind, receiver, make.user(), at=at, **more)


def test_a_death_ends_the_running_stay_on_its_day():
    animal = make.animal()
    stay = make.stay(animal, make.enclosure())
    departure = leave(animal, cause="found dead")
    stay.refresh_from_db()
    assert (stay.end, stay.ended_by, stay.ended_at) == (DAY, departure.entered_by, NOON)
    assert departure.cause == "found dead"


def test_an_end_already_on_record_is_corrected_and_not_overwritten():
    animal = make.animal()
    stay = make.stay(animal, make.enclosure(), end=date(2026, 3, 20))
    leave(animal)
    stay.refresh_from_db()
    assert stay.superseded_at == NOON
    assert stay.replaced_by.end == DAY
    assert stay.replaced_by.why == "Left on 2 Mar 2026 (death)."


def test_stays_planned_for_later_are_withdrawn_with_the_reason():
    animal = make.animal()
    make.stay(animal, make.enclosure(), end=date(2026, 4, 1))
    planned = make.stay(animal, make.enclosure("E-later"), start=date(2026, 4, 1))
    leave(animal)
    planned.refresh_from_db()
    assert planned.replaced_by.void
    assert "Left on" in planned.replaced_by.why
    assert not Stay.objects.current().filter(animal=animal, end__isnull=True).exists()


@pytest.mark.parametrize("day", [BEFORE, DAY, AFTER])
def test_nobody_dies_twice(day):
    animal = make.animal()
    leave(animal)
    with pytest.raises(Stopped, match="died on 2 Mar 2026"):
        leave(animal, day=day)
    assert Departure.objects.count() == 1


@pytest.mark.parametrize(("day", "allowed"), [(BEFORE, False), (DAY, True), (AFTER, True)])
def test_an_animal_leaves_from_its_day_of_arrival_on(day, allowed):
    animal = make.animal(here_since=DAY)
    if allowed:
        assert leave(animal, day=day)
    else:
        with pytest.raises(Stopped, match="is here only from 2 Mar 2026"):
            leave(animal, day=day)


@pytest.mark.parametrize(("day", "allowed"), [(9, True), (10, True), (11, False)])
def test_a_departure_is_entered_on_its_day_or_later(day, allowed):
    animal = make.animal()
    if allowed:
        assert leave(animal, day=date(2026, 3, day))
    else:
        with pytest.raises(Stopped, match="still to come"):
            leave(animal, day=date(2026, 3, day))


@pytest.mark.parametrize("kind", ["sale", "gift", "exchange", "loan", "handed over"])
def test_a_living_animal_goes_to_somebody_named(kind):
    with pytest.raises(Stopped, match="Name who received"):
        leave(make.animal(), kind=kind)
    assert leave(make.animal(), kind=kind, receiver=make.party())


@pytest.mark.parametrize("kind", ["sale", "gift", "exchange", "loan", "handed over"])
def test_one_that_is_not_found_leaves_alive_only_once_it_was_found(kind):
    animal, ann = make.animal(), make.party("Ann")
    entry = Missing.objects.create(animal=animal, day=DAY)
    with pytest.raises(Stopped, match="not found since 2 Mar 2026; enter first where it was found"):
        leave(animal, kind=kind, receiver=ann)
    assert not Departure.objects.exists()
    assert not objections(Leaving(day=BEFORE, animals=(animal,), kind=kind, receiver=ann))
    entry.found_on = AFTER
    entry.save()
    with pytest.raises(Stopped, match="not found since"):
        leave(animal, kind=kind, receiver=ann)
    assert leave(animal, day=AFTER, kind=kind, receiver=ann).receiver == ann


@pytest.mark.parametrize("kind", ["death", "escape"])
def test_one_that_is_not_found_may_have_died_or_escaped(kind):
    animal = make.animal()
    Missing.objects.create(animal=animal, day=DAY)
    assert leave(animal, day=AFTER, kind=kind).kind == kind


def test_who_came_back_may_leave_again():
    animal = make.animal()
    leave(animal, day=BEFORE, kind="loan", receiver=make.party())
    make.arrival([animal], day=AFTER, kind="return")
    assert leave(animal, day=date(2026, 3, 5), kind="sale", receiver=make.party())


def test_a_departure_entered_after_the_return_leaves_the_later_stay_alone():
    animal = make.animal()
    make.stay(animal, make.enclosure(), end=date(2026, 3, 5))
    make.arrival([animal], day=date(2026, 3, 5), kind="return")
    after = make.stay(animal, make.enclosure(), start=date(2026, 3, 5))
    leave(animal, kind="loan", receiver=make.party())
    after.refresh_from_db()
    assert after.superseded_at is None
    assert after.end is None


def test_a_stay_that_began_after_the_departure_is_asked_about():
    animal = make.animal()
    make.stay(animal, make.enclosure(), end=AFTER)
    make.stay(animal, make.enclosure("E11"), start=AFTER)
    with pytest.raises(ReasonsMissing, match="is entered in E11 from 3 Mar 2026") as refused:
        leave(animal)
    (question,) = [o for o in refused.value.objections if o.is_ask]
    departure = leave(animal, reasons={question.key: "It was another one."})
    assert departure.answers.get().reason == "It was another one."


@pytest.mark.parametrize(("day", "asked"), [(BEFORE, False), (DAY, False), (AFTER, True)])
def test_what_was_seen_after_the_departure_is_named(day, asked):
    animal = make.animal()
    Observation.objects.create(animal=animal, kind="ate", start=day)
    found = objections(Leaving(day=DAY, animals=(animal,), kind="death"))
    assert any("later entries: 1 observation from" in o.message for o in found) is asked


def test_samples_taken_after_the_departure_are_named():
    from quarantine.models import Assay, Sample

    animal = make.animal()
    assay = Assay.objects.get_or_create(code="bd", defaults={"name": "Bd PCR"})[0]
    Sample.objects.create(assay=assay, day=AFTER).animals.add(animal)
    found = objections(Leaving(day=DAY, animals=(animal,), kind="death"))
    assert any("1 sample from 3 Mar 2026" in o.message for o in found)


def test_the_pairings_of_one_that_leaves_end():
    a, b = make.animal(), make.animal()
    pairing = Pairing.objects.create(first=a, second=b, planned_on=BEFORE, began_on=BEFORE)
    leave(a)
    pairing.refresh_from_db()
    assert pairing.ended_on == DAY


def test_several_leave_together_or_none_does():
    here, gone = make.animal(), make.animal()
    leave(gone, day=BEFORE)
    box = Leaving(day=DAY, animals=(here, gone), kind="gift", receiver=make.party())
    with pytest.raises(Stopped):
        depart_together(box, by=make.user(), at=NOON)
    assert not here.departures.exists()


def test_a_move_after_the_departure_is_refused_and_one_up_to_its_day_is_not():
    animal, room = make.animal(), make.enclosure()
    make.stay(animal, make.enclosure())
    leave(animal)
    for day in (DAY, AFTER):
        with pytest.raises(Stopped, match="died on"):
            place(Placement(day=day, enclosure=room, animals=(animal,)), by=make.user())
    late = Placement(day=BEFORE, enclosure=room, animals=(animal,), until=DAY)
    assert place(late, by=make.user())


def test_who_was_held_on_leaving_is_kept(settings):
    settings.STANDINGS = "tests.registry.test_departing.everyone_is_held"
    assert leave(make.animal()).held is True


def everyone_is_held(animals, on):
    from quarantine.standing import Standing

    return {a.pk: Standing(who=a.code, state="held", since=on) for a in animals}


def test_without_quarantine_nobody_is_known_to_be_held(settings):
    settings.STANDINGS = "nowhere.held.standings"
    assert leave(make.animal()).held is False
