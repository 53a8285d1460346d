"""Who met whom: direct, through an enclosure, by things moved; and who only shared a unit."""

import pytest

from quarantine.contacts import company, left_behind, meetings, unit_contacts, would_meet
from quarantine.facts import Death, Departure, Disinfection, Facts, Station, Transfer
from quarantine.whereabouts import whereabouts
from tests.quarantine.lives import arrival, number, on, stay


def where(*stays, **more):
    return whereabouts(Facts(stays=stays, **more))


def said(found):
    """Meetings as ``giver, taker, how, first, last`` with day numbers."""
    return [(m.giver, m.taker, m.how, number(m.first), m.last and number(m.last)) for m in found]


def all_of(place, who):
    return said(meetings(place, who, on(1), on(900)))


class TestCompany:
    @pytest.mark.parametrize(("day", "there"), [(2, ()), (3, ("A",)), (5, ("A",)), (6, ())])
    def test_a_stay_is_up_to_not_including_its_last_day(self, day, there):
        assert company(where(stay("A", "E1", 3, 6)), "E1", on(day)) == there

    @pytest.mark.parametrize(("day", "there"), [(2, ()), (3, ("A",)), (4, ())])
    def test_a_stay_of_one_day_counts_as_that_day(self, day, there):
        assert company(where(stay("A", "E1", 3, 3)), "E1", on(day)) == there

    @pytest.mark.parametrize("gone", [Death, Departure])
    def test_nobody_stays_after_it_left(self, gone):
        kind = "deaths" if gone is Death else "departures"
        place = where(stay("A", "E1", 3), **{kind: (gone(who="A", day=on(8)),)})
        assert [company(place, "E1", on(day)) for day in (7, 8)] == [("A",), ()]

    def test_one_that_comes_back_the_same_day_stays(self):
        place = where(
            stay("A", "E1", 1),
            stay("A", "E2", 8),
            arrivals=(arrival("A", day=1), arrival("A", day=8)),
            departures=(Departure(who="A", day=on(8)),),
        )
        assert company(place, "E1", on(8)) == ()
        assert company(place, "E2", on(9)) == ("A",)

    def test_an_unknown_enclosure_is_empty(self):
        assert company(where(), "E9", on(1)) == ()


class TestDirect:
    def test_overlapping_stays_meet_from_the_later_start_to_the_day_before_the_earlier_end(self):
        assert all_of(where(stay("A", "E1", 1, 9), stay("B", "E1", 4, 12)), "A") == [
            ("A", "B", "direct", 4, 8)
        ]

    def test_a_meeting_that_runs_has_no_last_day(self):
        assert all_of(where(stay("A", "E1", 1), stay("B", "E1", 4)), "A") == [
            ("A", "B", "direct", 4, None)
        ]

    def test_one_that_leaves_on_the_day_another_comes_does_not_meet_it(self):
        place = where(stay("A", "E1", 1, 4), stay("B", "E1", 4))
        assert [m.how for m in meetings(place, "A", on(1), on(9))] == ["through"]

    def test_two_that_visit_on_one_day_meet(self):
        place = where(stay("A", "E1", 4, 4), stay("B", "E1", 4, 4))
        assert ("A", "B", "direct", 4, 4) in all_of(place, "A")

    @pytest.mark.parametrize(
        ("first", "last", "count"), [(1, 3, 0), (1, 4, 1), (8, 9, 1), (9, 20, 0)]
    )
    def test_only_meetings_of_the_days_asked_are_told(self, first, last, count):
        place = where(stay("A", "E1", 1, 9), stay("B", "E1", 4, 12))
        assert len(meetings(place, "A", on(first), on(last))) == count


class TestThrough:
    @pytest.mark.parametrize(("after", "met"), [(0, 1), (199, 1), (200, 1), (201, 0)])
    def test_one_that_comes_within_the_persistence_days_meets_the_one_that_left(self, after, met):
        place = where(stay("A", "E1", 1, 10), stay("B", "E1", 10 + after))
        assert len(all_of(place, "B")) == len(all_of(place, "A")) == met
        assert len(left_behind(place, "E1", on(10 + after))) == met

    @pytest.mark.parametrize(("washed", "met"), [(9, 1), (10, 0), (15, 0), (20, 0), (21, 1)])
    def test_disinfection_counts_from_the_day_of_leaving_to_the_day_of_coming(self, washed, met):
        place = where(
            stay("A", "E1", 1, 10),
            stay("B", "E1", 20),
            disinfections=(Disinfection(enclosure="E1", day=on(washed)),),
        )
        assert all_of(place, "B") == all_of(place, "A") == [("A", "B", "through", 20, 20)] * met

    def test_it_goes_one_way_from_the_one_that_left(self):
        place = where(stay("A", "E1", 1, 10), stay("B", "E1", 20))
        assert all_of(place, "A") == [("A", "B", "through", 20, 20)]


class TestThingsMoved:
    def test_from_those_there_to_those_there_on_that_day(self):
        place = where(
            stay("A", "E1", 1, 20),
            stay("B", "E2", 1),
            transfers=(Transfer(source="E1", target="E2", day=on(5)),),
        )
        assert all_of(place, "A") == all_of(place, "B") == [("A", "B", "things", 5, 5)]

    def test_from_one_that_left_before_and_to_one_that_comes_after(self):
        place = where(
            stay("A", "E1", 1, 4),
            stay("B", "E2", 9),
            transfers=(Transfer(source="E1", target="E2", day=on(5)),),
        )
        assert all_of(place, "A") == all_of(place, "B") == [("A", "B", "things", 9, 9)]

    @pytest.mark.parametrize("enclosure", ["E1", "E2"])
    def test_not_where_either_enclosure_was_disinfected_between(self, enclosure):
        place = where(
            stay("A", "E1", 1, 4),
            stay("B", "E2", 9),
            transfers=(Transfer(source="E1", target="E2", day=on(6)),),
            disinfections=(
                Disinfection(enclosure=enclosure, day=on(5 if enclosure == "E1" else 7)),
            ),
        )
        assert all_of(place, "B") == all_of(place, "A") == []

    def test_things_moved_on_another_day_carry_it_further(self):
        moves = (
            Transfer(source="E1", target="E2", day=on(5)),
            Transfer(source="E2", target="E3", day=on(7)),
        )
        place = where(stay("A", "E1", 1, 20), stay("C", "E3", 1), transfers=moves)
        assert all_of(place, "A") == all_of(place, "C") == [("A", "C", "things", 7, 7)]


class TestWouldMeet:
    def test_it_tells_those_there_those_that_left_and_those_planned(self):
        place = where(
            stay("A", "E1", 1, 4), stay("B", "E1", 2), stay("C", "E1", 30), stay("D", "E2", 1)
        )
        proposed = would_meet(place, stay("D", "E1", 10, 20))
        assert said(proposed) == [
            ("D", "B", "direct", 10, 19),
            ("A", "D", "through", 10, 10),
            ("D", "C", "through", 30, 30),
        ]

    def test_it_leaves_the_whereabouts_as_they_are(self):
        place = where(stay("A", "E1", 1), stay("D", "E2", 1))
        would_meet(place, stay("D", "E1", 10))
        assert all_of(place, "D") == []
        assert company(place, "E1", on(10)) == ("A",)


class TestUnitContacts:
    def units(self, *stations):
        return tuple(
            Station(enclosure=e, unit=u, start=s and on(s), end=t and on(t))
            for e, u, s, t in stations
        )

    def test_those_of_other_enclosures_of_the_unit_are_told_with_their_days(self):
        place = where(
            stay("A", "E1", 3, 9),
            stay("B", "E2", 1, 6),
            stay("C", "E1", 3),
            stay("D", "E3", 1),
            stations=self.units(
                ("E1", "rack", None, None), ("E2", "rack", None, None), ("E3", "room", None, None)
            ),
        )
        found = unit_contacts(place, "A", on(1), on(30))
        assert [(c.other, c.unit, number(c.first), number(c.last)) for c in found] == [
            ("B", "rack", 3, 5)
        ]

    def test_an_enclosure_counts_in_its_unit_only_while_it_stands_there(self):
        place = where(
            stay("A", "E1", 1),
            stay("B", "E2", 1),
            stations=self.units(("E1", "rack", 5, 9), ("E2", "rack", 7, None)),
        )
        (found,) = unit_contacts(place, "A", on(1), on(30))
        assert (number(found.first), number(found.last)) == (7, 8)
        assert unit_contacts(place, "A", on(9), on(30)) == []
