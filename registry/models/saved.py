"""Filters of lists that somebody keeps under a name."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class SavedFilter(models.Model):
    """What a person narrowed a list by, to come back to: a link under a name of their own."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="saved_filters")
    page = models.CharField(max_length=40)
    name = models.CharField(max_length=80)
    query = models.CharField(max_length=2000, blank=True)

    class Meta:
        ordering = ["page", "name"]
        constraints = [
            models.CheckConstraint(condition=~models.Q(name=""), name="filter_has_a_name"),
            models.UniqueConstraint(
                fields=["user", "page", "name"],
                name="filter_is_named_once",
                violation_error_message=_("A filter of that name is kept for this list already."),
            ),
        ]

    def __str__(self):
        return self.name
