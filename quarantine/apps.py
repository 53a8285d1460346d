"""Quarantine: who is held, since when, and when release is possible."""

from django.apps import AppConfig


class QuarantineConfig(AppConfig):
    """The quarantine pages and rules."""

    name = "quarantine"
    default_auto_field = "django.db.models.BigAutoField"
