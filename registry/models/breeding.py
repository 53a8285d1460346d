"""Pairings, clutches and their stages, and who the parents are held to be."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from ..phrases import one_of
from ..telling import tell
from .animals import Animal
from .dates import Precision, earliest, latest
from .facts import Fact
from .places import Enclosure
from .taxa import Taxon


class Pairing(Fact):
    """Two animals meant to breed: planned, active, ended."""

    first = models.ForeignKey(Animal, models.PROTECT, related_name="pairings_as_first")
    second = models.ForeignKey(Animal, models.PROTECT, related_name="pairings_as_second")
    planned_on = models.DateField()
    began_on = models.DateField(null=True, blank=True)
    ended_on = models.DateField(null=True, blank=True)
    ended_why = models.CharField(max_length=400, blank=True)
    note = models.TextField(blank=True, max_length=2000)

    class Meta(Fact.Meta):
        ordering = ["-planned_on", "-pk"]
        permissions = [("join_pair", "Can join a pair")]
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=~Q(first=F("second")),
                name="pairing_is_of_two_animals",
                violation_error_message=_("A pair is two different animals."),
            ),
            models.CheckConstraint(
                condition=Q(began_on__isnull=True)
                | Q(ended_on__isnull=True)
                | Q(ended_on__gte=F("began_on")),
                name="pairing_ends_after_it_began",
                violation_error_message=_("A pairing cannot end before it began."),
            ),
        ]

    def __str__(self):
        return f"{self.first} x {self.second}"

    @property
    def about(self):
        """The day the pairing is about: joined, else planned."""
        return self.began_on or self.planned_on

    @property
    def animals(self):
        """Both animals."""
        return (self.first, self.second)

    def state(self, on):
        """Return planned, active or ended, as on a day."""
        if self.ended_on and self.ended_on <= on:
            return "ended"
        if self.began_on and self.began_on <= on:
            return "active"
        return "planned"


class Stage(models.TextChoices):
    """The stages of a clutch, in order."""

    LAID = "laid", _("laid")
    FERTILE = "fertile", _("fertile")
    HATCHED = "hatched", _("hatched")
    CARRIED = "carried", _("carried")
    METAMORPHOSED = "metamorphosed", _("metamorphosed")
    INDEPENDENT = "independent", _("independent")


class Clutch(models.Model):
    """The eggs of one laying, young found that are taken for one, or several reared together."""

    code = models.CharField(max_length=40, unique=True)
    taxon = models.ForeignKey(Taxon, models.PROTECT, related_name="clutches")
    pairing = models.ForeignKey(
        Pairing, models.PROTECT, null=True, blank=True, related_name="clutches"
    )
    enclosure = models.ForeignKey(
        Enclosure, models.PROTECT, related_name="clutches_found", verbose_name=_("found in")
    )
    found_on = models.DateField()
    found_as = models.CharField(max_length=14, choices=Stage, default=Stage.LAID)
    began_seen = models.BooleanField(_("the stage was seen to begin that day"), default=True)
    laid = models.DateField(null=True, blank=True)
    laid_precision = models.CharField(max_length=10, choices=Precision, default=Precision.DAY)
    mixed = models.BooleanField(
        _("several clutches reared together"), default=False, editable=False
    )
    note = models.TextField(blank=True, max_length=4000)

    class Meta:
        ordering = ["-found_on", "-pk"]
        verbose_name_plural = _("clutches")
        constraints = [
            models.CheckConstraint(condition=~Q(code=""), name="clutch_has_a_code"),
            models.CheckConstraint(
                condition=Q(laid__isnull=True)
                | ~Q(laid_precision="day")
                | Q(laid__lte=F("found_on")),
                name="clutch_laid_before_found",
                violation_error_message=_("A clutch cannot be found before it was laid."),
            ),
        ]

    def __str__(self):
        return self.code

    def current_parts(self):
        """Return the clutches that go on as this one, each with its weight; none of most."""
        if not self.mixed:
            return []
        return [part for part in self.parts.all() if part.stands]

    def laid_as(self):
        """Return the clutches its young may have been laid in: itself, or those reared together."""
        found = [one for part in self.current_parts() for one in part.clutch.laid_as()]
        return found or [self]

    @property
    def earliest_laying(self):
        """The first day it may have been laid on."""
        return earliest(self.laid, self.laid_precision)

    @property
    def latest_laying(self):
        """The last day it may have been laid on."""
        return latest(self.laid, self.laid_precision)


class ClutchPart(Fact):
    """A clutch that is reared together with others from a day on, as part of a mix.

    The mix is a clutch of its own, with its own stays, counts, losses and young, each of which is
    of one of its clutches. Weights are parts of any whole, such as how many each brought.
    """

    mix = models.ForeignKey(Clutch, models.PROTECT, related_name="parts")
    clutch = models.ForeignKey(Clutch, models.PROTECT, related_name="mixings")
    day = models.DateField(_("reared together since"))
    weight = models.FloatField(
        default=1.0, help_text=_("As many parts as it has young in the mix; 0 rules it out.")
    )

    class Meta(Fact.Meta):
        ordering = ["clutch__code", "pk"]
        verbose_name = _("clutch reared with others")
        verbose_name_plural = _("clutches reared with others")
        permissions = [("mix_clutches", "Can rear clutches together")]
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=~Q(mix=F("clutch")),
                name="clutch_part_is_another_clutch",
                violation_error_message=_("A clutch is no part of itself."),
            ),
            models.CheckConstraint(
                condition=Q(weight__gte=0),
                name="clutch_part_weighs_nothing_or_more",
                violation_error_message=_("A weight is at least 0."),
            ),
            models.UniqueConstraint(
                fields=["clutch"],
                condition=Q(superseded_at__isnull=True, void=False),
                name="clutch_is_part_of_one_mix",
                violation_error_message=_("This clutch is reared together with others already."),
            ),
        ]

    def __str__(self):
        return tell(
            "{clutch} in {mix}, weight {weight:g}",
            clutch=self.clutch,
            mix=self.mix,
            weight=self.weight,
        )

    @property
    def stands(self):
        """Whether it is neither corrected nor withdrawn."""
        return self.superseded_at is None and not self.void


class StageCount(Fact):
    """How many of a clutch had reached a stage on a day; unknown is allowed."""

    clutch = models.ForeignKey(Clutch, models.PROTECT, related_name="stages")
    stage = models.CharField(max_length=14, choices=Stage)
    day = models.DateField()
    count = models.PositiveIntegerField(null=True, blank=True)

    told_to = "registry.register_births.count_corrected"

    class Meta(Fact.Meta):
        ordering = ["day", "pk"]

    def __str__(self):
        return f"{self.clutch}: {self.count if self.count is not None else '?'} {self.stage}"


class Loss(Fact):
    """Some of a clutch were lost or left, with the reason."""

    clutch = models.ForeignKey(Clutch, models.PROTECT, related_name="losses")
    day = models.DateField()
    count = models.PositiveIntegerField()
    reason = models.CharField(max_length=200)
    left = models.BooleanField(_("left alive (given, sold as eggs or larvae)"), default=False)

    told_to = "registry.register_births.loss_corrected"

    class Meta(Fact.Meta):
        ordering = ["day", "pk"]
        verbose_name_plural = _("losses")

    def __str__(self):
        return tell(
            "{clutch}: {count} lost, {reason}",
            clutch=self.clutch,
            count=self.count,
            reason=self.reason,
        )


class Role(models.TextChoices):
    """Which parent a statement of descent is about."""

    SIRE = "sire", _("sire")
    DAM = "dam", _("dam")
    PAIR = "pair", _("both, of animals that could be either")


class DescentBasis(models.TextChoices):
    """What a statement of descent rests on."""

    SEEN = "seen", _("seen")
    DNA = "dna", _("DNA")
    HOUSED = "housed", _("housed together")
    SUPPLIER = "supplier", _("the supplier's word")


class Descent(Fact):
    """Who a parent is held to be, for one animal or for a whole clutch; settled in `parentage`."""

    animal = models.ForeignKey(
        Animal, models.PROTECT, null=True, blank=True, related_name="descents"
    )
    clutch = models.ForeignKey(
        Clutch, models.PROTECT, null=True, blank=True, related_name="descents"
    )
    role = models.CharField(max_length=4, choices=Role)
    basis = models.CharField(max_length=10, choices=DescentBasis)
    day = models.DateField(_("as of"))
    note = models.TextField(blank=True, max_length=2000)

    carried = ("candidates",)

    class Meta(Fact.Meta):
        ordering = ["day", "pk"]
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(animal__isnull=False, clutch__isnull=True)
                | Q(animal__isnull=True, clutch__isnull=False),
                name="descent_is_of_an_animal_or_a_clutch",
                violation_error_message=_("Parents are stated for an animal or for a clutch."),
            ),
        ]

    def __str__(self):
        names = one_of(self.candidates.all()) or tell("unknown")
        return tell(
            "{role} of {animal}: {names}",
            role=tell(self.role),
            animal=self.animal or self.clutch,
            names=names,
        )


class OfClutch(Fact):
    """Of which of the clutches reared together an animal is, once somebody knows."""

    animal = models.ForeignKey(Animal, models.PROTECT, related_name="clutches_stated")
    clutch = models.ForeignKey(Clutch, models.PROTECT, related_name="young_stated")
    basis = models.CharField(max_length=10, choices=DescentBasis)
    day = models.DateField(_("as of"))
    note = models.TextField(blank=True, max_length=2000)

    class Meta(Fact.Meta):
        ordering = ["day", "pk"]
        verbose_name = _("clutch of a young of a mix")
        verbose_name_plural = _("clutches of young of a mix")
        constraints = [
            *Fact.Meta.constraints,
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(superseded_at__isnull=True, void=False),
                name="animal_is_of_one_clutch",
                violation_error_message=_("Its clutch is stated already; correct that entry."),
            ),
        ]

    def __str__(self):
        return tell("of clutch {clutch}", clutch=self.clutch)


class Candidate(models.Model):
    """One animal (or two, where either could be either parent) a parent may be, with its weight."""

    descent = models.ForeignKey(Descent, models.CASCADE, related_name="candidates")
    animal = models.ForeignKey(Animal, models.PROTECT, related_name="candidacies")
    mate = models.ForeignKey(
        Animal, models.PROTECT, null=True, blank=True, related_name="candidacies_as_mate"
    )
    weight = models.FloatField(default=1.0)

    class Meta:
        ordering = ["-weight", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["descent", "animal"],
                condition=Q(mate__isnull=True),
                name="candidate_is_named_once",
            ),
            models.UniqueConstraint(
                fields=["descent", "animal", "mate"],
                condition=Q(mate__isnull=False),
                name="candidate_pair_is_named_once",
            ),
            models.CheckConstraint(
                condition=Q(weight__gt=0, weight__lte=1),
                name="candidate_weight_is_a_share",
                violation_error_message=_("A weight is above 0 and at most 1."),
            ),
            models.CheckConstraint(
                condition=~Q(mate=F("animal")),
                name="candidate_pair_is_two_animals",
                violation_error_message=_("A pair of parents is two different animals."),
            ),
        ]

    def __str__(self):
        return (
            tell("{animal} with {mate}", animal=self.animal, mate=self.mate)
            if self.mate_id
            else str(self.animal)
        )
