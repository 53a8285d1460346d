"""Traces: whom one can have reached, and who can have reached it."""

import networkx as nx
import pytest

from quarantine.facts import Birth, Departure, Disinfection, Facts, Laying, Transfer
from quarantine.traces import as_graph, backward, forward, forward_from_enclosure, trace_start
from quarantine.whereabouts import whereabouts
from tests.quarantine.lives import number, on, stay


def where(*stays, **more):
    return whereabouts(Facts(stays=stays, **more))


def told(trace):
    """Those reached with their day and the codes of their chain."""
    return [
        (r.who, number(r.day), "".join([r.chain[0].giver, *(link.taker for link in r.chain)]))
        for r in trace.reached
    ]


@pytest.mark.parametrize(
    ("negative", "start"), [(None, 10), (8, 10), (9, 10), (10, 11), (40, 41), (100, 101)]
)
def test_a_trace_starts_the_day_after_the_last_negative_at_most_90_days_back(negative, start):
    assert trace_start(on(100), negative and on(negative)) == on(start)


class TestForward:
    def test_a_meeting_before_one_was_exposed_passes_nothing_on(self):
        place = where(
            stay("A", "E1", 5), stay("B", "E1", 5, 7), stay("B", "E2", 1, 5), stay("C", "E2", 1)
        )
        assert told(forward(place, "A", on(1), on(9))) == [("B", 5, "AB")]

    @pytest.mark.parametrize(("start", "reached"), [(5, True), (6, True), (7, False)])
    def test_meetings_count_from_its_first_day_on(self, start, reached):
        place = where(stay("A", "E1", 1), stay("B", "E1", 3, 7))
        found = told(forward(place, "A", on(start), on(30)))
        assert [(who, day) for who, day, _ in found if day == start] == [("B", start)] * reached

    @pytest.mark.parametrize(("until", "reached"), [(4, 0), (5, 1), (6, 1)])
    def test_meetings_count_up_to_its_last_day(self, until, reached):
        place = where(stay("A", "E1", 1), stay("B", "E1", 5))
        assert len(forward(place, "A", on(1), on(until)).reached) == reached

    def test_what_one_got_on_a_day_it_passes_on_that_day_by_a_direct_meeting(self):
        place = where(
            stay("A", "E1", 1), stay("B", "E1", 5, 5), stay("B", "E2", 5), stay("C", "E2", 1)
        )
        assert told(forward(place, "A", on(1), on(9))) == [("B", 5, "AB"), ("C", 5, "ABC")]

    @pytest.mark.parametrize(("left", "reached"), [(5, "B"), (6, "BC")])
    def test_an_enclosure_passes_on_only_what_one_had_before_the_day_it_left(self, left, reached):
        place = where(
            stay("A", "E1", 1),
            stay("B", "E2", 1, left),
            stay("B", "E1", 5),
            stay("C", "E2", 8),
        )
        assert "".join(who for who, *_ in told(forward(place, "A", on(1), on(9)))) == reached

    @pytest.mark.parametrize(("after", "reached"), [(199, 1), (200, 1), (201, 0)])
    def test_an_enclosure_passes_on_for_the_persistence_days(self, after, reached):
        place = where(stay("A", "E1", 1, 10), stay("B", "E1", 10 + after))
        assert len(forward(place, "A", on(1), on(400)).reached) == reached

    @pytest.mark.parametrize(("washed", "reached"), [(9, 1), (10, 0), (20, 0), (21, 1)])
    def test_a_disinfection_stops_it(self, washed, reached):
        place = where(
            stay("A", "E1", 1, 10),
            stay("B", "E1", 20),
            disinfections=(Disinfection(enclosure="E1", day=on(washed)),),
        )
        assert len(forward(place, "A", on(1), on(400)).reached) == reached

    def test_things_pass_on_what_the_source_had_and_what_others_had_the_day_before(self):
        things = (Transfer(source="E1", target="E2", day=on(5)),)
        place = where(stay("A", "E1", 5), stay("C", "E2", 1), transfers=things)
        assert told(forward(place, "A", on(5), on(9))) == [("C", 5, "AC")]
        for came, reached in ((4, "BC"), (5, "B")):
            place = where(
                stay("A", "E3", 1),
                stay("B", "E3", came, came),
                stay("B", "E1", came),
                stay("C", "E2", 1),
                transfers=things,
            )
            found = told(forward(place, "A", on(1), on(9)))
            assert "".join(who for who, *_ in found) == reached

    def test_the_earliest_day_wins_then_the_shortest_chain_then_the_code(self):
        """T is reached on day 9 by B, C and D; B only over others, C before D."""
        place = where(
            stay("S", "E1", 1),
            stay("X", "E1", 2, 3),
            stay("X", "E2", 3),
            stay("B", "E2", 3, 9),
            stay("C", "E1", 4, 9),
            stay("D", "E1", 4, 9),
            *(stay(who, "E3", 9) for who in "BCD"),
            stay("T", "E3", 9),
        )
        found = {who: (day, chain) for who, day, chain in told(forward(place, "S", on(1), on(20)))}
        assert found["T"] == (9, "SCT")
        assert found["B"] == (3, "SXB")

    def test_a_later_but_shorter_chain_to_one_on_the_way_counts(self):
        """A is first reached over X and Y; B, met later, is nearer by the source itself."""
        place = where(
            stay("S", "E1", 1),
            stay("X", "E1", 2, 3),
            stay("X", "E2", 3),
            stay("A", "E2", 3, 6),
            stay("A", "E1", 6, 8),
            stay("A", "E4", 8),
            stay("B", "E4", 1),
        )
        found = {who: (day, chain) for who, day, chain in told(forward(place, "S", on(1), on(20)))}
        assert found["A"] == (3, "SXA")
        assert found["B"] == (8, "SAB")

    def test_young_have_it_from_their_clutch_and_the_clutch_from_where_it_was_laid(self):
        place = where(
            stay("A", "E1", 1),
            stay("k", "C1", 5, 40),
            stay("y", "E5", 40),
            layings=(Laying(clutch="k", enclosure="E1", day=on(5)),),
            births=(Birth(who="y", clutch="k", day=on(40)),),
        )
        assert told(forward(place, "A", on(1), on(50))) == [("k", 5, "Ak"), ("y", 40, "Aky")]
        assert told(forward(place, "A", on(6), on(50))) == []
        assert told(backward(place, "y", on(1), on(50))) == [("k", 40, "ky"), ("A", 40, "Aky")]


class TestToBeTold:
    @pytest.mark.parametrize(("left", "names"), [(4, []), (6, ["Okoro"]), (30, ["Okoro"])])
    def test_those_sold_since_they_were_reached_are_told(self, left, names):
        place = where(
            stay("A", "E1", 5),
            stay("B", "E1", 1),
            departures=(Departure(who="B", day=on(left), receiver="Okoro"),),
        )
        assert [t.receiver for t in forward(place, "A", on(1), on(30)).to_be_told] == names

    def test_one_sold_after_the_last_day_is_not_yet(self):
        place = where(
            stay("A", "E1", 5),
            stay("B", "E1", 1),
            departures=(Departure(who="B", day=on(31), receiver="Okoro"),),
        )
        assert forward(place, "A", on(1), on(30)).to_be_told == ()

    def test_so_is_the_receiver_of_the_source(self):
        place = where(
            stay("A", "E1", 5), departures=(Departure(who="A", day=on(9), receiver="Okoro"),)
        )
        trace = forward(place, "A", on(5), on(30))
        assert [(t.who, t.left, t.receiver) for t in trace.to_be_told] == [("A", on(9), "Okoro")]
        assert trace.reached == ()


class TestFromAnEnclosure:
    def test_all_that_stayed_there_are_reached_and_on_from_them(self):
        place = where(
            stay("A", "E1", 1, 8),
            stay("A", "E2", 8),
            stay("B", "E2", 1),
            stay("C", "E1", 1, 5),
            stay("D", "E1", 20),
        )
        trace = forward_from_enclosure(place, "E1", on(5), on(30))
        assert [(r.who, number(r.day), r.chain[0].how) for r in trace.reached] == [
            ("A", 5, "enclosure"),
            ("B", 8, "enclosure"),
            ("D", 20, "enclosure"),
        ]
        assert trace.source == "E1"


class TestBackward:
    def test_it_tells_who_can_have_given_it_and_the_first_day_it_can_have_come(self):
        place = where(
            stay("A", "E1", 1, 4),
            stay("B", "E1", 1, 6),
            stay("B", "E2", 6),
            stay("C", "E2", 1),
            stay("D", "E2", 9),
        )
        assert told(backward(place, "C", on(1), on(8))) == [("B", 6, "BC"), ("A", 6, "ABC")]

    def test_one_met_only_after_the_giver_had_gone_is_not_told(self):
        place = where(
            stay("B", "E1", 1, 3), stay("B", "E2", 3, 9), stay("A", "E1", 5), stay("C", "E2", 1)
        )
        assert [who for who, *_ in told(backward(place, "C", on(1), on(8)))] == ["B"]


def test_the_picture_of_a_trace_has_its_links():
    place = where(stay("A", "E1", 1), stay("B", "E1", 5, 6), stay("B", "E2", 6), stay("C", "E2", 1))
    graph = as_graph(forward(place, "A", on(1), on(9)))
    assert nx.is_arborescence(graph)
    assert set(graph.edges) == {("A", "B"), ("B", "C")}
    assert graph.edges["B", "C"] == {"day": on(6), "how": "direct", "enclosure": "E2"}


def test_a_trace_that_reaches_nobody_is_the_source_alone():
    graph = as_graph(forward(where(stay("A", "E1", 1)), "A", on(1), on(9)))
    assert list(graph.nodes) == ["A"]
