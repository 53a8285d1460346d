"""What happened to one of several that look alike, entered before anybody knows which."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from ..telling import tell
from .animals import Animal, Basis
from .comings import DepartureKind
from .facts import Fact
from .parties import Party
from .places import Enclosure

LEFT = tuple(DepartureKind.values)  # one of them is gone; of the others, one was heard or seen
UNRECEIVED = (DepartureKind.DEATH, DepartureKind.ESCAPE, Basis.CALLING, Basis.LAID)


class What(models.TextChoices):
    """What may happen to one of several that look alike."""

    DEATH = "death", _("death")
    SALE = "sale", _("sale")
    GIFT = "gift", _("gift")
    EXCHANGE = "exchange", _("exchange")
    LOAN = "loan", _("loan")
    ESCAPE = "escape", _("escape")
    HANDED_OVER = "handed over", _("handing over")
    CALLING = "calling", _("heard calling")
    LAID = "laid", _("laid eggs")


class OneOfThese(Fact):
    """One of these animals died, left, called or laid; which one is settled later, or never.

    It is settled by the departure or the finding that names it, for as long as that one stands.
    """

    enclosure = models.ForeignKey(Enclosure, models.PROTECT, related_name="one_of_these")
    what = models.CharField(max_length=12, choices=What)
    day = models.DateField(db_index=True)
    animals = models.ManyToManyField(Animal, related_name="one_of_these")
    receiver = models.ForeignKey(
        Party, models.PROTECT, null=True, blank=True, related_name="one_of_these"
    )
    cause = models.CharField(max_length=400, blank=True)
    held = models.BooleanField(_("may have been held on leaving"), default=False)
    note = models.TextField(blank=True, max_length=4000)
    let_be_on = models.DateField(_("left unsettled since"), null=True, blank=True)
    let_be_at = models.DateTimeField(null=True, blank=True, editable=False)
    let_be_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
    )
    let_be_why = models.CharField(_("why it makes no difference"), blank=True, max_length=400)

    followed = ("departures", "findings")
    told_to = "registry.register_lines.one_of_these_corrected"

    class Meta(Fact.Meta):
        ordering = ["-day", "-pk"]
        verbose_name = verbose_name_plural = _("one of these")
        constraints = [
            *Fact.Meta.constraints,
            models.CheckConstraint(
                condition=Q(what__in=UNRECEIVED) | Q(receiver__isnull=False),
                name="one_of_these_names_its_receiver",
                violation_error_message=_("Name who received the animal."),
            ),
            models.CheckConstraint(
                condition=Q(let_be_on__isnull=True) | ~Q(let_be_why=""),
                name="one_of_these_is_let_be_for_a_reason",
                violation_error_message=_("Say why it makes no difference which one it was."),
            ),
        ]

    def __str__(self):
        return tell(
            "{what} of one in {enclosure} on {day}",
            what=self.get_what_display(),
            enclosure=self.enclosure,
            day=self.day,
        )

    @property
    def has_left(self):
        """Whether one of them died or left, so that one fewer is there."""
        return self.what in LEFT

    def among(self):
        """Return the animals among which it was, by their codes."""
        return sorted(self.animals.all(), key=lambda a: a.code)

    def entries(self):
        """Return the keys of this entry and of all that it corrects, one after the other."""
        keys, entry = [self.pk], self
        while entry.replaces_id:
            entry = entry.replaces
            keys.append(entry.pk)
        return keys

    def settlement(self):
        """Return the departure or finding by which it is settled, or None."""
        rows = self.departures if self.has_left else self.findings
        return rows.current().select_related("animal").first()
