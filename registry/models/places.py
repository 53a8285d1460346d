"""Units, enclosures, and what is done to an enclosure."""

import secrets

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from ..telling import tell
from .facts import Fact
from .parties import Holding


class UnitRole(models.TextChoices):
    """What a unit is for; it decides the order of work."""

    RESIDENT = "resident", _("resident")
    QUARANTINE = "quarantine", _("quarantine")
    SICK_BAY = "sick bay", _("sick bay")


class Unit(models.Model):
    """A room or rack that shares air, water, drain or tools."""

    holding = models.ForeignKey(Holding, models.PROTECT, related_name="units")
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=20, choices=UnitRole, default=UnitRole.RESIDENT)
    note = models.TextField(blank=True, max_length=2000)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["holding", "name"], name="unit_is_named_once")
        ]

    def __str__(self):
        return self.name


def new_token():
    """Return a short unguessable word for a printed label."""
    return secrets.token_urlsafe(8)


class Enclosure(models.Model):
    """Where animals or a clutch live: a tank, a tub, a cup, a travel box."""

    unit = models.ForeignKey(Unit, models.PROTECT, related_name="enclosures")
    code = models.CharField(max_length=40, unique=True)
    kind = models.CharField(max_length=40, blank=True, default="terrarium")
    room_for = models.PositiveSmallIntegerField(_("room for"), default=10)
    token = models.CharField(max_length=20, unique=True, default=new_token, editable=False)
    retired_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True, max_length=2000)

    class Meta:
        ordering = ["code"]
        constraints = [models.CheckConstraint(condition=~Q(code=""), name="enclosure_has_a_code")]

    def __str__(self):
        return self.code


class Disinfection(Fact):
    """An enclosure was disinfected, so that nothing is passed on through it."""

    enclosure = models.ForeignKey(Enclosure, models.PROTECT, related_name="disinfections")
    day = models.DateField()
    agent = models.CharField(max_length=120, blank=True)

    class Meta(Fact.Meta):
        ordering = ["day"]

    def __str__(self):
        return tell("{enclosure} disinfected on {day}", enclosure=self.enclosure, day=self.day)


class ThingsMoved(Fact):
    """Plants, water or tools went from one enclosure into another."""

    source = models.ForeignKey(Enclosure, models.PROTECT, related_name="things_given")
    target = models.ForeignKey(Enclosure, models.PROTECT, related_name="things_received")
    day = models.DateField()
    what = models.CharField(max_length=200)

    class Meta(Fact.Meta):
        ordering = ["day"]
        verbose_name_plural = _("things moved")
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=~Q(source=F("target")),
                name="things_move_between_two_enclosures",
                violation_error_message=_("Things move between two different enclosures."),
            ),
        ]

    def __str__(self):
        return tell(
            "{what} from {source} to {target}",
            what=self.what,
            source=self.source,
            target=self.target,
        )
