"""Long reckonings asked for: how far each has come, and what came of it."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _

from ..telling import tell
from .taxa import Locality, Taxon


class ReckoningState(models.TextChoices):
    """How a reckoning stands."""

    WAITING = "waiting", _("waiting for its turn")
    RUNNING = "running", _("under way")
    DONE = "done", _("done")
    FAILED = "failed", _("failed")


class Reckoning(models.Model):
    """Something long to work out about a line; a finding of the machine and no fact of its own.

    `told` is a digest of all it rests on: what is asked again of the same facts is the same one.
    """

    kind = models.CharField(max_length=20)
    taxon = models.ForeignKey(Taxon, models.CASCADE, related_name="reckonings")
    locality = models.ForeignKey(
        Locality, models.CASCADE, null=True, blank=True, related_name="reckonings"
    )
    day = models.DateField(_("as of"))
    asked = models.JSONField(default=dict)
    told = models.CharField(max_length=64, db_index=True)
    state = models.CharField(max_length=10, choices=ReckoningState, default=ReckoningState.WAITING)
    done = models.PositiveIntegerField(default=0)
    whole = models.PositiveIntegerField(default=0)
    result = models.JSONField(null=True, blank=True)
    problem = models.TextField(blank=True, max_length=2000)
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="+")
    asked_at = models.DateTimeField()
    heard_at = models.DateTimeField(_("last heard of"))
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["told"],
                condition=models.Q(state__in=["waiting", "running"]),
                name="reckoning_runs_once",
                violation_error_message=_("This is being worked out already."),
            )
        ]

    def __str__(self):
        place = self.locality or tell("unknown locality")
        return tell(
            "{kind} of {taxon}, {place}", kind=tell(self.kind), taxon=self.taxon, place=place
        )

    @property
    def is_open(self):
        """Whether something is still to come of it."""
        return self.state in {ReckoningState.WAITING, ReckoningState.RUNNING}

    @property
    def percent(self):
        """How far it has come, in whole per cent."""
        return min(100, 100 * self.done // self.whole) if self.whole else 0
