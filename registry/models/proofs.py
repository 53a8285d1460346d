"""Proofs of origin that we issued: numbered by holding and year, each kept as it was issued."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .comings import Paper
from .parties import Holding
from .register import OnceWritten


class Proof(OnceWritten):
    """One proof of origin; its file is the one that was handed out."""

    holding = models.ForeignKey(Holding, models.PROTECT, related_name="proofs")
    year = models.PositiveSmallIntegerField()
    paper = models.OneToOneField(Paper, models.PROTECT, related_name="proof")
    earlier = models.ManyToManyField("self", symmetrical=False, related_name="later")
    missing = models.JSONField(_("what was missing"), default=list)
    digest = models.CharField(_("SHA-256 of the file"), max_length=64)

    class Meta:
        ordering = ["holding", "-year", "-number"]
        default_permissions = ("view",)
        permissions = [("issue_proof", "Can issue a proof of origin")]
        constraints = [
            models.UniqueConstraint(
                fields=["holding", "year", "number"], name="proof_number_is_given_once"
            ),
            models.CheckConstraint(condition=Q(number__gte=1), name="proofs_are_numbered_from_one"),
        ]

    def __str__(self):
        return self.paper.number


def proof_number(holding, year, number):
    """Return a number as it is printed: the holding, the year, the running number."""
    return f"{holding.pk}-{year}-{number:04}"
