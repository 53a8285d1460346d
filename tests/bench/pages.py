"""What the pages people open most cost in a register of 3,000 animals, beside the demo's size.

Run by hand, on a database of its own: KINWARD_DATA=/tmp/bench python -m tests.bench.pages 3000
Each page is opened twice; the second time is told: what is kept in the process is the code alone.
"""

import os
import sys
from random import Random

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.settings")
django.setup()

from django.conf import settings  # noqa: E402
from django.contrib.auth import get_user_model  # noqa: E402
from django.core.management import call_command  # noqa: E402
from django.test import Client  # noqa: E402

from registry.models import Animal, Stay  # noqa: E402
from tests.bench.standings import fill  # noqa: E402
from tests.walk import visit  # noqa: E402

AIM = 1.0  # seconds of processor time
PAGES = (
    "/",
    "/animals/",
    "/enclosures/",
    "/clutches/",
    "/pairings/",
    "/lines/",
    "/quarantine/",
    "/quarantine/audit/",
    "/quarantine/exposed/",
    "/arrivals/",
    "/papers/register/",
)
OF_ANIMAL = ("", "mates/", "kin/", "pedigree/")


def main(count):
    """Fill the register if it is empty, open the pages and tell the table."""
    settings.ALLOWED_HOSTS = ["*"]
    call_command("migrate", verbosity=0)
    if not Animal.objects.exists():
        fill(count, Random(1))
    keeper, _ = get_user_model().objects.get_or_create(
        username="bench", defaults={"is_superuser": True}
    )
    client = Client()
    client.force_login(keeper)
    print(f"{Animal.objects.count()} animals, {Stay.objects.count()} stays; aim {AIM} s a page")
    print(f"{'page':28} {'queries':>7} {'kB':>5} {'s':>6} {'of aim':>7}")
    one = Animal.objects.order_by("code").first()
    for address in (*PAGES, *(f"/animals/{one.pk}/{end}" for end in OF_ANIMAL)):
        visit(client, address)
        found = visit(client, address)
        weight, took = found.weight / 1000, found.seconds
        asked = len(found.queries)
        print(f"{address:28} {asked:7} {weight:5.0f} {took:6.2f} {took / AIM:7.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3000)
