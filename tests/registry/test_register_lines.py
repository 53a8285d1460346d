"""Every coming, birth and going has a numbered line, which stands as it was written."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime

import pytest
from django.db import connection, transaction

from registry import arriving as a
from registry import models as m
from registry.amending import correct_departure, take_back_departure
from registry.correcting import correct, withdraw
from registry.departing import Leaving, depart, depart_together
from registry.missing import find_again, miss
from registry.objections import Stopped
from registry.restating import LineRefused, differences, restate
from registry.trying import undone
from tests import make

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("only_the_register")]
DAY = make.DAY
NOON = datetime(2026, 3, 20, 12, tzinfo=UTC)


def day(n):
    return date(2026, 3, n)


def come(*codes, **more):
    """Register an arrival of wild frogs from Ecuador, with every part a line repeats."""
    taxon = more.pop("taxon", None) or make.taxon("Epipedobates anthonyi")
    supplier = m.Party.objects.filter(name="Brackenmoor").first() or make.party(
        "Brackenmoor", address="Fen Row 3\nLower Reach", country="NL"
    )
    told = {
        "day": DAY,
        "kind": "import",
        "holding": make.holding(),
        "supplier": supplier,
        "taxon": taxon,
        "locality": make.locality("Rio Candelo", taxon, country="EC"),
        "source_code": "W",
        "newcomers": tuple(a.Newcomer(code=c) for c in codes),
        "papers": (a.PaperGiven(kind="permit", number="LR-0312/26"),),
    }
    return a.register_arrival(a.Coming(**told | more), by=make.user(), at=NOON)


def lines(**where):
    return list(m.RegisterLine.objects.filter(**where).order_by("number"))


def kept():
    """Return what all lines come to."""
    return m.RegisterLine.objects.all().balance()


def buyer():
    return m.Party.objects.filter(name="Isolde Querrin").first() or make.party(
        "Isolde Querrin", address="Mill Lane 1", country="DE"
    )


def sell(*animals, kind="sale"):
    leaving = Leaving(day=day(5), animals=animals, kind=kind, receiver=buyer())
    return depart_together(leaving, by=make.user(), at=NOON)


class TestArrivals:
    def test_a_line_says_all_that_an_inspector_asks_for(self):
        come("EA-1", "EA-2")
        (line,) = lines()
        assert (line.number, line.page, line.day, line.kind) == (1, 1, DAY, "arrival")
        assert (line.what, line.species, line.count) == ("import", "Epipedobates anthonyi", 2)
        assert (line.party_name, line.party_country) == ("Brackenmoor", "NL")
        assert line.party_address == "Fen Row 3\nLower Reach"
        assert (line.origin, line.permit, line.codes) == ("EC", "LR-0312/26", "EA-1, EA-2")
        assert line.entered_at == NOON

    def test_lines_of_one_holding_are_numbered_without_a_gap(self):
        come("EA-1")
        come("EA-2")
        with pytest.raises(a.ArrivalRefused):
            come("EA-2")
        come("EA-3")
        assert [line.number for line in lines()] == [1, 2, 3]

    def test_an_arrival_undone_after_a_look_takes_no_number(self):
        undone(lambda: come("EA-1"))
        come("EA-2")
        assert [(line.number, line.codes) for line in lines()] == [(1, "EA-2")]

    def test_each_holding_counts_for_itself(self):
        come("EA-1")
        come("EA-2", holding=make.holding("Gull Yard"))
        assert [(line.holding.name, line.number) for line in lines()] == [
            ("Lantern Row", 1),
            ("Gull Yard", 1),
        ]

    def test_a_page_holds_twenty_five_lines_for_good(self):
        for number in (1, 25, 26, 50, 51):
            assert m.RegisterLine(number=number).page == -(-number // 25)

    def test_those_that_come_again_have_a_line_for_each_species(self):
        frog = make.animal("D-1", here_since=date(2025, 1, 1))
        other = make.animal("E-1", taxon=make.taxon("Mantella aurantiaca"))
        make.departure(frog, day=DAY)
        make.departure(other, day=DAY)
        told = {"kind": "return", "supplier": buyer(), "holding": make.holding()}
        back = a.Return(day=day(9), animals=(frog, other), **told)
        a.register_return(back, by=None, at=NOON)
        assert [(line.species, line.what) for line in lines()] == [
            ("Dendrobates tinctorius", "return"),
            ("Mantella aurantiaca", "return"),
        ]

    def test_bred_animals_originate_where_their_breeder_is_and_wild_ones_where_they_lived(self):
        come("EA-1", source_code="C", supplier=make.party(kind="keeper", country="DE"))
        come("EA-2", source_code="C", supplier=make.party(kind="dealer", country="BE"))
        assert [line.origin for line in lines()] == ["DE", ""]

    def test_a_corrected_arrival_gets_a_new_line_that_names_the_first(self):
        arrival = come("EA-1", "EA-2")
        arrival.corrected(by=make.user(), why="Read the wrong stamp.", day=day(1))
        first, second = lines()
        assert (first.day, second.day) == (DAY, day(1))
        assert (second.corrects, second.why) == (first, "Read the wrong stamp.")
        assert (second.count, second.change, kept()) == (2, 0, 2)

    def test_a_withdrawn_arrival_takes_its_animals_off_again(self):
        come("EA-1", "EA-2").withdrawn(by=make.user(), why="Entered twice.")
        first, second = lines()
        assert (second.corrects, second.withdraws, second.change) == (first, True, -2)
        assert kept() == 0


class TestDepartures:
    def test_deaths_stand_singly_and_the_sold_together(self):
        animals = come("EA-1", "EA-2", "EA-3", "EA-4").animals.order_by("code")
        one, two, three, four = animals
        sell(one, two)
        leaving = Leaving(day=day(6), animals=(three, four), kind="death")
        depart_together(leaving, by=make.user(), cause="flooded", at=NOON)
        assert [(x.kind, x.count, x.codes, x.remark) for x in lines()[1:]] == [
            ("departure", 2, "EA-1, EA-2", "Held on leaving: EA-1 and EA-2."),
            ("death", 1, "EA-3", "flooded. Held on leaving: EA-3."),
            ("death", 1, "EA-4", "flooded. Held on leaving: EA-4."),
        ]
        assert kept() == 0

    def test_a_sale_names_the_receiver_with_address_and_country(self):
        sell(*come("EA-1").animals.all())
        line = lines()[-1]
        assert (line.party_name, line.party_address, line.party_country) == (
            "Isolde Querrin",
            "Mill Lane 1",
            "DE",
        )

    def test_a_departure_is_entered_where_the_animal_stayed(self):
        gull = make.unit("Yard", holding=make.holding("Gull Yard"))
        animal = come("EA-1").animals.get()
        make.stay(animal, make.enclosure(unit=gull), start=DAY)
        sell(animal)
        assert [(x.holding.name, x.kind) for x in lines(kind="departure")] == [
            ("Gull Yard", "departure")
        ]

    def test_a_departure_refused_writes_no_line(self):
        animal = come("EA-1").animals.get()
        sell(animal)
        with pytest.raises(Stopped, match="left on 5 Mar 2026"):
            sell(animal)
        assert len(lines()) == 2

    def test_one_of_several_sold_is_corrected_by_a_line_of_its_own(self):
        one, two = come("EA-1", "EA-2").animals.order_by("code")
        sold = sell(one, two)[1]
        correct_departure(
            sold, {"kind": "death", "receiver": None}, by=make.user(), why="It died on the way.",
            at=NOON,
        )  # fmt: skip
        sale, death = lines()[1:]
        assert (sale.kind, sale.codes, sale.change) == ("departure", "EA-1, EA-2", -2)
        assert (death.kind, death.codes, death.count) == ("death", "EA-2", 1)
        assert (death.corrects, death.change, kept()) == (sale, 0, 0)

    def test_a_departure_taken_back_brings_one_back_however_often_it_was_corrected(self):
        one, two = come("EA-1", "EA-2").animals.order_by("code")
        sold = sell(one, two)[0]
        newer = correct_departure(sold, {"day": day(7)}, by=make.user(), why="A slip.", at=NOON)
        take_back_departure(newer, by=make.user(), why="It was another.", at=NOON)
        _, sale, moved, back = lines()
        assert (moved.corrects, moved.day, moved.change) == (sale, day(7), 0)
        assert (back.corrects, back.withdraws, back.change) == (moved, True, 1)
        assert kept() == 1

    def test_what_was_entered_before_there_were_lines_is_corrected_without_one(self):
        departure = make.departure(make.animal())
        departure.withdrawn(by=make.user(), why="A slip.")
        assert lines() == []


class TestNotFound:
    def test_an_animal_not_found_is_taken_off_once_and_back_on_when_found(self):
        animal, tank = come("EA-1").animals.get(), make.enclosure()
        make.stay(animal, tank, start=DAY)
        gone = miss(animal, day(4), make.user(), at=NOON)
        assert (kept(), lines()[-1].kind) == (0, "missing")
        find_again(gone, day(9), tank, make.user(), at=NOON)
        assert (kept(), lines()[-1].kind, lines()[-1].day) == (1, "found", day(9))

    def test_an_animal_not_found_and_then_known_dead_leaves_once(self):
        animal = come("EA-1").animals.get()
        make.stay(animal, make.enclosure(), start=DAY)
        miss(animal, day(4), make.user(), at=NOON)
        depart(animal, day(6), "death", None, make.user(), at=NOON)
        assert [line.change for line in lines()] == [1, -1, 0]


class TestStanding:
    def test_a_line_is_neither_changed_nor_deleted(self):
        come("EA-1")
        (line,) = lines()
        line.number = 7
        for act in (line.save, line.delete, m.RegisterLine.objects.all().delete):
            with pytest.raises(m.WrittenForGood):
                act()
        with pytest.raises(m.WrittenForGood):
            m.RegisterLine.objects.update(number=7)
        assert lines()[0].number == 1

    def test_a_line_keeps_the_address_of_its_day(self):
        arrival = come("EA-1")
        m.Party.objects.filter(pk=arrival.supplier_id).update(address="Moved away")
        m.Animal.objects.update(code="EA-9")
        (line,) = lines()
        assert (line.party_address, line.codes) == ("Fen Row 3\nLower Reach", "EA-1")

    def test_a_permit_that_comes_later_is_written_in_a_new_line(self):
        arrival = come("EA-1", papers=())
        (line,) = lines()
        assert (line.permit, differences(line)) == ("", [])
        m.Paper.objects.create(kind="permit", number="LR-9", arrival=arrival)
        assert [(d.label, d.before, d.now) for d in differences(line)] == [
            ("import permit", "", "LR-9")
        ]
        new = restate(line, by=make.user(), why="It came by post.", at=NOON)
        assert (new.number, new.corrects, new.permit, new.change) == (2, line, "LR-9", 0)
        assert lines()[0].permit == ""

    def test_a_line_is_not_written_anew_for_nothing_nor_twice(self):
        arrival = come("EA-1")
        (line,) = lines()
        with pytest.raises(LineRefused, match="says today what it said then"):
            restate(line, by=make.user(), why="So.")
        m.Party.objects.filter(pk=arrival.supplier_id).update(address="Fen Row 4")
        restate(line := lines()[0], by=make.user(), why="A wrong number.")
        with pytest.raises(LineRefused, match="look at the newer line"):
            restate(line, by=make.user(), why="Again.")


class TestAtOnce:
    """The numbers hold where several enter at the same time, on either database."""

    def test_numbers_are_without_gap_or_double_for_several_at_once(self, transactional_db):
        make.holding(), come("EA-0")
        user, taxon = make.user(), make.taxon("Epipedobates anthonyi")

        def enter(n):
            try:
                told = a.Coming(
                    day=DAY, kind="purchase", holding=make.holding(), supplier=buyer(),
                    taxon=taxon, newcomers=(a.Newcomer(code=f"EB-{n}"),),
                )  # fmt: skip
                with transaction.atomic():
                    a.register_arrival(told, by=user, at=NOON)
                    if n % 4 == 3:
                        raise LineRefused("Given up half way.")
            except LineRefused:
                pass
            finally:
                connection.close()

        buyer()
        with ThreadPoolExecutor(6) as pool:
            list(pool.map(enter, range(12)))
        assert [line.number for line in lines()] == list(range(1, 11))


class TestCountsCorrected:
    def test_a_count_is_corrected_and_withdrawn_through_the_page_of_corrections(self):
        from registry.laying import count_stage

        clutch = make.clutch()
        count = count_stage(clutch, "hatched", day(4), 9, make.user(), at=NOON)
        newer = correct(count, {"count": 8}, by=make.user(), why="One was two.", at=NOON)
        withdraw(newer, by=make.user(), why="Another clutch.", at=NOON)
        first, second, third = lines()
        assert [(x.count, x.change) for x in (first, second, third)] == [(9, 9), (8, -1), (8, -8)]
        assert (second.corrects, third.corrects, third.withdraws) == (first, second, True)
        assert kept() == 0
