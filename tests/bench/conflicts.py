"""How long it takes to look for everything that cannot be true together.

Run `python -m tests.bench.conflicts [animals]`, 100,000 by default, in a database of its
own: twenty generations, each animal with a sire and a dam, a twentieth of the sires one of two,
a third of the animals strongly sexed, a half dead, and fifty contradictions among them.
"""

import os
import sys
from datetime import date, timedelta
from random import Random
from tempfile import TemporaryDirectory
from time import perf_counter

GENERATIONS, CONTRADICTIONS = 20, 50
FIRST = date(1990, 1, 1)


def main(count):
    """Fill a register in a folder of its own, look, and say how long each took."""
    with TemporaryDirectory() as folder:
        os.environ |= {"DJANGO_SETTINGS_MODULE": "registry.settings", "KINWARD_DATA": folder}
        os.environ.pop("DATABASE_URL", None)
        import django
        from django.core.management import call_command

        django.setup()
        call_command("migrate", verbosity=0)
        _timed(f"{count} animals entered", lambda: fill(count))
        from registry.conflicts import conflicts

        _timed("everybody looked at", lambda: print(len(conflicts()), "contradictions"))


def _timed(what, act):
    began = perf_counter()
    act()
    print(f"{what} in {perf_counter() - began:.2f} s")


def fill(count):
    """Enter the animals with their parents, sexes and deaths, past every door."""
    from registry import models as m

    random = Random(1)
    taxon = m.Taxon.objects.create(name="Ranitomeya variabilis", mature_days=300)
    size = count // GENERATIONS
    animals = [
        m.Animal(
            code=f"R{n}",
            taxon=taxon,
            born=FIRST + timedelta(days=600 * (n // size) + n % 90),
            source_code="C",
        )
        for n in range(count)
    ]
    m.Animal.objects.bulk_create(animals, batch_size=2000)
    parents(animals, size, random)
    sexes(animals, random)
    gone = [a for a in animals if random.random() < 0.5]
    m.Departure.objects.bulk_create(
        [m.Departure(animal=a, kind="death", day=a.born + timedelta(days=2000)) for a in gone],
        batch_size=2000,
    )


def parents(animals, size, random):
    """State a sire and a dam for each animal but the first generation; odd ones are the dams."""
    from registry import models as m

    descents, named = [], []
    for n, animal in enumerate(animals[size:], size):
        begin = (n // size - 1) * size
        for role, odd in (("sire", 0), ("dam", 1)):
            descents.append(m.Descent(animal=animal, role=role, basis="housed", day=animal.born))
            picked = [begin + 2 * random.randrange(size // 2) + odd]
            if role == "sire" and random.random() < 0.05:
                picked.append((picked[0] - begin + 2) % size + begin)
            named.append([animals[p] for p in picked])
    m.Descent.objects.bulk_create(descents, batch_size=2000)
    rows = [
        m.Candidate(descent=d, animal=a, weight=1 / len(those))
        for d, those in zip(descents, named, strict=True)
        for a in those
    ]
    m.Candidate.objects.bulk_create(rows, batch_size=2000)


def sexes(animals, random):
    """Sex a third of the animals; the last fifty but one generation are found the other way."""
    from registry import models as m

    rows = []
    for n, animal in enumerate(animals):
        wrong = n < 2 * CONTRADICTIONS and n % 2 == 0
        if wrong or random.random() < 1 / 3:
            sex = "female" if n % 2 or wrong else "male"
            rows.append(m.SexFinding(animal=animal, sex=sex, basis="dna", day=animal.born))
    m.SexFinding.objects.bulk_create(rows, batch_size=2000)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 100_000)
