"""No page of the demo asks the database too often or weighs too much, and its register adds up."""

from collections import Counter
from contextlib import suppress

import pytest
from django.contrib.auth import get_user_model
from django.db import transaction
from django.test import Client
from django.urls import NoReverseMatch, reverse
from django.utils import timezone

from quarantine.demo import load
from quarantine.wards import open_on
from registry.headcount import remaining
from registry.laying import is_running
from registry.models import Animal, Clutch, Holding, RegisterLine, StageCount
from registry.register_reading import Extract
from registry.unsettled import open_departures
from tests import addresses
from tests.walk import names, table, visit, walk

pytestmark = pytest.mark.django_db
QUESTIONS, BYTES = 20, 150_000  # a page keeps under both
LARVAE_ON = ("hatched", "carried", "metamorphosed", "independent")
EACH = 2  # addresses of one kind that are opened


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
    handed out as a file has no weight here, but its questions count. Pages about what the demo has
    none of come last, once there is something of it.
    """
    client = Client()
    client.force_login(get_user_model().objects.get(username="keeper"))
    waiting = open_on(timezone.localdate())
    batches = [reverse("quarantine:batch-show", args=[isolation.pk]) for isolation in waiting]
    found = list(walk(client, ["/", *batches, *standing_alone()], EACH))
    addresses.furnish(get_user_model().objects.get(username="keeper"))
    unmet = set(addresses.pages()) - {v.name for v in found} | addresses.QUERIES.keys()
    found += [visit(client, addresses.address(name)) for name in sorted(unmet)]
    print("", *table(found), sep="\n")
    return found


def standing_alone():
    """Yield the addresses of the pages that are about no one thing, and are asked nothing."""
    for name in sorted(set(names()) - addresses.OTHERS - addresses.QUERIES.keys()):
        with suppress(NoReverseMatch):
            yield reverse(name)


def test_links_lead_to_every_page(visits):
    """Or it is about what the demo has none of; no page is left uncounted."""
    assert {v.name for v in visits if v.status >= 400} == set()
    assert set(names()) - {v.name for v in visits} - addresses.OTHERS == set()


def test_no_page_asks_the_database_twenty_questions(visits):
    """A page that asks more has begun to ask for each row, or twice for one thing."""
    asked = {v.address: len(v.queries) for v in visits if len(v.queries) >= QUESTIONS}
    assert asked == {}


def test_no_page_weighs_150_kilobytes(visits):
    """With all it loads, for a telephone in a room far from the router."""
    assert {v.address: v.weight for v in visits if v.weight >= BYTES} == {}


def larvae_left(clutch):
    """Return how many larvae are left in a cup, counted in it or before they were mixed."""
    brought = sum(larvae_left(part.clutch) for part in clutch.current_parts())
    rows = StageCount.objects.current().filter(clutch=clutch, stage__in=LARVAE_ON)
    if not rows.exists():
        return max(brought - clutch.young.count(), 0)
    counted = max(row.count for row in rows) - clutch.young.count()
    return min(remaining(clutch), counted)


def test_lines_of_its_register_come_to_the_animals_here_and_the_larvae_in_their_cups(demo):
    """Counted apart: by the arrivals and departures of each animal, and by what is left in cups."""
    today = timezone.localdate()
    there = Counter(Animal.objects.here(today).values_list("taxon__name", flat=True))
    for one in open_departures():
        there[one.among[0].taxon.name] -= 1  # of several one is gone, nobody knows which
    for clutch in Clutch.objects.select_related("taxon"):
        if is_running(clutch, today):
            there[clutch.taxon.name] += larvae_left(clutch)
    kept = Counter()
    for holding in Holding.objects.all():
        rows = RegisterLine.objects.filter(holding=holding)
        numbers = list(rows.values_list("number", flat=True))
        assert numbers == list(range(1, len(numbers) + 1))
        kept.update(dict(Extract(holding=holding).balances()))
    assert kept == there
