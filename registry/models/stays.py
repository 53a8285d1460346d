"""Where animals and clutches are from day to day, and what was answered or done against a rule."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _

from ..telling import tell
from .animals import Animal
from .breeding import Clutch, Pairing
from .facts import Fact, FactQuerySet, end_of
from .places import Enclosure


class LastingQuerySet(FactQuerySet):
    """Facts that last from a first day up to an end."""

    def running(self, on):
        """Return what began by a day and had not ended by then."""
        return self.filter(start__lte=on).filter(Q(end__isnull=True) | Q(end__gt=on))

    def touching(self, on):
        """Return what was so at some time of a day; one begun and ended that day counts."""
        return self.filter(start__lte=on).filter(
            Q(end__isnull=True) | Q(end__gt=on) | Q(end=on, start=on)
        )


class Lasting(Fact):
    """A fact with a first day and an end that is entered on its own day."""

    start = models.DateField(_("from"), db_index=True)
    end = models.DateField(_("until, not including"), null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True, editable=False)
    ended_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
    )

    objects = LastingQuerySet.as_manager()

    class Meta(Fact.Meta):
        abstract = True
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(end__isnull=True) | Q(end__gte=F("start")),
                name="%(app_label)s_%(class)s_ends_after_it_starts",
                violation_error_message=_("The end comes before the start."),
            ),
        ]

    @property
    def about(self):
        """The day the fact is about: its first."""
        return self.start

    def end_known(self, on):
        """Return the end as it was known at the close of a day."""
        return self.end if self.ended_at and self.ended_at < end_of(on) else None


class Stay(Lasting):
    """One animal or clutch in one enclosure, from its first day up to, not including, its last."""

    animal = models.ForeignKey(Animal, models.PROTECT, null=True, blank=True, related_name="stays")
    clutch = models.ForeignKey(Clutch, models.PROTECT, null=True, blank=True, related_name="stays")
    enclosure = models.ForeignKey(Enclosure, models.PROTECT, related_name="stays")
    note = models.CharField(max_length=400, blank=True)

    class Meta(Lasting.Meta):
        ordering = ["start", "pk"]
        constraints = [
            *Lasting.Meta.constraints,
            models.CheckConstraint(
                condition=Q(animal__isnull=False, clutch__isnull=True)
                | Q(animal__isnull=True, clutch__isnull=False),
                name="stay_is_of_an_animal_or_a_clutch",
            ),
            models.UniqueConstraint(
                fields=["animal"],
                condition=Q(end__isnull=True, void=False, superseded_at__isnull=True),
                name="animal_has_one_running_stay",
                violation_error_message=_("This animal already has a stay that has not ended."),
            ),
            models.UniqueConstraint(
                fields=["clutch"],
                condition=Q(end__isnull=True, void=False, superseded_at__isnull=True),
                name="clutch_has_one_running_stay",
                violation_error_message=_("This clutch already has a stay that has not ended."),
            ),
        ]

    def __str__(self):
        return tell(
            "{animal} in {enclosure} from {start}",
            animal=self.animal or self.clutch,
            enclosure=self.enclosure,
            start=self.start,
        )

    def runs(self, on):
        """Whether it began by a day and had not ended by then."""
        return self.start <= on and (self.end is None or self.end > on)

    def touches(self, on):
        """Whether it was so at some time of a day; one begun and ended that day counts."""
        return self.runs(on) or self.start == self.end == on


class Breach(models.Model):
    """What did happen against a stop, entered as it happened."""

    stay = models.ForeignKey(Stay, models.PROTECT, related_name="breaches")
    rule = models.CharField(max_length=120)
    message = models.TextField()
    animals = models.ManyToManyField(Animal, blank=True, related_name="breaches")
    why = models.TextField(max_length=2000)
    who = models.CharField(_("who did it"), max_length=120)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    closed_on = models.DateField(null=True, blank=True)
    closed_why = models.TextField(blank=True, max_length=2000)

    class Meta:
        ordering = ["-entered_at"]
        verbose_name_plural = _("breaches")
        constraints = [
            models.CheckConstraint(
                condition=~Q(why="") & ~Q(who=""), name="breach_says_who_and_why"
            )
        ]

    def __str__(self):
        return tell("Breach: {message}", message=self.message)


class Answer(models.Model):
    """The written reason somebody gave to an ask; it is kept."""

    stay = models.ForeignKey(Stay, models.PROTECT, null=True, blank=True, related_name="answers")
    pairing = models.ForeignKey(
        Pairing, models.PROTECT, null=True, blank=True, related_name="answers"
    )
    departure = models.ForeignKey(
        "registry.Departure", models.PROTECT, null=True, blank=True, related_name="answers"
    )
    one_of = models.ForeignKey(
        "registry.OneOfThese", models.PROTECT, null=True, blank=True, related_name="answers"
    )
    rule = models.CharField(max_length=120)
    message = models.TextField()
    reason = models.TextField(max_length=2000)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["entered_at"]
        constraints = [models.CheckConstraint(condition=~Q(reason=""), name="answer_has_a_reason")]

    def __str__(self):
        return tell("{message} Answer: {reason}", message=self.message, reason=self.reason)


class ObservationKind(models.TextChoices):
    """What may be observed of an animal from day to day."""

    WEIGHT = "weight", _("weight")
    ATE = "ate", _("seen to eat")
    REFUSED = "refused", _("refused food")
    SIGN = "sign", _("sign of illness")
    NOTE = "note", _("note")


class Observation(Lasting):
    """Something seen of an animal; a sign stays open until it is recorded gone."""

    animal = models.ForeignKey(Animal, models.PROTECT, related_name="observations")
    kind = models.CharField(max_length=10, choices=ObservationKind)
    grams = models.DecimalField(max_digits=9, decimal_places=3, null=True, blank=True)
    text = models.CharField(max_length=400, blank=True)

    class Meta(Lasting.Meta):
        ordering = ["start", "pk"]
        constraints = [
            *Lasting.Meta.constraints,
            models.CheckConstraint(
                condition=~Q(kind="weight") | Q(grams__gt=0),
                name="weight_is_in_grams",
                violation_error_message=_("A weight is given in grams, above 0."),
            ),
        ]

    def __str__(self):
        return tell(
            "{animal}: {kind} on {start}",
            animal=self.animal,
            kind=self.get_kind_display(),
            start=self.start,
        )
