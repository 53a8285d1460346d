"""How animals come and go: arrivals, departures, outings, missing and found, papers."""

from django.core.validators import FileExtensionValidator
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from ..telling import tell
from .animals import Animal
from .facts import Fact
from .parties import Holding, Party
from .places import Enclosure

DUE = _("Of a loan, if a day was agreed.")


def only_loans_are_due_back(name):
    """Return the constraint that a day due back is one of a loan, and not before its first."""
    return models.CheckConstraint(
        condition=Q(due_back__isnull=True) | Q(kind="loan", due_back__gte=models.F("day")),
        name=f"{name}_is_due_back_only_of_a_loan",
        violation_error_message=tell("Only a loan is due back, on its first day or later."),
    )


class ArrivalKind(models.TextChoices):
    """How animals may come."""

    IMPORT = "import", _("import")
    PURCHASE = "purchase", _("purchase")
    GIFT = "gift", _("gift")
    EXCHANGE = "exchange", _("exchange")
    LOAN = "loan", _("loan")
    RETURN = "return", _("return")
    SEIZURE = "seizure", _("seizure")
    OPENING = "opening", _("opening stock")


class Arrival(Fact):
    """Animals that came together from one source on one day."""

    day = models.DateField(db_index=True)
    kind = models.CharField(max_length=10, choices=ArrivalKind)
    supplier = models.ForeignKey(
        Party, models.PROTECT, null=True, blank=True, related_name="arrivals"
    )
    holding = models.ForeignKey(Holding, models.PROTECT, related_name="arrivals")
    route = models.TextField(
        blank=True, max_length=2000, help_text=_("Every holding and country passed on the way.")
    )
    country = models.CharField(_("came from (ISO 3166)"), max_length=2, blank=True)
    due_back = models.DateField(_("due back on"), null=True, blank=True, help_text=DUE)
    note = models.TextField(blank=True, max_length=4000)
    animals = models.ManyToManyField(Animal, through="ArrivalMember", related_name="arrivals")

    carried = ("members",)
    followed = ("papers", "departures")
    told_to = "registry.register_lines.arrival_corrected"

    class Meta(Fact.Meta):
        ordering = ["-day", "-pk"]
        permissions = [("register_arrival", "Can register an arrival")]
        constraints = [*Fact.Meta.constraints, only_loans_are_due_back("arrival")]

    def __str__(self):
        return tell("{kind} of {day}", kind=self.get_kind_display(), day=self.day)


class ArrivalMember(models.Model):
    """One animal of an arrival."""

    arrival = models.ForeignKey(Arrival, models.PROTECT, related_name="members")
    animal = models.ForeignKey(Animal, models.PROTECT, related_name="comings")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["arrival", "animal"], name="animal_is_once_per_arrival")
        ]

    def __str__(self):
        return tell("{animal} in {arrival}", animal=self.animal, arrival=self.arrival)


class DepartureKind(models.TextChoices):
    """How animals may go."""

    SALE = "sale", _("sale")
    GIFT = "gift", _("gift")
    EXCHANGE = "exchange", _("exchange")
    LOAN = "loan", _("loan")
    DEATH = "death", _("death")
    ESCAPE = "escape", _("escape")
    HANDED_OVER = "handed over", _("handing over")


class Departure(Fact):
    """One animal left: sold, given, lent, dead, escaped or handed over."""

    animal = models.ForeignKey(Animal, models.PROTECT, related_name="departures")
    day = models.DateField(db_index=True)
    kind = models.CharField(max_length=12, choices=DepartureKind)
    receiver = models.ForeignKey(
        Party, models.PROTECT, null=True, blank=True, related_name="departures"
    )
    cause = models.CharField(max_length=400, blank=True)
    held = models.BooleanField(_("was held on leaving"), default=False)
    due_back = models.DateField(_("due back on"), null=True, blank=True, help_text=DUE)
    arrived_as = models.ForeignKey(
        Arrival, models.PROTECT, null=True, blank=True, editable=False, related_name="departures"
    )
    note = models.TextField(blank=True, max_length=4000)
    one_of = models.ForeignKey(
        "registry.OneOfThese",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="departures",
        verbose_name=_("settles"),
    )

    told_to = "registry.register_lines.departure_corrected"

    class Meta(Fact.Meta):
        ordering = ["-day", "-pk"]
        permissions = [("register_departure", "Can register a departure")]
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(kind__in=["death", "escape"]) | Q(receiver__isnull=False),
                name="departure_names_its_receiver",
                violation_error_message=_("Name who received the animal."),
            ),
            only_loans_are_due_back("departure"),
            models.UniqueConstraint(
                fields=["one_of"],
                condition=Q(void=False, superseded_at__isnull=True),
                name="one_of_these_left_once",
                violation_error_message=_("It is settled already; correct that entry."),
            ),
        ]

    def __str__(self):
        return tell(
            "{animal}: {kind} on {day}",
            animal=self.animal,
            kind=self.get_kind_display(),
            day=self.day,
        )


class OwnerChange(Fact):
    """An animal on loan passed to another owner; where it is stays as it was."""

    KINDS = (DepartureKind.SALE, DepartureKind.GIFT, DepartureKind.EXCHANGE)

    animal = models.ForeignKey(Animal, models.PROTECT, related_name="owner_changes")
    day = models.DateField()
    kind = models.CharField(max_length=12, choices=[(k.value, k.label) for k in KINDS])
    owner = models.ForeignKey(
        Party, models.PROTECT, related_name="+", verbose_name=_("belongs since to")
    )
    note = models.TextField(blank=True, max_length=4000)

    class Meta(Fact.Meta):
        ordering = ["-day", "-pk"]
        verbose_name = _("change of owner")
        verbose_name_plural = _("changes of owner")

    def __str__(self):
        return tell(
            "{animal}: {kind} to {owner} on {day}",
            animal=self.animal,
            kind=self.get_kind_display(),
            owner=self.owner,
            day=self.day,
        )


class Outing(Fact):
    """Out and back on the same day, met nobody."""

    animal = models.ForeignKey(Animal, models.PROTECT, related_name="outings")
    day = models.DateField()
    purpose = models.CharField(max_length=200)
    reason = models.TextField(_("why this is no new arrival"), max_length=2000)

    class Meta(Fact.Meta):
        ordering = ["-day"]

    def __str__(self):
        return tell(
            "{animal} out on {day}: {purpose}",
            animal=self.animal,
            day=self.day,
            purpose=self.purpose,
        )


class Missing(Fact):
    """Not found; after seven days it counts as a death until found."""

    animal = models.ForeignKey(Animal, models.PROTECT, related_name="missing")
    day = models.DateField()
    found_on = models.DateField(null=True, blank=True)
    found_at = models.DateTimeField(_("found entered at"), null=True, blank=True, editable=False)
    found_in = models.ForeignKey(Enclosure, models.PROTECT, null=True, blank=True, related_name="+")

    told_to = "registry.register_lines.missing_corrected"

    class Meta(Fact.Meta):
        ordering = ["-day"]
        verbose_name_plural = _("missing")
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(found_on__isnull=True) | Q(found_on__gte=models.F("day")),
                name="missing_before_found",
                violation_error_message=_("It cannot be found before it was missed."),
            ),
        ]

    def __str__(self):
        return tell("{animal} missing since {day}", animal=self.animal, day=self.day)


class PaperKind(models.TextChoices):
    """The papers animals travel on."""

    PERMIT = "permit", _("permit")
    ORIGIN = "origin", _("certificate of origin")
    INVOICE = "invoice", _("invoice")
    VETERINARY = "veterinary", _("veterinary certificate")
    LABORATORY = "laboratory", _("laboratory report")
    OTHER = "other", _("other paper")


class Paper(Fact):
    """A permit, certificate, invoice or report, with its number and file."""

    kind = models.CharField(max_length=12, choices=PaperKind)
    number = models.CharField(max_length=120, blank=True, db_index=True)
    issuer = models.CharField(max_length=200, blank=True)
    day = models.DateField(_("issued on"), null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    file = models.FileField(
        upload_to="papers/%Y/%m",
        blank=True,
        validators=[FileExtensionValidator(["pdf", "png", "jpg", "jpeg"])],
    )
    arrival = models.ForeignKey(
        Arrival, models.PROTECT, null=True, blank=True, related_name="papers"
    )
    animals = models.ManyToManyField(Animal, blank=True, related_name="papers")
    ours = models.BooleanField(_("issued by us"), default=False, editable=False)
    note = models.TextField(blank=True, max_length=2000)

    told_to = "registry.proving.paper_corrected"

    class Meta(Fact.Meta):
        ordering = ["-day", "-pk"]

    def __str__(self):
        return f"{self.get_kind_display()} {self.number}".strip()
