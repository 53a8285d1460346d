"""Who is held, since when and by what, and in which batch."""

import pytest

from quarantine.facts import (
    Batch,
    Clearance,
    Death,
    Departure,
    EndsBeforeItStarts,
    Facts,
    HandHold,
    Membership,
    Positive,
    Station,
)
from tests.quarantine.lives import arrival, found, held_from, on, resident, states, stay, visited


class TestHeldUnlessCleared:
    def test_a_newcomer_is_held_from_its_arrival_with_nothing_opened(self):
        standing = found(Facts(arrivals=(arrival("N", day=5),), stays=(stay("N", "Q", 5),)))
        assert states(standing, "N", (4, 5, 6)) == [None, "held", "held"]
        assert [r.kind for r in standing.on("N", on(5)).reasons] == ["arrival"]
        assert standing.on("N", on(5)).reasons[0].key == "arrival of day 5"

    def test_it_is_cleared_from_the_day_of_its_clearance(self):
        standing = found(
            Facts(arrivals=(arrival("N", day=5),), clearances=(Clearance(who=("N",), day=on(65)),))
        )
        assert states(standing, "N", (64, 65, 66)) == ["held", "cleared", "cleared"]
        assert standing.on("N", on(65)).since == on(65)

    def test_a_clearance_before_the_arrival_is_not_for_that_arrival(self):
        standing = found(
            resident("R"),
            Facts(departures=(Departure(who="R", day=on(10)),), arrivals=(arrival("R", day=20),)),
        )
        assert states(standing, "R", (9, 10, 19, 20)) == ["cleared", None, None, "held"]

    def test_a_clearance_on_the_day_of_the_arrival_is_for_it(self):
        assert states(found(resident("R", day=7)), "R", (6, 7)) == [None, "cleared"]

    def test_opening_stock_arrived_earlier_is_cleared_from_the_day_of_the_act(self):
        stock = Facts(
            arrivals=(arrival("R", day=1),), clearances=(Clearance(who=("R",), day=on(100)),)
        )
        assert states(found(stock), "R", (99, 100)) == ["held", "cleared"]

    def test_an_animal_known_only_from_a_stay_is_held_from_its_first_day_there(self):
        standing = found(Facts(stays=(stay("X", "E1", 4),)))
        assert states(standing, "X", (3, 4)) == [None, "held"]
        assert standing.on("X", on(4)).reasons[0].kind == "stay"

    def test_an_animal_known_only_from_a_batch_is_held_from_its_first_day_there(self):
        standing = found(Facts(memberships=(Membership(who="X", batch="B", start=on(4)),)))
        assert states(standing, "X", (3, 4)) == [None, "held"]
        assert standing.on("X", on(4)).batch == "B"

    def test_a_clearance_tells_of_an_animal_nothing_else_is_known_of(self):
        standing = found(Facts(clearances=(Clearance(who=("R",), day=on(3)),)))
        assert states(standing, "R", (2, 3)) == [None, "cleared"]

    def test_a_resident_put_into_a_batch_is_held(self):
        joined = Facts(memberships=(Membership(who="R", batch="B", start=on(4), key="m"),))
        standing = found(resident("R"), joined)
        assert states(standing, "R", (3, 4)) == ["cleared", "held"]
        reason = standing.on("R", on(4)).reasons[0]
        assert (reason.kind, reason.batch, reason.key) == ("batch", "B", "m")

    def test_an_outgoing_batch_holds_nobody(self):
        standing = found(
            resident("R"),
            Facts(
                batches=(Batch(batch="O", day=on(4), outgoing=True),),
                memberships=(Membership(who="R", batch="O", start=on(4)),),
            ),
        )
        assert standing.on("R", on(4)).state == "cleared"
        assert standing.members("O", on(4)) == ("R",)

    def test_cleared_from_one_batch_it_stays_in_the_outgoing_one_it_joined_that_day(self):
        standing = found(
            Facts(
                arrivals=(arrival("N", day=1),),
                batches=(Batch(batch="O", day=on(60), outgoing=True),),
                memberships=(
                    Membership(who="N", batch="B", start=on(1), end=on(60)),
                    Membership(who="N", batch="O", start=on(60)),
                ),
                clearances=(Clearance(who=("N",), batch="B", day=on(60)),),
            ),
        )
        assert (standing.on("N", on(60)).state, standing.on("N", on(60)).batch) == ("cleared", "O")

    def test_a_departure_and_a_death_end_the_hold(self):
        standing = found(
            Facts(
                arrivals=(arrival("N", "M", day=2),),
                departures=(Departure(who="N", day=on(9)),),
                deaths=(Death(who="M", day=on(9)),),
            )
        )
        assert states(standing, "N", (8, 9)) == states(standing, "M", (8, 9)) == ["held", None]
        assert [standing.history(who)[0].ended for who in "NM"] == ["departure", "death"]

    def test_out_and_back_the_same_day_is_a_new_arrival(self):
        moved_house = Facts(
            departures=(Departure(who="R", day=on(10)),), arrivals=(arrival("R", day=10),)
        )
        standing = found(resident("R"), moved_house)
        assert states(standing, "R", (9, 10, 11)) == ["cleared", "held", "held"]

    def test_one_that_comes_and_goes_on_the_same_day_is_gone(self):
        transit = Facts(
            arrivals=(arrival("T", day=10),), departures=(Departure(who="T", day=on(10)),)
        )
        standing = found(transit)
        assert states(standing, "T", (9, 10, 11)) == [None, None, None]
        assert standing.history("T")[0].ended == "departure"

    def test_a_batch_that_releases_nobody_says_never(self):
        standing = found(
            Facts(
                arrivals=(arrival("N", day=1),),
                batches=(Batch(batch="B", day=on(1), never=True),),
                memberships=(Membership(who="N", batch="B", start=on(1)),),
            )
        )
        assert standing.on("N", on(400)).state == "never"
        assert not standing.cleared("N", on(400))

    def test_an_outing_changes_nothing(self):
        """It is no arrival, and is not among the facts."""
        assert states(found(resident("R")), "R", (1, 200)) == ["cleared", "cleared"]


class TestHoldsByHandAndPositives:
    @pytest.mark.parametrize(
        "hold", [{"who": "R"}, {"enclosure": "E1"}, {"unit": "rack"}], ids=["who", "where", "unit"]
    )
    def test_a_hold_by_hand_holds_a_resident_from_its_day(self, hold):
        standing = found(
            resident("R"),
            Facts(
                stays=(stay("R", "E1", 1),),
                stations=(Station(enclosure="E1", unit="rack"),),
                hand_holds=(HandHold(start=on(5), key="h", **hold),),
            ),
        )
        assert states(standing, "R", (4, 5)) == ["cleared", "held"]
        assert [(r.kind, r.key) for r in standing.on("R", on(5)).reasons] == [("hand", "h")]

    @pytest.mark.parametrize(("comes", "held"), [(9, [9]), (10, []), (11, [])])
    def test_a_held_enclosure_holds_whoever_comes_until_it_is_lifted(self, comes, held):
        standing = found(
            resident("R"),
            Facts(
                stays=(stay("R", "E2", 1, comes), stay("R", "E1", comes)),
                hand_holds=(HandHold(start=on(5), enclosure="E1", end=on(10)),),
            ),
        )
        assert held_from(standing, "R") == held

    def test_an_enclosure_that_comes_into_a_held_unit_is_held(self):
        standing = found(
            resident("R"),
            Facts(
                stays=(stay("R", "E1", 1),),
                stations=(
                    Station(enclosure="E1", unit="a", end=on(8)),
                    Station(enclosure="E1", unit="b", start=on(8)),
                ),
                hand_holds=(HandHold(start=on(5), unit="b"),),
            ),
        )
        assert states(standing, "R", (7, 8)) == ["cleared", "held"]

    def test_lifting_a_hold_clears_nobody(self):
        lifted = Facts(hand_holds=(HandHold(start=on(5), who="R", end=on(9)),))
        assert states(found(resident("R"), lifted), "R", (8, 9, 10)) == ["held"] * 3

    def test_a_hold_of_the_day_of_a_clearance_stands(self):
        standing = found(
            Facts(
                arrivals=(arrival("N", day=1),),
                clearances=(Clearance(who=("N",), day=on(9)),),
                hand_holds=(HandHold(start=on(9), who="N"),),
            )
        )
        assert standing.on("N", on(9)).state == "held"
        assert standing.on("N", on(9)).since == on(9)

    def test_a_restarting_positive_holds_a_resident_and_whoever_lives_with_it(self):
        standing = found(
            resident("R", "S"),
            Facts(
                stays=(stay("R", "E1", 1), stay("S", "E1", 1)),
                positives=(Positive(who=("R",), day=on(5), key="p"),),
            ),
        )
        assert states(standing, "R", (4, 5)) == states(standing, "S", (4, 5)) == ["cleared", "held"]
        assert standing.on("R", on(5)).reasons[0].key == "p"
        assert [(r.kind, r.source) for r in standing.on("S", on(5)).reasons] == [("met", "R")]

    def test_a_positive_of_an_enclosure_holds_whoever_stays_there_that_day(self):
        standing = found(
            resident("R", "S"),
            Facts(
                stays=(stay("R", "E1", 1, 5), stay("R", "E2", 5), stay("S", "E1", 4)),
                positives=(Positive(enclosure="E1", day=on(5)),),
            ),
        )
        assert states(standing, "R", (5, 6)) == ["cleared", "cleared"]
        assert standing.on("S", on(5)).state == "held"

    @pytest.mark.parametrize(("sampled", "held"), [(9, [9]), (10, []), (11, [])])
    def test_a_positive_sampled_on_or_after_the_day_it_left_holds_nothing(self, sampled, held):
        standing = found(
            resident("R"),
            Facts(
                departures=(Departure(who="R", day=on(10)),),
                positives=(Positive(who=("R",), day=on(sampled)),),
            ),
        )
        assert held_from(standing, "R") == held


class TestBatches:
    def test_those_of_one_arrival_are_of_one_batch_until_somebody_says_otherwise(self):
        standing = found(Facts(arrivals=(arrival("N", "M", day=2), arrival("O", day=2, key="o"))))
        assert standing.of_one_batch(("N", "M"), on(2))
        assert not standing.of_one_batch(("N", "O"), on(2))

    def test_a_cleared_one_is_of_no_batch(self):
        standing = found(resident("R"), Facts(arrivals=(arrival("N", day=2),)))
        assert not standing.of_one_batch(("R", "N"), on(3))
        assert standing.on("R", on(3)).batch == ""

    def test_those_exposed_together_and_by_each_other_form_one_exposed_batch(self):
        standing = found(
            visited(),
            resident("S", "T"),
            Facts(stays=(stay("S", "E1", 1, 4), stay("S", "E2", 4), stay("T", "E2", 1))),
        )
        assert standing.on("R", on(3)).batch == f"exposed:{on(3)}:R"
        assert standing.of_one_batch(("R", "S", "T"), on(4))
        assert not standing.of_one_batch(("R", "N"), on(4))

    def test_those_exposed_apart_are_of_two_batches(self):
        standing = found(
            visited(until=4),
            resident("S"),
            Facts(stays=(stay("S", "E2", 1), stay("N", "E2", 4, 5))),
        )
        assert standing.on("S", on(5)).state == "held"
        assert not standing.of_one_batch(("R", "S"), on(5))

    def test_split_off_and_joined_batches_count_from_their_day(self):
        standing = found(
            Facts(
                arrivals=(arrival("N", "M", day=2),),
                memberships=(
                    Membership(who="N", batch="B", start=on(2)),
                    Membership(who="M", batch="B", start=on(2), end=on(9)),
                    Membership(who="M", batch="C", start=on(9)),
                ),
            )
        )
        assert standing.members("B", on(8)) == ("M", "N")
        assert standing.members("B", on(9)) == ("N",)
        assert standing.on("M", on(9)).batch == "C"
        assert standing.on("M", on(9)).since == on(2)

    def test_one_taken_out_of_a_batch_is_still_held(self):
        standing = found(
            Facts(memberships=(Membership(who="N", batch="B", start=on(2), end=on(9)),))
        )
        assert standing.on("N", on(9)).state == "held"
        assert standing.on("N", on(9)).batch == f"left:B:{on(9)}"

    def test_members_end_with_death_departure_and_clearance(self):
        standing = found(
            Facts(
                memberships=tuple(Membership(who=w, batch="B", start=on(2)) for w in "KLMN"),
                deaths=(Death(who="K", day=on(5)),),
                departures=(Departure(who="L", day=on(6)),),
                clearances=(Clearance(who=("M",), batch="B", day=on(7)),),
            )
        )
        days = [(on(day), "".join(standing.members("B", on(day)))) for day in (4, 5, 6, 7)]
        assert days == [(on(4), "KLMN"), (on(5), "LMN"), (on(6), "MN"), (on(7), "N")]


def test_a_stay_cannot_end_before_it_starts():
    with pytest.raises(EndsBeforeItStarts, match="N: the end 2026-01-03 is before"):
        stay("N", "Q", 5, 3)
