"""How long the main pages take, and how often they ask the database, after a year in a room.

Run by hand, on a database of its own: KINWARD_DATA=/tmp/bench python -m tests.bench.year 40
"""

import os
import sys
import time

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.settings")
django.setup()

from django.core.management import call_command  # noqa: E402
from django.db import connection, transaction  # noqa: E402
from django.test import Client  # noqa: E402
from django.test.utils import CaptureQueriesContext, override_settings  # noqa: E402
from django.urls import reverse  # noqa: E402

from registry.models import Animal, Clutch, Enclosure, Stay  # noqa: E402
from tests.year import Year  # noqa: E402

ALONE = (
    *("today", "animal-list", "enclosure-list", "clutch-list", "pairing-list", "line-list"),
    *("quarantine:home", "register-show", "loan-list", "conflict-list", "paper-list"),
)


def addresses(year):
    """Yield the main pages, those of one thing with the busiest or the newest of its kind."""
    yield from (reverse(name) for name in ALONE)
    young = Animal.objects.filter(clutch__isnull=False).order_by("pk").last()
    for name in ("animal-show", "pairing-mates", "kin-show", "animal-move"):
        yield reverse(name, args=[young.pk])
    full = Enclosure.objects.get(pk=Stay.objects.order_by("pk").last().enclosure_id)
    yield reverse("enclosure-show", args=[full.pk])
    yield reverse("clutch-show", args=[Clutch.objects.order_by("pk").last().pk])
    yield reverse("line-show", args=[young.taxon_id, young.locality_id])


def measure(client, address):
    """Print the processor time and the queries of one page, opened a second time."""
    client.get(address)
    with CaptureQueriesContext(connection) as asked:
        began = time.process_time()
        status = client.get(address).status_code
        spent = time.process_time() - began
    print(f"{spent * 1000:8.0f} ms {len(asked):5} queries  {status}  {address}")


def main(pairs):
    """Keep the year, open the pages, leave nothing behind."""
    call_command("migrate", verbosity=0)
    with transaction.atomic(), override_settings(ALLOWED_HOSTS=["testserver"]):
        began = time.process_time()
        year = Year(pairs=pairs).keep()
        print(
            f"{pairs} pairs, {Clutch.objects.count()} clutches, {Animal.objects.count()} animals:"
        )
        print(f"the year took {time.process_time() - began:.0f} s of the processor")
        client = Client()
        client.force_login(year.by)
        for address in addresses(year):
            measure(client, address)
        transaction.set_rollback(True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
