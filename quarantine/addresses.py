"""What a keeper asked for: a calendar at an address of their own, and a reminder by mail."""

import secrets

from django.conf import settings
from django.db import models
from django.utils.crypto import constant_time_compare, salted_hmac
from django.utils.translation import gettext_lazy as _

from registry.telling import tell


def new_secret():
    """Return a word nobody guesses."""
    return secrets.token_urlsafe(32)


class CalendarAddress(models.Model):
    """Where one keeper's calendar is had without signing in, by whoever knows the address."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, models.CASCADE, related_name="calendar_address"
    )
    secret = models.CharField(max_length=60, default=new_secret, editable=False)
    renewed_at = models.DateTimeField()

    class Meta:
        verbose_name_plural = _("calendar addresses")

    def __str__(self):
        return tell("Calendar of {user}", user=self.user)

    @classmethod
    def renewed(cls, user, at):
        """Give a keeper an address; one given before leads nowhere from now on."""
        told = {"secret": new_secret(), "renewed_at": at}
        return cls.objects.update_or_create(user=user, defaults=told)[0]

    @classmethod
    def opened_by(cls, pk, secret):
        """Return the address that a secret opens, None where it opens none.

        Takes as long for a wrong secret as for an address that never was.
        """
        row = cls.objects.filter(pk=pk, user__is_active=True).select_related("user").first()
        known = row.secret if row else new_secret()
        return row if constant_time_compare(secret, known) and row else None


class Reminder(models.Model):
    """A keeper wants the day's round by mail; `sent_on` is the last day it was sent."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="reminder")
    sent_on = models.DateField(null=True, blank=True, editable=False)

    def __str__(self):
        return tell("Reminder of {user}", user=self.user)

    def claim(self, on):
        """Take the day's mail upon oneself; only one of several runs can."""
        mine = Reminder.objects.filter(pk=self.pk).exclude(sent_on=on)
        return mine.update(sent_on=on) == 1

    def give_back(self, on):
        """Leave the day's mail to a later run."""
        Reminder.objects.filter(pk=self.pk, sent_on=on).update(sent_on=self.sent_on)


def installation():
    """Return a short name for this installation, the same at every start."""
    return salted_hmac("kinward.calendar", settings.SECRET_KEY, algorithm="sha256").hexdigest()[:12]
