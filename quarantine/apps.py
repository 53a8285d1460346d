"""Quarantine: who is held, since when, and when release is possible."""

from django.apps import AppConfig

from registry.naming import name_in_each_language


class QuarantineConfig(AppConfig):
    """The quarantine pages and rules."""

    name = "quarantine"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self):
        """Let what Django names after the code be read in the reader's language."""
        name_in_each_language(self.get_models())
