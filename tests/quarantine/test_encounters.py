"""The last day a batch met somebody held for another reason than having met it."""

from quarantine.facts import Facts, HandHold, Membership
from tests.quarantine.lives import arrival, found, on, resident, stay, visited


class TestLastMet:
    """The last day a member met one held for another reason than having met this batch."""

    def test_it_is_the_last_day_they_were_together(self):
        standing = found(visited())
        last = standing.last_met_of("R", on(30))
        assert (last.day, last.other, last.reason.kind) == (on(4), "N", "arrival")
        assert standing.last_met_of("R", on(3)).day == on(3)

    def test_batch_mates_do_not_count(self):
        mates = Facts(
            arrivals=(arrival("N", "M", day=2),), stays=(stay("N", "Q", 2), stay("M", "Q", 2))
        )
        assert found(mates).last_met("arrival:arrival of day 2", on(30)) is None

    def test_one_held_only_for_having_met_this_batch_does_not_count(self):
        standing = found(visited())
        assert standing.last_met("arrival:arrival of day 2", on(30)) is None

    def test_nor_when_the_batch_was_opened_after_they_met(self):
        named = Facts(memberships=(Membership(who="N", batch="B", start=on(4)),))
        assert found(visited(until=9), named).last_met("B", on(30)) is None

    def test_one_held_for_a_hold_of_its_own_counts_from_then_on(self):
        holds = Facts(hand_holds=(HandHold(who="R", start=on(6)),))
        batch = "arrival:arrival of day 2"
        standing = found(visited(until=9), holds)
        assert standing.last_met(batch, on(5)) is None
        last = standing.last_met(batch, on(30))
        assert (last.day, last.member, last.other, last.reason.kind) == (on(8), "N", "R", "hand")

    def test_one_that_met_another_batch_counts(self):
        standing = found(
            visited(until=9),
            Facts(
                arrivals=(arrival("M", day=3, key="second"),),
                stays=(stay("M", "E1", 6, 7), stay("M", "P", 7)),
            ),
        )
        last = standing.last_met("arrival:arrival of day 2", on(30))
        assert (last.day, last.other, last.reason.source) == (on(8), "R", "M")

    def test_a_meeting_through_an_enclosure_is_dated_on_entry(self):
        standing = found(
            Facts(
                arrivals=(arrival("N", day=2), arrival("M", day=3)),
                stays=(stay("N", "Q", 2, 8), stay("N", "P", 8), stay("M", "Q", 20)),
            ),
        )
        assert standing.last_met("arrival:arrival of day 3", on(30)).day == on(20)
        assert standing.last_met("arrival:arrival of day 3", on(19)) is None
        assert standing.last_met("arrival:arrival of day 2", on(30)) is None

    def test_an_exposed_batch_counts_from_meetings_with_others_only(self):
        """S has it from R, of its own batch, and lives with it; both last met N on day 4."""
        standing = found(visited(), resident("S"), Facts(stays=(stay("S", "E1", 1),)))
        batch = standing.on("R", on(9)).batch
        assert standing.members(batch, on(9)) == ("R", "S")
        assert standing.last_met(batch, on(30)).day == on(4)

    def test_after_a_split_the_other_part_counts(self):
        standing = found(
            Facts(
                stays=(stay("N", "Q", 2), stay("M", "Q", 2)),
                memberships=(
                    Membership(who="N", batch="B", start=on(2)),
                    Membership(who="M", batch="B", start=on(2), end=on(9)),
                    Membership(who="M", batch="C", start=on(9)),
                ),
            )
        )
        assert standing.last_met("B", on(8)) is None
        assert standing.last_met("B", on(12)).day == on(12)
