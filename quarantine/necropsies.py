"""What was found of a death."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from registry.models import Departure, Fact, OneOfThese, Party
from registry.phrases import one_of
from registry.telling import tell


class Necropsy(Fact):
    """What was found of a death, or that nothing can be found."""

    death = models.ForeignKey(
        Departure, models.PROTECT, null=True, blank=True, related_name="necropsies"
    )
    one_of = models.ForeignKey(
        OneOfThese,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="necropsies",
        verbose_name=_("death of one of several"),
    )
    day = models.DateField(_("reported on"))
    cause = models.CharField(max_length=400, blank=True)
    accepted = models.BooleanField(
        _("the cause explains the death and is no danger"), default=False
    )
    none_can_be_found = models.BooleanField(
        _("a veterinarian states that no cause can be found"), default=False
    )
    veterinarian = models.ForeignKey(Party, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(Fact.Meta):
        ordering = ["day", "pk"]
        verbose_name_plural = _("necropsies")
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(death__isnull=False, one_of__isnull=True)
                | Q(death__isnull=True, one_of__isnull=False),
                name="necropsy_is_of_one_death",
            ),
            models.CheckConstraint(
                condition=~Q(accepted=True) | ~Q(cause="") | Q(none_can_be_found=True),
                name="accepted_cause_is_named",
                violation_error_message=_("Name the cause that is accepted."),
            ),
            models.CheckConstraint(
                condition=Q(none_can_be_found=False) | Q(veterinarian__isnull=False),
                name="a_veterinarian_says_none_can_be_found",
                violation_error_message=_("Name the veterinarian who says so."),
            ),
        ]

    def __str__(self):
        return f"{self.of}: {self.cause or tell('no cause found')}"

    @property
    def of(self):
        """Whose death it was: an animal's, or that of one of several."""
        return (
            self.death.animal
            if self.death_id
            else tell("one of {among}", among=one_of(self.one_of.among()))
        )

    @property
    def settles(self):
        """Whether the death no longer counts against the batch."""
        return self.accepted or self.none_can_be_found
