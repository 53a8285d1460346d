"""Who becomes held by whom it meets, and by birth."""

from dataclasses import replace

import pytest

from quarantine.facts import (
    Batch,
    Birth,
    Clearance,
    Death,
    Disinfection,
    Facts,
    Laying,
    Membership,
    Transfer,
)
from tests.quarantine.lives import arrival, found, held_from, on, resident, states, stay, visited


class TestExposed:
    def test_a_resident_is_held_from_the_first_day_it_met_a_held_one(self):
        standing = found(visited())
        assert states(standing, "R", (2, 3, 4)) == ["cleared", "held", "held"]
        reason = standing.on("R", on(3)).reasons[0]
        assert (reason.source, reason.day, reason.how) == ("N", on(3), "direct")
        assert (reason.enclosure, reason.batch) == ("E1", "arrival:arrival of day 2")

    def test_it_stays_held_after_they_are_parted(self):
        assert states(found(visited()), "R", (5, 500)) == ["held", "held"]

    def test_a_newcomer_cleared_before_they_meet_exposes_nobody(self):
        for cleared, held in ((3, "cleared"), (4, "held")):
            standing = found(visited(clearances=(Clearance(who=("N",), day=on(cleared)),)))
            assert standing.on("R", on(9)).state == held

    def test_one_that_leaves_on_the_day_the_held_one_comes_is_not_reached(self):
        standing = found(
            resident("R"),
            Facts(
                arrivals=(arrival("N", day=2),),
                stays=(stay("R", "E1", 1, 3), stay("R", "E2", 3), stay("N", "E1", 3)),
            ),
        )
        assert standing.on("R", on(9)).state == "cleared"

    def test_what_one_got_on_a_day_it_may_pass_on_that_day_by_a_direct_meeting(self):
        standing = found(
            visited(until=4),
            resident("S"),
            Facts(stays=(stay("R", "E5", 3, 3), stay("S", "E5", 1))),
        )
        assert standing.on("S", on(3)).state == "held"
        assert standing.on("S", on(3)).reasons[0].source == "R"

    def test_an_enclosure_passes_on_only_what_one_had_before_the_day_it_left(self):
        """R moves from E1 to the newcomer on day 3; E1 has nothing of it, whoever comes there."""
        for left, state in ((3, "cleared"), (4, "held")):
            standing = found(
                resident("R", "S"),
                Facts(
                    arrivals=(arrival("N", day=2),),
                    stays=(
                        stay("N", "Q", 2),
                        stay("R", "E1", 1, left),
                        stay("R", "Q", 3),
                        stay("S", "E1", 6),
                        stay("S", "E2", 1, 6),
                    ),
                ),
            )
            assert standing.on("S", on(9)).state == state

    @pytest.mark.parametrize(("after", "state"), [(199, "held"), (200, "held"), (201, "cleared")])
    def test_an_enclosure_passes_on_for_as_many_days_as_things_persist(self, after, state):
        standing = found(
            resident("S"),
            Facts(
                arrivals=(arrival("N", day=2),),
                stays=(
                    stay("N", "E1", 2, 10),
                    stay("N", "Q", 10),
                    stay("S", "E2", 1, 10 + after),
                    stay("S", "E1", 10 + after),
                ),
            ),
        )
        assert standing.on("S", on(10 + after)).state == state

    @pytest.mark.parametrize(
        ("washed", "state"),
        [(9, "held"), (10, "cleared"), (15, "cleared"), (20, "cleared"), (21, "held")],
    )
    def test_disinfection_from_the_day_of_leaving_to_that_of_entry_helps(self, washed, state):
        standing = found(
            resident("S"),
            Facts(
                arrivals=(arrival("N", day=2),),
                stays=(
                    stay("N", "E1", 2, 10),
                    stay("N", "Q", 10),
                    stay("S", "E2", 1, 20),
                    stay("S", "E1", 20),
                ),
                disinfections=(Disinfection(enclosure="E1", day=on(washed)),),
            ),
        )
        assert standing.on("S", on(30)).state == state
        if state == "held":
            reason = standing.on("S", on(30)).reasons[0]
            assert (reason.day, reason.how, reason.source) == (on(20), "through", "N")

    def test_a_meeting_through_an_enclosure_goes_one_way(self):
        standing = found(
            resident("R"),
            Facts(
                arrivals=(arrival("N", day=2),),
                stays=(stay("R", "E1", 1, 3), stay("R", "E2", 3), stay("N", "E1", 3)),
            ),
        )
        assert standing.on("R", on(30)).state == "cleared"

    @pytest.mark.parametrize(("cleared", "state"), [(9, "cleared"), (10, "cleared"), (11, "held")])
    def test_one_cleared_when_it_left_leaves_nothing(self, cleared, state):
        standing = found(
            resident("S"),
            Facts(
                arrivals=(arrival("N", day=2),),
                clearances=(Clearance(who=("N",), day=on(cleared)),),
                stays=(
                    stay("N", "E1", 2, 10),
                    stay("N", "E3", 10),
                    stay("S", "E2", 1, 20),
                    stay("S", "E1", 20),
                ),
            ),
        )
        assert standing.on("S", on(20)).state == state
        dirty = standing.left_dirty("E1", on(20))
        assert bool(dirty) == (state == "held")

    def test_what_was_left_is_of_the_batch_opened_for_it_since(self):
        left = Facts(
            arrivals=(arrival("N", day=2),),
            stays=(stay("N", "E1", 2, 10), stay("N", "Q", 10)),
            memberships=(
                Membership(who="N", batch="B", start=on(12), end=on(20)),
                Membership(who="N", batch="C", start=on(20)),
            ),
        )
        standing = found(left)
        assert standing.left_dirty("E1", on(11)) == (("N", "arrival:arrival of day 2"),)
        assert standing.left_dirty("E1", on(12)) == standing.left_dirty("E1", on(30))
        assert standing.left_dirty("E1", on(30)) == (("N", "B"),)

    def test_a_stay_of_one_day_counts_as_that_day(self):
        standing = found(
            resident("R", "S"),
            Facts(
                arrivals=(arrival("N", day=3),),
                stays=(
                    stay("R", "E1", 1),
                    stay("N", "E1", 3, 3),
                    stay("N", "E2", 3, 3),
                    stay("N", "Q", 3),
                    stay("S", "E3", 1, 4),
                    stay("S", "E2", 4),
                ),
            ),
        )
        assert held_from(standing, "R") == [3]
        assert held_from(standing, "S") == [4]

    def test_one_that_comes_meets_and_dies_on_one_day_exposes(self):
        standing = found(
            resident("R"),
            Facts(
                arrivals=(arrival("N", day=3),),
                stays=(stay("R", "E1", 1), stay("N", "E1", 3)),
                deaths=(Death(who="N", day=on(3)),),
            ),
        )
        assert held_from(standing, "R") == [3]
        assert standing.on("N", on(3)) is None

    def test_things_moved_pass_on_what_those_there_had_before_the_meetings_of_the_day(self):
        things = Facts(transfers=(Transfer(source="E1", target="E2", day=on(3)),))
        newly = resident("S"), Facts(stays=(stay("S", "E2", 1),))
        standing = found(visited(), *newly, things)
        reason = standing.on("S", on(3)).reasons[0]
        assert (reason.source, reason.how, reason.day) == ("N", "things", on(3))

    def test_things_do_not_pass_on_what_was_got_by_a_meeting_that_day(self):
        for day, state in ((3, "cleared"), (4, "held")):
            standing = found(
                visited(),
                resident("S"),
                Facts(
                    stays=(stay("R", "E7", 3, 5), stay("S", "E2", 1)),
                    transfers=(Transfer(source="E7", target="E2", day=on(day)),),
                ),
            )
            assert standing.on("S", on(9)).state == state

    @pytest.mark.parametrize(("comes", "state"), [(210, "held"), (211, "cleared")])
    def test_things_from_an_emptied_enclosure_pass_on_and_grow_no_younger(self, comes, state):
        standing = found(
            resident("S"),
            Facts(
                arrivals=(arrival("N", day=2),),
                stays=(
                    stay("N", "E1", 2, 10),
                    stay("N", "Q", 10),
                    stay("S", "E3", 1, comes),
                    stay("S", "E2", comes),
                ),
                transfers=(Transfer(source="E1", target="E2", day=on(20)),),
            ),
        )
        assert standing.on("S", on(comes)).state == state

    def test_clearances_come_before_meetings_within_a_day(self):
        """R, cleared while N beside it is not, meets N again that day."""
        standing = found(visited(until=50, clearances=(Clearance(who=("R",), day=on(9)),)))
        assert held_from(standing, "R") == [3, 9]

    def test_a_whole_company_is_cleared_on_one_day(self):
        both = Clearance(who=("N", "R"), day=on(9))
        assert states(found(visited(until=50, clearances=(both,))), "R", (8, 9)) == [
            "held",
            "cleared",
        ]

    def test_a_stay_that_goes_on_in_the_same_enclosure_is_no_coming(self):
        """N left E1 still held; R, there all the time and cleared since, meets nothing new."""
        facts = visited(clearances=(Clearance(who=("R",), day=on(60)),))
        stays = tuple(replace(s, end=on(70)) if s.who == "R" else s for s in facts.stays)
        parted = replace(facts, stays=(*stays, stay("R", "E1", 70)))
        assert found(parted).history("R") == found(facts).history("R")
        assert found(parted).on("R", on(70)).state == "cleared"

    def test_one_that_goes_out_and_comes_back_did_come(self):
        facts = visited(clearances=(Clearance(who=("R",), day=on(60)),))
        stays = tuple(replace(s, end=on(70)) if s.who == "R" else s for s in facts.stays)
        back = replace(facts, stays=(*stays, stay("R", "E2", 70, 71), stay("R", "E1", 71)))
        assert held_from(found(back), "R") == [3, 71]


def laid(**more):
    """Clutch K of R laid in E1 on day 10, in cup C1 from day 11; young Y leaves it on day 40."""
    return Facts(
        layings=(Laying(clutch="K", enclosure="E1", day=on(10), parents=("R",)),),
        births=(Birth(who="Y", clutch="K", day=on(40)),),
        stays=(
            stay("R", "E1", 1),
            stay("K", "E1", 10, 11),
            stay("K", "C1", 11, 40),
            stay("Y", "E2", 40),
        ),
        **more,
    )


class TestYoungBredHere:
    def test_young_of_cleared_enclosures_are_cleared_by_birth(self):
        standing = found(resident("R"), laid())
        assert states(standing, "K", (9, 10, 39)) == [None, "cleared", "cleared"]
        assert states(standing, "Y", (39, 40)) == [None, "cleared"]

    def test_young_of_a_held_parent_belong_to_its_batch(self):
        newcomer = Facts(arrivals=(arrival("R", day=2),))
        standing = found(replace(laid(), stays=(*laid().stays[1:], stay("R", "E1", 2))), newcomer)
        for who, day in (("K", 10), ("Y", 40)):
            now = standing.on(who, on(day))
            assert (now.state, now.since, now.by_birth) == ("held", on(day), True)
            assert now.batch == "arrival:arrival of day 2"
            assert now.reasons[0].kind == "born"
        assert standing.last_met("arrival:arrival of day 2", on(60)) is None

    def test_they_follow_their_parent_into_the_batch_opened_for_it(self):
        newcomer = Facts(
            arrivals=(arrival("R", day=2),),
            memberships=(Membership(who="R", batch="B", start=on(20)),),
        )
        stays = (*laid().stays[1:], stay("R", "E1", 2))
        standing = found(replace(laid(), stays=stays), newcomer)
        assert standing.members("B", on(20)) == ("K", "R")
        assert standing.members("B", on(40)) == ("K", "R", "Y")

    def test_they_are_cleared_with_it(self):
        newcomer = Facts(
            arrivals=(arrival("R", day=2),),
            memberships=(Membership(who="R", batch="B", start=on(2)),),
            clearances=(Clearance(who=("R",), batch="B", day=on(50)),),
        )
        stays = (*laid().stays[1:], stay("R", "E1", 2))
        standing = found(replace(laid(), stays=stays), newcomer)
        assert states(standing, "Y", (49, 50)) == ["held", "cleared"]
        assert standing.on("K", on(50)).state == "cleared"

    def test_split_off_they_are_a_batch_of_their_own_that_may_be_released(self):
        never = Facts(
            arrivals=(arrival("R", day=2),),
            batches=(Batch(batch="B", day=on(2), never=True),),
            memberships=(
                Membership(who="R", batch="B", start=on(2)),
                Membership(who="Y", batch="young", start=on(45)),
            ),
        )
        stays = (*laid().stays[1:], stay("R", "E1", 2))
        standing = found(replace(laid(), stays=stays), never)
        assert standing.on("R", on(44)).state == "never"
        assert standing.on("Y", on(44)).state == "held"
        now = standing.on("Y", on(45))
        assert (now.state, now.batch, now.by_birth) == ("held", "young", False)

    @pytest.mark.parametrize(("comes", "state"), [(39, "held"), (40, "cleared")])
    def test_a_held_one_beside_the_clutch_before_the_separation_holds_the_young(self, comes, state):
        newcomer = Facts(arrivals=(arrival("N", day=2),), stays=(stay("N", "C1", comes),))
        standing = found(resident("R"), laid(), newcomer)
        assert standing.on("Y", on(40)).state == state

    def test_a_clutch_of_cleared_parents_beside_a_held_one_is_exposed(self):
        newcomer = Facts(arrivals=(arrival("N", day=2),), stays=(stay("N", "C1", 20),))
        now = found(resident("R"), laid(), newcomer).on("K", on(20))
        assert (now.state, now.by_birth) == ("held", False)
        assert now.reasons[0].kind == "met"

    def test_eggs_taken_out_on_the_day_of_laying_stood_with_the_parents(self):
        stays = (stay("R", "E1", 2), stay("K", "C1", 10, 40), stay("Y", "E2", 40))
        newcomer = Facts(arrivals=(arrival("R", day=2),))
        assert found(replace(laid(), stays=stays), newcomer).on("Y", on(40)).state == "held"

    def test_a_parent_exposed_on_the_day_of_laying_holds_the_clutch(self):
        for met, state in ((10, "held"), (11, "cleared")):
            newcomer = Facts(arrivals=(arrival("N", day=2),), stays=(stay("N", "E1", met),))
            assert found(resident("R"), laid(), newcomer).on("K", on(10)).state == state

    def test_what_the_clutch_met_on_the_day_of_separation_the_young_have(self):
        """Births come after meetings."""
        meets = Facts(arrivals=(arrival("N", day=2),), stays=(stay("N", "C1", 39),))
        assert found(resident("R"), laid(), meets).on("Y", on(40)).state == "held"
        stays = tuple(replace(s, end=on(41)) if s.enclosure == "C1" else s for s in laid().stays)
        meets = Facts(arrivals=(arrival("N", day=2),), stays=(stay("N", "C1", 40),))
        assert found(resident("R"), replace(laid(), stays=stays), meets).on("Y", on(40)).state == (
            "held"
        )

    def test_held_young_expose_whom_they_are_put_with(self):
        newcomer = Facts(arrivals=(arrival("R", day=2),))
        stays = (*laid().stays[1:], stay("R", "E1", 2), stay("S", "E2", 1))
        standing = found(resident("S"), replace(laid(), stays=stays), newcomer)
        assert held_from(standing, "S") == [40]

    def test_young_of_a_clutch_nobody_entered_are_held(self):
        standing = found(Facts(births=(Birth(who="Y", clutch="?", day=on(4)),)))
        assert standing.on("Y", on(4)).state == "held"
        assert standing.on("Y", on(4)).batch == "born:?"

    def test_an_animal_is_born_at_the_latest_on_the_first_day_of_its_first_stay(self):
        early = replace(laid(), births=(Birth(who="Y", clutch="K", day=on(45)),))
        assert states(found(resident("R"), early), "Y", (39, 40)) == [None, "cleared"]
