"""Loads the demo collection: a story told in days from today, each act through its own door."""

import tomllib
from datetime import date, datetime, time, timedelta
from pathlib import Path

from django.conf import settings
from django.contrib.auth import get_user_model
from django.db import transaction
from django.utils import timezone

from registry import models as m

from .demo_acts import ACTS

STORY = Path(settings.BASE_DIR) / "fixtures" / "demo.toml"
EVENING = time(18, 30)


class Teller:
    """Tells the story: turns offsets into days, and names into what the register holds."""

    def __init__(self, story, today, by, holding):
        self.story, self.today, self.by, self.holding = story, today, by, holding
        self.batches, self.samples, self.clutches, self.events = {}, {}, {}, {}

    def day(self, offset):
        """Return the day so many days from today."""
        return self.today + timedelta(days=offset)

    def moment(self, offset):
        """Return the evening of a day, on which its acts are entered."""
        return timezone.make_aware(datetime.combine(self.day(offset), EVENING))

    def animals(self, codes):
        """Return animals in the order of their codes."""
        found = {a.code: a for a in m.Animal.objects.filter(code__in=codes).select_related("taxon")}
        return tuple(found[code] for code in codes)

    def animal(self, code):
        """Return one animal."""
        return m.Animal.objects.select_related("taxon").get(code=code)

    def enclosure(self, code):
        """Return one enclosure."""
        return m.Enclosure.objects.select_related("unit").get(code=code)

    def party(self, name):
        """Return a person or firm, or nobody."""
        return m.Party.objects.get(name=name) if name else None

    def tell(self, act):
        """Carry one act out, entered on the evening it happened unless it says otherwise."""
        entered = min(self.moment(act.get("entered", act["day"])), timezone.now())
        told = {k: v for k, v in act.items() if k not in {"do", "day", "entered"}}
        ACTS[act["do"]](self, self.day(act["day"]), entered, **told)


@transaction.atomic
def load(today: date, path=STORY):
    """Fill an empty register with the demo collection as it stands on a day."""
    story = tomllib.loads(path.read_text(encoding="utf-8"))
    teller = Teller(story, today, *_keeper(story["keeper"]))
    _furnish(story, teller)
    for act in story["story"]["acts"]:
        teller.tell(act)
    return teller


def _keeper(told):
    """Return the keeper's account and premises."""
    keeper, _ = get_user_model().objects.get_or_create(
        username=told["username"],
        defaults={"first_name": told["name"], "is_staff": True, "is_superuser": True},
    )
    owner = m.Party.objects.create(**{key: told[key] for key in ("name", "address", "country")})
    holding = m.Holding.objects.create(name=told["holding"], party=owner)
    holding.keepers.add(keeper)
    return keeper, holding


def _furnish(story, teller):
    """Enter units with their enclosures, parties, taxa and localities."""
    _units(teller.holding, story["units"])
    for told in story["premises"]:
        owner = {key: told[key] for key in ("address", "country")}
        keeper = m.Party.objects.create(name=told["keeper"], **owner)
        _units(m.Holding.objects.create(name=told["name"], party=keeper), told["units"])
    m.Party.objects.bulk_create(m.Party(**told) for told in story["parties"])
    taxa = {told["name"]: m.Taxon.objects.create(**told) for told in story["taxa"]}
    for told in story["localities"]:
        m.Locality.objects.create(**told | {"taxon": taxa[told["taxon"]]})


def _units(holding, units):
    for told in units:
        unit = m.Unit.objects.create(holding=holding, name=told["name"], role=told["role"])
        _enclosures(unit, **told["enclosures"])


def _enclosures(unit, prefix, first, last, room_for):
    m.Enclosure.objects.bulk_create(
        m.Enclosure(
            unit=unit,
            code=f"{prefix}{n:02}" if prefix == "F" else f"{prefix}{n}",
            room_for=room_for,
        )
        for n in range(first, last + 1)
    )
