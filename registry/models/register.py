"""The lines of the register: numbered by holding without a gap, each standing as it was written."""

from django.conf import settings
from django.db import models
from django.db.models import Q, Sum
from django.utils.translation import gettext_lazy as _

from ..telling import tell
from .animals import Animal
from .breeding import Clutch, Loss, StageCount
from .comings import Arrival, Departure, Missing
from .one_of_these import OneOfThese
from .parties import Holding
from .taxa import Taxon

LINES_PER_PAGE = 25


class WrittenForGood(Exception):
    """A numbered line or paper stands as it was written; a correction is a new one."""

    def __init__(self):
        super().__init__("What is numbered stands as it was written; a correction is a new one.")


class OnceWrittenQuerySet(models.QuerySet):
    """Rows that can be added and read, and nothing else."""

    def update(self, **changes):
        """Refuse."""
        raise WrittenForGood

    def delete(self):
        """Refuse."""
        raise WrittenForGood


class OnceWritten(models.Model):
    """A numbered row that is neither changed nor deleted."""

    number = models.PositiveIntegerField()

    objects = OnceWrittenQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args, **kwargs):
        """Write the row, once."""
        if not self._state.adding:
            raise WrittenForGood
        super().save(*args, **kwargs)

    def delete(self, *args, **kwargs):
        """Refuse."""
        raise WrittenForGood


class LineKind(models.TextChoices):
    """What a line enters."""

    ARRIVAL = "arrival", _("arrival")
    BIRTH = "birth", _("birth")
    DEATH = "death", _("death")
    DEPARTURE = "departure", _("departure")
    MISSING = "missing", _("not found")
    FOUND = "found", _("found again")


class RegisterLineQuerySet(OnceWrittenQuerySet):
    """Lines and what they come to."""

    def balance(self):
        """Return how many animals these lines add, less those they take off."""
        return self.aggregate(total=Sum("change"))["total"] or 0

    def balances(self):
        """Return `(species, how many are left by these lines)`, by species."""
        rows = self.order_by("species").values_list("species").annotate(total=Sum("change"))
        return [row for row in rows if row[1]]


class RegisterLine(OnceWritten):
    """One line of a holding's register, with the words as they stood when it was written."""

    holding = models.ForeignKey(Holding, models.PROTECT, related_name="register_lines")
    kind = models.CharField(max_length=10, choices=LineKind)
    what = models.CharField(max_length=120)
    day = models.DateField(db_index=True)
    taxon = models.ForeignKey(Taxon, models.PROTECT, related_name="+")
    species = models.CharField(max_length=120)
    count = models.PositiveIntegerField(_("number of animals"))
    change = models.IntegerField(_("change of the number kept"))
    codes = models.TextField(_("animals"), blank=True)
    party_name = models.CharField(_("supplier or receiver"), max_length=200, blank=True)
    party_address = models.TextField(blank=True)
    party_country = models.CharField(max_length=2, blank=True)
    origin = models.CharField(_("country of origin (ISO 3166)"), max_length=200, blank=True)
    permit = models.TextField(_("import permit"), blank=True)
    remark = models.TextField(blank=True)

    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="corrections"
    )
    withdraws = models.BooleanField(_("says that it never was"), default=False)
    why = models.TextField(_("why corrected"), blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )

    arrival = models.ForeignKey(
        Arrival, models.PROTECT, null=True, blank=True, related_name="register_lines"
    )
    departures = models.ManyToManyField(Departure, related_name="register_lines")
    stage_count = models.ForeignKey(
        StageCount, models.PROTECT, null=True, blank=True, related_name="register_lines"
    )
    loss = models.ForeignKey(
        Loss, models.PROTECT, null=True, blank=True, related_name="register_lines"
    )
    missing = models.ForeignKey(
        Missing, models.PROTECT, null=True, blank=True, related_name="register_lines"
    )
    one_of = models.ForeignKey(
        OneOfThese, models.PROTECT, null=True, blank=True, related_name="register_lines"
    )
    clutch = models.ForeignKey(
        Clutch, models.PROTECT, null=True, blank=True, related_name="register_lines"
    )
    animals = models.ManyToManyField(Animal, related_name="register_lines")

    objects = RegisterLineQuerySet.as_manager()

    class Meta:
        ordering = ["holding", "number"]
        default_permissions = ("add", "view")
        constraints = [
            models.UniqueConstraint(
                fields=["holding", "number"], name="register_line_number_is_given_once"
            ),
            models.CheckConstraint(
                condition=Q(number__gte=1), name="register_lines_are_numbered_from_one"
            ),
            models.CheckConstraint(
                condition=Q(corrects__isnull=True) | ~Q(why=""),
                name="register_line_correction_says_why",
            ),
            models.CheckConstraint(
                condition=Q(withdraws=False) | Q(corrects__isnull=False),
                name="register_line_withdraws_a_line",
            ),
        ]

    def __str__(self):
        return tell("line {number} of {holding}", number=self.number, holding=self.holding)

    @property
    def page(self):
        """The page of the register it stands on, which never changes either."""
        return (self.number - 1) // LINES_PER_PAGE + 1
