"""The register is read, exported and printed by holding and period."""

import csv
from datetime import date
from io import StringIO

import pytest
from django.urls import reverse

from registry import models as m
from registry.register_lines import arrival_came
from registry.register_reading import MOST_PRINTED, Extract, TooManyLines, as_pdf
from tests import make
from tests.registry.pdf import reader, text_of

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)


def day(n):
    return date(2026, 3, n)


def come(code, on=DAY, **more):
    """Enter an arrival with its line."""
    arrival = make.arrival([make.animal(code, arrived=False)], day=on, **more)
    return arrival_came(arrival)[0]


@pytest.fixture
def keeper(client):
    client.force_login(make.user(rights=["registry.export_register", "registry.add_registerline"]))
    return client


def table(client, **asked):
    body = client.get(reverse("register-table"), asked).getvalue().decode("utf-8-sig")
    return list(csv.reader(StringIO(body)))


class TestPeriod:
    def test_it_holds_the_lines_of_both_its_ends_and_none_beside(self):
        for n in range(1, 6):
            come(f"A-{n}", day(n))
        extract = Extract(holding=make.holding(), first=day(2), last=day(4))
        assert [line.number for line in extract.lines()] == [2, 3, 4]

    def test_what_is_kept_counts_all_lines_up_to_the_last(self):
        for n in range(1, 4):
            come(f"A-{n}", day(n))
        extract = Extract(holding=make.holding(), first=day(2), last=day(2))
        assert list(extract.balances()) == [("Dendrobates tinctorius", 2)]

    def test_it_is_of_one_holding(self):
        come("A-1")
        come("A-2", holding=make.holding("Gull Yard"))
        assert Extract(holding=make.holding("Gull Yard")).lines().count() == 1


class TestPage:
    def test_it_opens_without_premises_and_teaches(self, keeper):
        assert "No premises yet" in keeper.get(reverse("register-show")).content.decode()

    def test_it_shows_lines_with_page_and_number_and_escapes_what_was_typed(self, keeper):
        come("A-1", supplier=make.party("<b>Fen & Co</b>"))
        page = keeper.get(reverse("register-show")).content.decode()
        assert "&lt;b&gt;Fen &amp; Co&lt;/b&gt;" in page
        assert "<b>Fen" not in page

    @pytest.mark.parametrize("typed", ["x", "1899-01-01", "2026-13-40", "9999-01-01"])
    def test_a_day_that_is_none_is_answered_beside_its_field(self, keeper, typed):
        come("A-1")
        page = keeper.get(reverse("register-show"), {"first": typed})
        assert page.status_code == 200
        assert "errorlist" in page.content.decode()
        assert keeper.get(reverse("register-table"), {"first": typed}).status_code == 404

    def test_a_period_that_ends_before_it_begins_is_refused(self, keeper):
        come("A-1")
        asked = {"first": "2026-03-03", "last": "2026-03-02"}
        page = keeper.get(reverse("register-show"), asked).content.decode()
        assert "The period ends before it begins." in page

    @pytest.mark.parametrize("name", ["register-table", "register-print"])
    def test_taking_it_away_needs_the_right(self, client, name):
        come("A-1")
        client.force_login(make.user())
        assert client.get(reverse(name)).status_code == 403
        page = client.get(reverse("register-show")).content.decode()
        assert reverse(name) not in page

    def test_signing_in_is_needed(self, client):
        assert client.get(reverse("register-show")).url.startswith(reverse("sign-in"))

    def test_a_page_asks_the_database_a_few_times_however_long(
        self, keeper, django_assert_max_num_queries
    ):
        for n in range(30):
            come(f"A-{n}")
        with django_assert_max_num_queries(16):
            keeper.get(reverse("register-show"))


class TestTable:
    def test_every_column_of_a_line_is_in_it(self, keeper):
        line = come("A-1", supplier=make.party("Fen", address="Row 3", country="NL"))
        heads, row = table(keeper)
        told = dict(zip(heads, row, strict=True))
        assert (told["line"], told["page"], told["day"]) == ("1", "1", "2026-03-02")
        assert (told["supplier or receiver"], told["address"]) == ("Fen", "Row 3")
        assert (told["number"], told["change of the number kept"]) == ("1", "1")
        assert told["animals"] == line.codes

    @pytest.mark.parametrize("typed", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"])
    def test_nothing_typed_acts_as_a_formula(self, keeper, typed):
        come("A-1", supplier=make.party(f"{typed}x", address=typed))
        for cell in table(keeper)[1]:
            assert not cell.startswith(("=", "+", "@", "\t", "\r"))
            assert not cell.startswith("-") or cell.lstrip("-").isdigit()

    def test_it_holds_the_period_asked_for(self, keeper):
        for n in range(1, 4):
            come(f"A-{n}", day(n))
        rows = table(keeper, first="2026-03-02", last="2026-03-02")
        assert [row[0] for row in rows[1:]] == ["2"]


class TestPrint:
    def test_it_has_a_sheet_for_each_page_of_the_register(self, keeper):
        for n in range(51):
            come(f"A-{n:02}")
        answer = keeper.get(reverse("register-print"))
        made = reader(answer.content)
        assert answer["Content-Type"] == "application/pdf"
        assert len(made.pages) == 3
        text = [page.extract_text() for page in made.pages]
        assert all(f"Page {n}" in text[n - 1] for n in (1, 2, 3))
        assert "A-24" in text[0]
        assert "A-25" in text[1]
        assert "A-50" in text[2]

    def test_it_prints_corrections_with_the_line_they_correct(self):
        line = come("A-1")
        line.arrival.corrected(by=make.user(), why="Read the wrong stamp.", day=day(1))
        text = text_of(as_pdf(Extract(holding=make.holding()), DAY))
        assert "Corrects line 1: Read the wrong stamp." in text
        assert "Kept after line 2" in text

    def test_an_empty_period_is_said_to_be_empty(self):
        text = text_of(as_pdf(Extract(holding=make.holding()), DAY))
        assert "No line of the register falls into this period." in text

    def test_too_many_lines_are_answered_with_a_sentence(self, monkeypatch, keeper):
        monkeypatch.setattr("registry.register_reading.MOST_PRINTED", 1)
        come("A-1")
        come("A-2")
        with pytest.raises(TooManyLines):
            as_pdf(Extract(holding=make.holding()), DAY)
        answer = keeper.get(reverse("register-print"), {"first": "2026-03-01"}, follow=True)
        assert "choose a period" in answer.content.decode()
        assert MOST_PRINTED == 10_000


class TestLine:
    def test_a_line_shows_what_corrects_it(self, keeper):
        line = come("A-1")
        line.arrival.withdrawn(by=make.user(), why="Entered twice.")
        page = keeper.get(reverse("register-line", args=[line.pk])).content.decode()
        assert "Entered twice." in page

    def test_a_permit_that_came_later_is_written_anew_with_a_reason(self, keeper):
        line = come("A-1")
        m.Paper.objects.create(kind="permit", number="LR-9", arrival=line.arrival)
        address = reverse("register-restate", args=[line.pk])
        assert "LR-9" in keeper.get(address).content.decode()
        assert keeper.post(address, {"why": ""}).status_code == 200
        assert m.RegisterLine.objects.count() == 1
        answer = keeper.post(address, {"why": "By post."}, follow=True)
        assert "Line 2 corrects line 1." in answer.content.decode()
        assert "look at the newer line" in keeper.post(address, {"why": "x"}).content.decode()

    def test_writing_anew_needs_the_right(self, client):
        line = come("A-1")
        client.force_login(make.user())
        address = reverse("register-restate", args=[line.pk])
        assert client.post(address, {"why": "x"}).status_code == 403
