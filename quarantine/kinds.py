"""What an entry of quarantine may be: the words a keeper chooses from."""

from django.db import models
from django.utils.translation import gettext_lazy as _


class Verdict(models.TextChoices):
    """What a positive result means for its batch."""

    ACCEPTED = "accepted", _("accepted load")
    TEST_AGAIN = "test again", _("this test again")
    ALL_AGAIN = "all again", _("all again")
    VETERINARIAN = "veterinarian", _("veterinarian must decide")


class Scope(models.TextChoices):
    """Whose additions start a batch's days again."""

    BATCH = "batch", _("the batch")
    UNIT = "unit", _("the unit")


class Subject(models.TextChoices):
    """Whether each animal is sampled, or each enclosure."""

    ANIMAL = "animal", _("each animal")
    ENCLOSURE = "enclosure", _("each enclosure")


class IsolationKind(models.TextChoices):
    """Why a batch is held apart."""

    INCOMING = "incoming", _("incoming")
    EXPOSED = "exposed", _("exposed")
    SICK = "sick", _("sick")
    OUTGOING = "outgoing", _("outgoing")


class Outcome(models.TextChoices):
    """What a laboratory reports."""

    NEGATIVE = "negative", _("negative")
    POSITIVE = "positive", _("positive")
    INCONCLUSIVE = "inconclusive", _("inconclusive")
