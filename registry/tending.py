"""What is done to an enclosure: it is disinfected, or things go from one into another."""

from dataclasses import dataclass
from datetime import date

from django.conf import settings
from django.utils import timezone

from .herd import Herd
from .lifetime import refuse_ahead
from .models import Disinfection, Enclosure, Stay, ThingsMoved
from .objections import collected


@dataclass(frozen=True, kw_only=True)
class Carrying:
    """A proposal: plants, water or tools go from one enclosure into another on a day."""

    day: date
    source: Enclosure
    target: Enclosure
    what: str
    animals = ()
    clutches = ()
    companies = ()
    until = None

    @property
    def enclosure(self):
        """Where the things go."""
        return self.target

    @property
    def herd(self):
        """Whoever is in either enclosure on the day."""
        rows = Stay.objects.current().touching(self.day)
        rows = rows.filter(enclosure__in=[self.source, self.target], animal__isnull=False)
        return Herd({s.animal for s in rows.select_related("animal__taxon")})


def objections(carrying):
    """Return what every rule in CARRYING_RULES notes to things moved; nothing stops a fact."""
    return collected(settings.CARRYING_RULES, carrying)


def carry(carrying, by, at=None):
    """Enter that things were moved between two enclosures."""
    moment = at or timezone.now()
    refuse_ahead(carrying.day, moment)
    return ThingsMoved.objects.create(
        source=carrying.source,
        target=carrying.target,
        day=carrying.day,
        what=carrying.what,
        entered_at=moment,
        entered_by=by,
    )


def disinfect(enclosure, day, by, agent="", at=None):
    """Enter that an enclosure was disinfected on a day."""
    moment = at or timezone.now()
    refuse_ahead(day, moment)
    return Disinfection.objects.create(
        enclosure=enclosure, day=day, agent=agent, entered_at=moment, entered_by=by
    )
