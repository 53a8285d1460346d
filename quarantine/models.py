"""Protocols, isolations, samples, courses and clearances: the facts the clock runs on."""

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from registry.models import Animal, Enclosure, Fact, Lasting, OneOfThese, Paper, Party, Unit
from registry.telling import tell

from .addresses import CalendarAddress, Reminder  # noqa: F401  (Django looks for models here)
from .kinds import IsolationKind, Outcome, Scope, Subject, Verdict
from .necropsies import Necropsy  # noqa: F401


class Assay(models.Model):
    """A kind of test, and what a positive means until somebody decides otherwise."""

    code = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=120)
    default_verdict = models.CharField(max_length=20, choices=Verdict, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class Protocol(models.Model):
    """A way of keeping newcomers apart, under a name; its rules are in its versions."""

    name = models.CharField(max_length=120, unique=True)
    retired = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name

    def newest(self):
        """Return the version in force for isolations opened now."""
        return self.versions.order_by("-number").first()


class ProtocolVersion(models.Model):
    """One wording of a protocol; never changed once an isolation runs under it."""

    protocol = models.ForeignKey(Protocol, models.PROTECT, related_name="versions")
    number = models.PositiveSmallIntegerField(default=1)
    min_days = models.PositiveSmallIntegerField()
    scope = models.CharField(max_length=10, choices=Scope, default=Scope.BATCH)
    never_releases = models.BooleanField(default=False)
    weight_loss_percent = models.DecimalField(
        max_digits=4, decimal_places=1, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    eaten_within_days = models.PositiveSmallIntegerField(null=True, blank=True)
    no_open_sign = models.BooleanField(default=False)
    laboratory_days = models.PositiveSmallIntegerField(default=7, validators=[MinValueValidator(1)])
    washout_days = models.PositiveSmallIntegerField(default=14)
    persistence_days = models.PositiveSmallIntegerField(default=200)
    note = models.TextField(blank=True, max_length=4000)

    class Meta:
        ordering = ["protocol__name", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["protocol", "number"], name="version_is_numbered_once"),
            models.CheckConstraint(
                condition=Q(laboratory_days__gte=1),
                name="laboratory_takes_a_day",
                violation_error_message=_("A laboratory takes at least one day."),
            ),
        ]

    def __str__(self):
        return tell("{protocol}, version {number}", protocol=self.protocol, number=self.number)


class ProtocolTest(models.Model):
    """n negatives, at least g days apart, the first from day d, the last from day e."""

    version = models.ForeignKey(ProtocolVersion, models.CASCADE, related_name="tests")
    assay = models.ForeignKey(Assay, models.PROTECT, related_name="+")
    n = models.PositiveSmallIntegerField(_("negatives"), default=1)
    gap = models.PositiveSmallIntegerField(_("days apart"), default=0)
    first = models.PositiveSmallIntegerField(_("first from day"), default=0)
    last = models.PositiveSmallIntegerField(_("last from day"), default=0)
    per = models.CharField(max_length=10, choices=Subject, default=Subject.ANIMAL)
    k = models.PositiveSmallIntegerField(_("of the batch"), null=True, blank=True)
    tailed_only = models.BooleanField(_("tailed animals only"), default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["version", "assay"], name="assay_is_asked_once"),
            models.CheckConstraint(condition=Q(n__gte=1), name="test_asks_a_negative"),
            models.CheckConstraint(
                condition=Q(last__gte=F("first")),
                name="test_last_not_before_first",
                violation_error_message=_("The last sample cannot be due before the first."),
            ),
        ]

    def __str__(self):
        return f"{self.assay}: {self.n}"


class Isolation(Fact):
    """One batch held apart under one protocol version."""

    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=10, choices=IsolationKind)
    version = models.ForeignKey(ProtocolVersion, models.PROTECT, related_name="isolations")
    opened = models.DateField()
    split_from = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="parts"
    )
    split_on = models.DateField(null=True, blank=True)
    note = models.TextField(blank=True, max_length=4000)

    carried = ()
    followed = ("members", "courses", "clearances", "parts")

    class Meta(Fact.Meta):
        ordering = ["-opened", "-pk"]
        permissions = [
            ("open_isolation", "Can open and change isolations"),
            ("sign_clearance", "Can sign a clearance"),
            ("override_clearance", "Can sign a veterinarian's override"),
        ]
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(split_from__isnull=True, split_on__isnull=True)
                | Q(split_from__isnull=False, split_on__isnull=False),
                name="split_has_a_day",
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def about(self):
        """The day the isolation is about: the one it opened."""
        return self.opened


class Membership(Lasting):
    """An animal belongs to a batch from a day on."""

    isolation = models.ForeignKey(Isolation, models.PROTECT, related_name="members")
    animal = models.ForeignKey(Animal, models.PROTECT, related_name="isolations")

    class Meta(Lasting.Meta):
        ordering = ["start", "pk"]
        constraints = [
            *Lasting.Meta.constraints,
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(end__isnull=True, void=False, superseded_at__isnull=True),
                name="animal_is_in_one_batch",
                violation_error_message=_("This animal already belongs to a batch."),
            ),
        ]

    def __str__(self):
        told = {"batch": self.isolation, "day": self.start}
        return tell("{animal} in {batch} from {day}", animal=self.animal, **told)


class Sample(Fact):
    """Taken on a day from named animals, or from an enclosure and whoever stayed there."""

    assay = models.ForeignKey(Assay, models.PROTECT, related_name="samples")
    day = models.DateField()
    animals = models.ManyToManyField(Animal, blank=True, related_name="samples")
    enclosure = models.ForeignKey(
        Enclosure, models.PROTECT, null=True, blank=True, related_name="samples"
    )
    carcass = models.BooleanField(_("from a carcass"), default=False)
    one_of = models.ForeignKey(
        OneOfThese, models.PROTECT, null=True, blank=True, related_name="samples"
    )
    laboratory = models.ForeignKey(
        Party, models.PROTECT, null=True, blank=True, related_name="samples"
    )
    label = models.CharField(_("label or laboratory number"), max_length=80, blank=True)
    note = models.CharField(max_length=400, blank=True)

    followed = ("results",)

    class Meta(Fact.Meta):
        ordering = ["day", "pk"]

    def __str__(self):
        return tell("{assay} of {day}", assay=self.assay, day=self.day)


class Result(Fact):
    """What the laboratory reported of a sample, and what a positive means here."""

    sample = models.ForeignKey(Sample, models.PROTECT, related_name="results")
    day = models.DateField(_("reported on"))
    outcome = models.CharField(max_length=12, choices=Outcome)
    verdict = models.CharField(max_length=20, choices=Verdict, blank=True)
    paper = models.ForeignKey(Paper, models.PROTECT, null=True, blank=True, related_name="results")
    note = models.CharField(max_length=400, blank=True)

    class Meta(Fact.Meta):
        ordering = ["day", "pk"]
        constraints = [
            *Fact.Meta.constraints,
            models.UniqueConstraint(
                fields=["sample"],
                condition=Q(void=False, superseded_at__isnull=True),
                name="sample_has_one_result",
                violation_error_message=_("This sample has a result; correct that one instead."),
            ),
            models.CheckConstraint(
                condition=Q(outcome="positive") | Q(verdict=""),
                name="verdict_is_of_a_positive",
                violation_error_message=_("Only a positive result has a verdict."),
            ),
        ]

    def __str__(self):
        return f"{self.sample}: {self.get_outcome_display()}"


class Course(Lasting):
    """A treatment of the whole batch; the end is the day of the last dose."""

    isolation = models.ForeignKey(Isolation, models.PROTECT, related_name="courses")
    assay = models.ForeignKey(
        Assay, models.PROTECT, null=True, blank=True, related_name="+", verbose_name=_("against")
    )
    what = models.CharField(_("drug and dose as prescribed"), max_length=400)
    prescribed_by = models.ForeignKey(
        Party, models.PROTECT, null=True, blank=True, related_name="+"
    )
    planned_last = models.DateField(_("planned last dose"), null=True, blank=True)

    class Meta(Lasting.Meta):
        ordering = ["start", "pk"]
        constraints = [
            *Lasting.Meta.constraints,
            models.CheckConstraint(
                condition=Q(planned_last__isnull=True) | Q(planned_last__gte=F("start")),
                name="course_planned_to_end_after_it_starts",
                violation_error_message=_("The last dose cannot be planned before the first."),
            ),
        ]

    def __str__(self):
        return tell("{what} from {start}", what=self.what, start=self.start)


class Hold(Lasting):
    """An animal, an enclosure or a unit is held by hand: who, why, from when."""

    animal = models.ForeignKey(Animal, models.PROTECT, null=True, blank=True, related_name="holds")
    enclosure = models.ForeignKey(
        Enclosure, models.PROTECT, null=True, blank=True, related_name="holds"
    )
    unit = models.ForeignKey(Unit, models.PROTECT, null=True, blank=True, related_name="holds")
    reason = models.CharField(_("why"), max_length=400)

    class Meta(Lasting.Meta):
        ordering = ["start", "pk"]
        permissions = [("hold_by_hand", "Can hold by hand")]
        constraints = [
            *Lasting.Meta.constraints,
            models.CheckConstraint(
                condition=(
                    Q(animal__isnull=False, enclosure__isnull=True, unit__isnull=True)
                    | Q(animal__isnull=True, enclosure__isnull=False, unit__isnull=True)
                    | Q(animal__isnull=True, enclosure__isnull=True, unit__isnull=False)
                ),
                name="hold_is_on_one_thing",
                violation_error_message=_("Hold an animal, an enclosure or a unit: one of them."),
            ),
        ]

    def __str__(self):
        whom = self.animal or self.enclosure or self.unit
        return tell("{whom} held: {reason}", whom=whom, reason=self.reason)


class Clearance(Fact):
    """The signed release of a batch, or of opening stock; the evidence is kept as it stood."""

    isolation = models.ForeignKey(
        Isolation, models.PROTECT, null=True, blank=True, related_name="clearances"
    )
    day = models.DateField()
    animals = models.ManyToManyField(Animal, related_name="clearances")
    signed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="clearances_signed"
    )
    grounds = models.TextField(max_length=4000, blank=True)
    override = models.BooleanField(_("a veterinarian's override"), default=False)
    veterinarian = models.CharField(max_length=200, blank=True)
    unmet = models.JSONField(default=list, blank=True)
    evidence = models.JSONField(default=dict, blank=True)

    class Meta(Fact.Meta):
        ordering = ["-day", "-pk"]
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(override=False) | ~Q(grounds="") & ~Q(veterinarian=""),
                name="override_is_reasoned_and_signed",
                violation_error_message=_("An override names the veterinarian and the reason."),
            ),
            models.CheckConstraint(
                condition=Q(isolation__isnull=False) | ~Q(grounds=""),
                name="opening_stock_is_cleared_on_grounds",
                violation_error_message=_("Say on what grounds the opening stock is cleared."),
            ),
        ]

    def __str__(self):
        return tell("Cleared on {day} by {signed_by}", day=self.day, signed_by=self.signed_by)
