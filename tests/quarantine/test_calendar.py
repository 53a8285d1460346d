"""The calendar at a secret address: what stands in it, and who may read it."""

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.cache import cache
from django.urls import reverse
from icalendar import Calendar

from quarantine import models as q
from quarantine.addresses import CalendarAddress
from quarantine.amending import amend
from quarantine.duties import duties
from quarantine.feed import calendar_of
from registry.models import Answer
from tests import make
from tests.quarantine import make as qmake
from tests.quarantine.pages import Keeper

pytestmark = pytest.mark.django_db
DAY, ONE = qmake.DAY, timedelta(days=1)
NOW = datetime(2026, 3, 2, 12, tzinfo=UTC)


@pytest.fixture(autouse=True)
def nothing_kept():
    """Let each test ask anew."""
    cache.clear()


@pytest.fixture
def box():
    """A batch of two in Q1, opened on the day."""
    q1 = make.enclosure("Q1", unit=make.unit("Rack Q", role="quarantine"))
    return qmake.isolation([qmake.newcomer("EA-1", q1), qmake.newcomer("EA-2", q1)], name="Box")


def told(on, *kinds):
    """Return (kind, day, title) of what is to be done, for some kinds of task."""
    found = [(d.key, d.day, d.title) for d in duties(on)]
    return [row for row in found if any(kind in row[0] for kind in kinds)]


def entries(text):
    """Return the entries of a calendar by their identifiers."""
    return {str(e["uid"]): e for e in Calendar.from_ical(text).walk("VEVENT")}


class TestWhatIsToBeDone:
    def test_samples_are_due_on_their_first_day(self, box):
        """Bd and ranavirus from day 14; two faecals 14 days apart."""
        assert [(key.partition("-sample-")[2], day) for key, day, _ in told(DAY, "sample")] == [
            ("faecal-1", DAY),
            ("bd-pcr-1", DAY + 14 * ONE),
            ("faecal-2", DAY + 14 * ONE),
            ("ranavirus-pcr-1", DAY + 14 * ONE),
        ]

    @pytest.mark.parametrize(
        ("days", "day", "word"), [(20, 21, "expected"), (21, 21, "expected"), (22, 22, "late")]
    )
    def test_a_result_is_late_after_the_laboratory_days(self, box, days, day, word):
        """Taken on day 14, seven days for the laboratory; then it stands on each day anew."""
        qmake.sample("bd-pcr", [m.animal for m in box.members.all()], day=DAY + 14 * ONE)
        ((key, on, title),) = told(DAY + days * ONE, "result")
        assert (on, title) == (DAY + day * ONE, f"Box: Bd PCR {word}")
        assert key.endswith("-result-bd-pcr-20260316")

    def test_a_release_stands_on_its_best_day_and_waits_there_for_its_signature(self, box):
        """First the forecast, then the day itself."""
        assert [row[1:] for row in told(DAY, "release")] == [
            (DAY + 60 * ONE, "Box: release possible")
        ]
        animals = [m.animal for m in box.members.all()]
        for assay, day in (("bd-pcr", 14), ("ranavirus-pcr", 14), ("faecal", 0), ("faecal", 14)):
            qmake.result(qmake.sample(assay, animals, day=DAY + day * ONE))
        for days in (59, 60, 61):
            ((_, day, _),) = told(DAY + days * ONE, "release")
            assert day == DAY + max(days, 60) * ONE

    @pytest.mark.parametrize(("planned", "days", "day"), [(10, 9, 10), (10, 11, 11), (None, 5, 5)])
    def test_a_course_ends_when_it_is_planned_to(self, box, planned, days, day):
        """Once that day is over, and where no end is planned, it is asked for each day."""
        planned = planned and DAY + planned * ONE
        q.Course.objects.create(isolation=box, what="as told", start=DAY, planned_last=planned)
        ((_, on, title),) = told(DAY + days * ONE, "last-dose")
        assert (on, title) == (DAY + day * ONE, "Box: course ends")

    @pytest.mark.parametrize(("days", "day"), [(179, 180), (180, 180), (181, 181)])
    def test_young_are_to_be_moved_out_at_their_age(self, days, day):
        """At 180 days, far ahead too; and not once somebody gave a reason for its staying."""
        tank = make.enclosure("E1")
        dam = make.animal("F-1")
        clutch = make.clutch("K1", enclosure=tank, found_on=date(2025, 6, 1))
        make.parent(clutch, "dam", dam)
        young = make.young(clutch, "P-1", days=0)
        stay = make.stay(young, tank, start=young.born)
        make.stay(dam, tank)
        on = young.born + days * ONE
        assert told(on, "young") == [
            (f"young-{young.pk}", young.born + day * ONE, "P-1: move out of E1")
        ]
        Answer.objects.create(
            stay=stay,
            rule="young_leave_their_parents",
            message="P-1 should have left F-1 by then.",
            reason="No other tank is free.",
            entered_at=NOW,
            entered_by=make.user(),
        )
        assert told(on, "young") == []

    def test_nothing_is_asked_of_a_batch_that_is_released(self, box):
        """Its tasks end with its clearance."""
        make.clearance([m.animal for m in box.members.all()], isolation=box, day=DAY + ONE)
        assert duties(DAY + 2 * ONE) == []


class TestEntries:
    def test_an_entry_keeps_its_identifier_when_its_day_moves(self, box):
        """A third animal joins, and the isolation is corrected: the release moves by ten days."""
        before = {d.key: d for d in duties(DAY)}
        qmake.member(box, qmake.newcomer("EA-3", since=DAY + 10 * ONE), start=DAY + 10 * ONE)
        amend(box, {"name": "Rio box"}, by=make.user(), why="its name", at=qmake.moment(DAY))
        after = {d.key: d for d in duties(DAY + 10 * ONE)}
        assert after.keys() == before.keys()
        key = next(key for key in before if key.endswith("-release"))
        assert after[key].day - before[key].day == 10 * ONE
        assert after[key].title == "Rio box: release possible"

    def test_no_two_tasks_share_an_identifier(self, box):
        other = qmake.isolation([qmake.newcomer("N-1")], name="Neighbour")
        for isolation in (box, other):
            animals = [m.animal for m in isolation.members.all()]
            for day in (14, 15):
                qmake.sample("bd-pcr", animals, day=DAY + day * ONE)
        keys = [d.key for d in duties(DAY + 16 * ONE)]
        assert len(keys) == len(set(keys))

    def test_what_people_typed_is_text_and_nothing_else(self, box):
        """Commas, semicolons, line ends and the words of the format itself."""
        nasty = "Box; a,b\\n\nEND:VEVENT\r\nBEGIN:VALARM 🐸"
        q.Isolation.objects.filter(pk=box.pk).update(name=nasty)
        known = {"name": "Kinward", "maker": "a1", "address": "https://x.example{}".format}
        made = calendar_of(duties(DAY), **known, stamp=NOW)
        found = entries(made)
        assert len(found) == len(duties(DAY))
        title = next(str(e["summary"]) for uid, e in found.items() if "release" in uid)
        assert "END:VEVENT" in title
        assert title.endswith("release possible")
        assert not Calendar.from_ical(made).walk("VALARM")
        assert all(len(line) <= 75 for line in made.split(b"\r\n"))

    def test_every_entry_is_of_a_whole_day_and_leaves_it_free(self, box):
        known = {"name": "Kinward", "maker": "a1", "address": "https://x.example{}".format}
        for entry in entries(calendar_of(duties(DAY), **known, stamp=NOW)).values():
            assert type(entry["dtstart"].dt) is date
            assert entry["transp"] == "TRANSPARENT"
            assert entry["url"].startswith("https://x.example/")


@pytest.fixture
def keeper(monkeypatch):
    """Somebody signed in on the day."""
    return Keeper(make.user("keeper"), monkeypatch).at("2 Mar")


def link(keeper):
    """Get an address, and return the page at it."""
    keeper.client.post(reverse("quarantine:calendar-renew"))
    address = CalendarAddress.objects.get(user=keeper.user)
    return reverse("quarantine:calendar-feed", args=[address.pk, address.secret])


class TestTheAddress:
    def test_whoever_has_it_reads_the_calendar_without_signing_in(self, keeper, box, client):
        response = client.get(link(keeper))
        assert response.status_code == 200
        assert response["Content-Type"] == "text/calendar; charset=utf-8"
        assert "no-store" in response["Cache-Control"]
        assert not response.cookies
        found = entries(response.content)
        assert {str(e["dtstamp"].dt.date()) for e in found.values()} == {"2026-03-02"}
        assert all(e["url"].startswith("http://testserver/quarantine/") for e in found.values())

    def test_a_wrong_secret_leads_nowhere(self, keeper, client):
        """Nor does that of somebody else, nor an address that never was."""
        mine, other = link(keeper), make.user("other")
        theirs = CalendarAddress.renewed(other, NOW)
        own = CalendarAddress.objects.get(user=keeper.user)
        for pk, secret in (
            (own.pk, theirs.secret),
            (own.pk, own.secret[:-1]),
            (own.pk, own.secret + "A"),
            (own.pk, "é"),
            (9999, own.secret),
        ):
            address = reverse("quarantine:calendar-feed", args=[pk, secret])
            assert client.get(address).status_code == 404
        assert client.get(mine).status_code == 200

    def test_a_renewed_or_stopped_address_leads_nowhere_at_once(self, keeper, client):
        first = link(keeper)
        assert client.get(first).status_code == 200
        second = link(keeper)
        assert [client.get(a).status_code for a in (first, second)] == [404, 200]
        keeper.client.post(reverse("quarantine:calendar-stop"))
        assert client.get(second).status_code == 404

    def test_it_ends_with_the_account(self, keeper, client):
        address = link(keeper)
        type(keeper.user).objects.update(is_active=False)
        assert client.get(address).status_code == 404

    def test_it_is_read_only(self, keeper, client):
        address = link(keeper)
        assert client.post(address).status_code == 405
        assert client.head(address).status_code == 200

    def test_secrets_are_long_and_never_the_same(self, keeper):
        secrets = {CalendarAddress.renewed(keeper.user, NOW).secret for _ in range(50)}
        assert len(secrets) == 50
        assert min(map(len, secrets)) >= 43

    def test_asked_often_it_is_worked_out_once(self, keeper, box, client, monkeypatch):
        """A program that asks every second costs no more than one that asks now and then."""
        from quarantine.views import calendars

        asked = []
        real = calendars.duties
        monkeypatch.setattr(calendars, "duties", lambda on: asked.append(on) or real(on))
        address = link(keeper)
        assert len({client.get(address).content for _ in range(5)}) == 1
        assert len(asked) == 1


class TestThePage:
    def test_it_gives_the_address_once_there_is_one(self, keeper):
        assert "no address yet" in keeper.see("quarantine:calendar-show").text
        address = link(keeper)
        assert f"http://testserver{address}" in keeper.see("quarantine:calendar-show").text

    def test_an_address_is_given_or_taken_by_a_form_only(self, keeper):
        for name in ("quarantine:calendar-renew", "quarantine:calendar-stop"):
            assert keeper.client.get(reverse(name)).status_code == 405
        assert not CalendarAddress.objects.exists()

    def test_a_reminder_is_asked_for_and_ended(self, keeper):
        send = {"wanted": "on", "email": "keeper@frogs.example"}
        assert keeper.send("quarantine:calendar-show", **send).status_code == 302
        assert keeper.user.reminder.sent_on is None
        page = keeper.see("quarantine:calendar-show").text
        assert "keeper@frogs.example" in page
        assert keeper.send("quarantine:calendar-show", email="").status_code == 302
        assert not q.Reminder.objects.exists()

    @pytest.mark.parametrize("email", ["", "nowhere", "a@b\r\nBcc: c@d.example"])
    def test_a_reminder_goes_somewhere(self, keeper, email):
        response = keeper.send("quarantine:calendar-show", wanted="on", email=email)
        assert response.context["form"].errors["email"]
        assert not q.Reminder.objects.exists()

    def test_it_is_shown_to_those_signed_in_only(self, client):
        assert client.get(reverse("quarantine:calendar-show")).status_code == 302
