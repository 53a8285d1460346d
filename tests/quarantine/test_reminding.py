"""The day's round by mail: once a day to each keeper who asked, and again where sending failed."""

import smtplib
from datetime import timedelta
from io import StringIO

import pytest
from django.core import mail
from django.core.mail.backends.locmem import EmailBackend
from django.core.management import CommandError, call_command
from django.utils import timezone

from quarantine import models as q
from quarantine.addresses import Reminder
from quarantine.reminding import letter, send
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db
DAY, ONE = qmake.DAY, timedelta(days=1)


@pytest.fixture(autouse=True)
def server(settings):
    """A mail server is set."""
    settings.MAIL_HOST, settings.MAIL_FROM = "mail.example", "kinward@frogs.example"


@pytest.fixture
def today(monkeypatch):
    """Let it be noon of a day."""

    def turn(day):
        monkeypatch.setattr(timezone, "now", lambda: qmake.moment(day))

    turn(DAY)
    return turn


def asks(name, email="keeper@frogs.example"):
    """Somebody wants the day's round."""
    person = make.user(name)
    person.email = email
    person.save()
    return Reminder.objects.create(user=person)


@pytest.fixture
def room(today):
    """A resident, a batch with samples due, and a lone newcomer."""
    qmake.resident("D-01", make.enclosure("E1"))
    q1 = make.enclosure("Q1", unit=make.unit("Rack Q", role="quarantine"))
    qmake.isolation([qmake.newcomer("EA-1", q1)], name="Box")
    return today


def run(*options):
    """Run the command, and return what it says."""
    out = StringIO()
    call_command("remind", *options, stdout=out)
    return out.getvalue()


def test_a_keeper_gets_the_round_in_its_order_of_work(room):
    """What Today asks for, and the enclosures: residents before quarantine."""
    asks("ann")
    assert run() == "ann: sent to keeper@frogs.example.\n"
    (sent,) = mail.outbox
    assert (sent.to, sent.from_email) == (["keeper@frogs.example"], "kinward@frogs.example")
    assert sent.subject == "Kinward, 2 Mar 2026"
    assert "- Box: take Faecal" in sent.body.replace("faecal", "Faecal")
    assert sent.body.index("- E1 (Room 1, residents): D-01") < sent.body.index("- Q1 (Rack Q")
    assert "Calendar and reminders" in sent.body
    assert "<" not in sent.body


def test_a_second_run_on_the_same_day_sends_nothing(room):
    """The next day it is sent again."""
    asks("ann")
    assert run()
    assert run() == ""
    room(DAY + ONE)
    assert run()
    assert [m.subject[-10:] for m in mail.outbox] == ["2 Mar 2026", "3 Mar 2026"]


def test_two_runs_at_once_send_one_mail(room):
    """Both found it unsent; whoever takes it sends it."""
    first = asks("ann")
    second = Reminder.objects.get(pk=first.pk)
    made = letter(first.user, DAY)
    assert [send(first, made, DAY), send(second, made, DAY)] == [True, False]
    assert len(mail.outbox) == 1


class Broken(EmailBackend):
    """A server that refuses mail to one address."""

    def send_messages(self, messages):
        """Refuse or send."""
        for message in messages:
            if message.to == ["refused@frogs.example"]:
                raise smtplib.SMTPRecipientsRefused({"refused@frogs.example": (550, b"no")})
        return super().send_messages(messages)


def test_what_could_not_be_sent_is_sent_by_the_next_run(room, settings):
    """The others do not wait for it, and get nothing twice."""
    broken = asks("ann", "refused@frogs.example")
    asks("bea", "bea@frogs.example")
    working = settings.MAILERS
    settings.MAILERS = {"default": {"BACKEND": f"{__name__}.Broken"}}
    with pytest.raises(CommandError, match="tried again at the next run: ann"):
        run()
    broken.refresh_from_db()
    assert broken.sent_on is None
    settings.MAILERS = working
    assert run() == "ann: sent to refused@frogs.example.\n"
    assert [m.to for m in mail.outbox] == [["bea@frogs.example"], ["refused@frogs.example"]]


def test_a_dry_run_shows_the_letters_and_sends_nothing(room, settings):
    """It needs no server, and the run after it sends."""
    settings.MAIL_HOST = ""
    asks("ann")
    said = run("--dry-run")
    assert said.startswith("To: keeper@frogs.example\nSubject: Kinward, 2 Mar 2026\n\n")
    assert mail.outbox == []
    settings.MAIL_HOST = "mail.example"
    assert run()
    assert len(mail.outbox) == 1


def test_without_a_mail_server_nothing_is_sent_and_that_is_said(room, settings):
    """And nothing counts as sent."""
    settings.MAIL_HOST = ""
    asked = asks("ann")
    with pytest.raises(CommandError, match="KINWARD_MAIL_HOST"):
        run()
    asked.refresh_from_db()
    assert asked.sent_on is None


def test_only_those_who_asked_and_can_sign_in_get_it(room):
    """No mail without an address, nor to an account that is closed."""
    make.user("nobody asked")
    asks("no address", "")
    closed = asks("closed")
    closed.user.is_active = False
    closed.user.save()
    assert run() == ""
    assert mail.outbox == []


def test_an_empty_register_has_nothing_to_say(today):
    """It is looked at again by the next run of the day."""
    asked = asks("ann")
    assert run() == "ann: nothing to look at today.\n"
    asked.refresh_from_db()
    assert asked.sent_on is None


@pytest.mark.parametrize(("days", "late"), [(6, False), (7, False), (8, True)])
def test_what_is_late_is_told_in_the_subject(today, days, late):
    """A result is late from the day after the laboratory's seven days."""
    newcomer = qmake.newcomer("EA-1", make.enclosure("Q1"), since=DAY - 20 * ONE)
    qmake.isolation([newcomer], name="Box", opened=DAY - 20 * ONE)
    qmake.sample("bd-pcr", [newcomer], day=DAY - days * ONE)
    made = letter(asks("ann").user, DAY)
    assert made.subject.endswith(", 1 thing late") is late
    assert ("- Late: Box: result awaited" in made.body) is late


def test_what_people_typed_makes_no_lines_of_its_own(room):
    """A line end in a name is a space in the letter."""
    q.Isolation.objects.update(name="Box\nBcc: x@y.example")
    made = letter(asks("ann").user, DAY)
    assert "Box Bcc: x@y.example" in made.body
    assert "\nBcc:" not in made.body
    assert "\n" not in made.subject


def test_the_site_is_named_where_its_address_is_known(room, settings):
    """By the first of the addresses forms may come from."""
    settings.CSRF_TRUSTED_ORIGINS = ["https://frogs.example"]
    assert "Kinward at https://frogs.example." in letter(asks("ann").user, DAY).body
