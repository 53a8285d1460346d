"""No page of the demo asks the database too often or weighs too much."""

from contextlib import suppress

import pytest
from django.contrib.auth import get_user_model
from django.db import transaction
from django.test import Client
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from quarantine.demo import load
from quarantine.wards import open_on
from tests.walk import names, table, walk

pytestmark = pytest.mark.django_db
QUESTIONS, BYTES = 20, 150_000  # a page keeps under both
EACH = 2  # addresses of one kind that are opened
POSTED = {"sign-out", "line-plan-enter", "quarantine:calendar-renew", "quarantine:calendar-stop"}
POSTED |= {"filter-keep", "set-language"}
NOT_OPENED = POSTED | {  # for whoever is not signed in, by a word on paper or read by a machine
    "sign-in", "enclosure-label", "quarantine:calendar-feed",
    # and about what the demo has none of, or offers on the page of something else
    "holding-edit", "mark-photo", "missing-found", "pairing-begin", "paper-file", "proof-show",
    "reckoning-show", "reckoning-stop", "register-restate", "sign-gone",
    "quarantine:course-end", "quarantine:hold-end", "quarantine:necropsy-add",
    "filter-edit", "filter-delete", "one-of-open", "enclosure-hatched", "animal-clutch",
    "section-show",
}  # fmt: skip


@pytest.fixture(scope="module")
def demo(django_db_setup, django_db_blocker):
    """The demo collection, loaded once for these tests and taken back after them."""
    with django_db_blocker.unblock(), transaction.atomic():
        load(timezone.localdate())
        yield
        transaction.set_rollback(True)


@pytest.fixture(scope="module")
def visits(demo):
    """What the pages of the demo cost, from Today to wherever links lead.

    The count is cold: each page is asked once, the session and the person signed in included, and
    the program keeps nothing of the register from one page to the next. The weight is that of the
    page as it is sent, not compressed, and of each style, script and picture it loads, as if the
    browser had none of them. What people uploaded is on no page of the demo. A table or picture
    handed out as a file has no weight here, but its questions count.
    """
    client = Client()
    client.force_login(get_user_model().objects.get(username="keeper"))
    waiting = open_on(timezone.localdate())
    batches = [reverse("quarantine:batch-show", args=[isolation.pk]) for isolation in waiting]
    found = list(walk(client, ["/", *batches, *standing_alone()], EACH))
    print("", *table(found), sep="\n")
    return found


def standing_alone():
    """Yield the addresses of the pages that are about no one thing."""
    for name in sorted(set(names()) - NOT_OPENED):
        with suppress(NoReverseMatch):
            yield reverse(name)


def test_links_lead_to_every_page(visits):
    """What no link leads to is named, so that a page is not left uncounted unseen."""
    assert {v.name for v in visits if v.status >= 400} == set()
    assert set(names()) - {v.name for v in visits} - NOT_OPENED == set()


def test_no_page_asks_the_database_twenty_questions(visits):
    """A page that asks more has begun to ask for each row, or twice for one thing."""
    asked = {v.address: len(v.queries) for v in visits if len(v.queries) >= QUESTIONS}
    assert asked == {}


def test_no_page_weighs_150_kilobytes(visits):
    """With all it loads, for a telephone in a room far from the router."""
    assert {v.address: v.weight for v in visits if v.weight >= BYTES} == {}
