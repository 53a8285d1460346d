"""What every dated fact shares: who entered it, when, and which entry it replaces."""

from datetime import datetime, time, timedelta

from django.conf import settings
from django.db import models, transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.translation import gettext_lazy as _

from ..telling import tell


def end_of(day):
    """Return the first moment after a day, in the keeper's time zone."""
    midnight = datetime.combine(day + timedelta(days=1), time.min)
    return timezone.make_aware(midnight)


class FactQuerySet(models.QuerySet):
    """Facts as they are known now, or as they were known on an earlier day."""

    def current(self):
        """Leave out what a correction has replaced or withdrawn."""
        return self.filter(superseded_at__isnull=True, void=False)

    def known(self, on):
        """Return the facts as the register knew them at the end of a day."""
        moment = end_of(on)
        standing = Q(superseded_at__isnull=True) | Q(superseded_at__gte=moment)
        return self.filter(standing, entered_at__lt=moment, void=False)


class Fact(models.Model):
    """An entry that is never overwritten: a correction names the one it replaces, and why."""

    entered_at = models.DateTimeField(default=timezone.now, editable=False)
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="+",
    )
    replaces = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    why = models.TextField(_("why corrected"), blank=True, max_length=2000)
    void = models.BooleanField(_("withdraws the entry"), default=False)
    superseded_at = models.DateTimeField(null=True, blank=True, editable=False, db_index=True)

    carried = ()  # related names whose rows a correction copies
    followed = ()  # related names whose rows point at the newest entry
    told_to = ""  # whoever is told `(old, new)` of a correction, in the same transaction

    objects = FactQuerySet.as_manager()

    class Meta:
        abstract = True
        constraints = [
            models.CheckConstraint(
                condition=Q(replaces__isnull=True) | ~Q(why=""),
                name="%(app_label)s_%(class)s_correction_says_why",
                violation_error_message=_("A correction says why."),
            ),
            models.CheckConstraint(
                condition=Q(void=False) | Q(replaces__isnull=False),
                name="%(app_label)s_%(class)s_void_names_an_entry",
                violation_error_message=_("Only an existing entry can be withdrawn."),
            ),
        ]

    def corrected(self, *, by, why, at=None, **changes):
        """Enter a copy of this fact with changes in its place, and return the copy."""
        return _replace(self, by, why, at, changes)

    def withdrawn(self, *, by, why, at=None):
        """Enter that this was never so, and return that entry."""
        return _replace(self, by, why, at, {"void": True})

    @property
    def entered_on(self):
        """The day of entry, in the keeper's time zone."""
        return timezone.localdate(self.entered_at)

    @property
    def is_late(self):
        """Whether the entry was made on a later day than the one it is about."""
        return self.entered_on > self.about

    @property
    def about(self):
        """The day the fact is about."""
        return self.day


class AlreadyReplaced(Exception):
    """Somebody has corrected this entry already; correct the newer one."""

    def __init__(self, fact):
        self.fact = fact
        super().__init__(
            tell("“{fact}” has been corrected already; correct the newer entry instead.", fact=fact)
        )


def _replace(old, by, why, at, changes):
    moment = at or timezone.now()
    with transaction.atomic():
        rows = type(old).objects.filter(pk=old.pk, superseded_at__isnull=True)
        if not rows.update(superseded_at=moment):
            raise AlreadyReplaced(old)
        kept = {f.attname: getattr(old, f.attname) for f in old._meta.concrete_fields}
        kept |= {"id": None, "replaces_id": old.pk, "superseded_at": None}
        new = type(old)(**kept | {"entered_at": moment, "entered_by_id": by and by.pk, "why": why})
        for name, value in changes.items():
            setattr(new, name, value)
        new.save(force_insert=True)
        _bring_along(old, new)
        if new.told_to:
            import_string(new.told_to)(old, new)
        return new


def _bring_along(old, new):
    """Give the new entry copies of what belongs to the old one, and what points at it.

    What points at an entry that is withdrawn goes on pointing at what it said.
    """
    for field in old._meta.many_to_many:
        if field.remote_field.through._meta.auto_created:
            getattr(new, field.name).set(getattr(old, field.name).all())
    for name in old.carried:
        for part in getattr(old, name).all():
            setattr(part, getattr(old, name).field.name, new)
            part.pk, part._state.adding = None, True
            part.save(force_insert=True)
    for name in () if new.void else old.followed:
        getattr(old, name).update(**{getattr(old, name).field.name: new})
