"""How long the standings of a list page, the front page and a move take in a register of any size.

Run by hand, on a database of its own: KINWARD_DATA=/tmp/bench python -m tests.bench.standings 2000
"""

import os
import sys
import time
from datetime import date, timedelta
from random import Random

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.settings")
django.setup()

from django.core.management import call_command  # noqa: E402

from quarantine import models as q  # noqa: E402
from quarantine.held import standings  # noqa: E402
from registry import models as m  # noqa: E402
from registry.placement import Placement, objections  # noqa: E402

DAY = timedelta(days=1)
TODAY = date(2026, 11, 1)


def fill(count, random):
    """Fill an empty register: two animals to an enclosure, each moved some times in five years."""
    from tests import make

    taxon, place = make.taxon(), make.locality()
    unit = make.unit("Hall")
    rooms = m.Enclosure.objects.bulk_create(
        m.Enclosure(unit=unit, code=f"E{n}") for n in range(count // 2 + 1)
    )
    animals = m.Animal.objects.bulk_create(
        m.Animal(code=f"A-{n}", taxon=taxon, locality=place, source_code="W") for n in range(count)
    )
    for start in range(0, count, 50):
        some = animals[start : start + 50]
        came = TODAY - random.randrange(400, 1800) * DAY
        make.arrival(some, day=came)
        make.clearance(some, day=came + 90 * DAY)
        m.Stay.objects.bulk_create(s for a in some for s in moved(a, rooms, came, random))
    newest = animals[-20:]
    make.arrival(newest, day=TODAY - 20 * DAY)
    version = q.Protocol.objects.first().newest()
    isolation = q.Isolation.objects.create(
        name="Box", kind="incoming", version=version, opened=TODAY - 20 * DAY
    )
    q.Membership.objects.bulk_create(
        q.Membership(isolation=isolation, animal=a, start=TODAY - 20 * DAY) for a in newest
    )


def moved(animal, rooms, came, random):
    """Yield the stays of one animal, mostly in a room of its own pair."""
    home = rooms[animal.pk // 2 % len(rooms)]
    days = sorted({came, *(came + random.randrange(1, 1500) * DAY for _ in range(4))})
    days = [day for day in days if day <= TODAY]
    for day, until in zip(days, [*days[1:], None], strict=True):
        room = home if random.random() < 0.8 else random.choice(rooms)
        yield m.Stay(animal=animal, enclosure=room, start=day, end=until)


def took(what, act):
    """Say how long an act took."""
    begin = time.perf_counter()
    act()
    print(f"{what:45s} {time.perf_counter() - begin:8.2f} s")


def page(path):
    """Open a page."""
    from django.contrib.auth import get_user_model
    from django.test import Client

    client = Client(headers={"host": "localhost"})
    client.force_login(get_user_model().objects.first())
    return lambda: client.get(path)


def main(count):
    """Fill the register and time what people wait for."""
    call_command("migrate", verbosity=0)
    if not m.Animal.objects.exists():
        fill(count, Random(1))
    print(f"{m.Animal.objects.count()} animals, {m.Stay.objects.count()} stays")
    some = list(m.Animal.objects.order_by("code")[:50])
    took("standings of 50 animals", lambda: standings(some, TODAY))
    move = Placement(day=TODAY, enclosure=m.Enclosure.objects.last(), animals=(some[0],))
    took("what stands against a move", lambda: objections(move))
    for path in ("/quarantine/", "/quarantine/exposed/", "/animals/", "/quarantine/audit/", "/"):
        took(f"page {path}", page(path))


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 500)
