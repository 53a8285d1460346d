"""Premises and the people and firms a keeper deals with."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class PartyKind(models.TextChoices):
    """What a party is to the keeper; one party may do several things."""

    KEEPER = "keeper", _("keeper or breeder")
    DEALER = "dealer", _("dealer or importer")
    EXPORTER = "exporter", _("exporter")
    LABORATORY = "laboratory", _("laboratory")
    VETERINARIAN = "veterinarian", _("veterinarian")
    AUTHORITY = "authority", _("authority")
    INSTITUTION = "institution", _("zoo, museum or society")


class Party(models.Model):
    """A person or firm: supplier, receiver, laboratory, veterinarian, authority."""

    name = models.CharField(max_length=200, unique=True)
    kind = models.CharField(max_length=20, choices=PartyKind, default=PartyKind.KEEPER)
    address = models.TextField(blank=True, max_length=1000)
    country = models.CharField(_("country (ISO 3166)"), max_length=2, blank=True)
    email = models.EmailField(blank=True)
    telephone = models.CharField(max_length=60, blank=True)
    registration = models.CharField(_("registration number"), max_length=100, blank=True)
    note = models.TextField(blank=True, max_length=4000)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = _("parties")
        constraints = [
            models.CheckConstraint(condition=~Q(name=""), name="party_has_a_name"),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="party_country_is_two_letters",
                violation_error_message=_("A country is its two capital letters, as in DE or MG."),
            ),
        ]

    def __str__(self):
        return self.name


class Holding(models.Model):
    """A premises with its keepers."""

    name = models.CharField(max_length=200, unique=True)
    party = models.OneToOneField(Party, models.PROTECT, related_name="holding")
    keepers = models.ManyToManyField(settings.AUTH_USER_MODEL, blank=True, related_name="holdings")

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name
