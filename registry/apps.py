"""The register: animals, places, papers, parents and pairs."""

from django.apps import AppConfig


class RegistryConfig(AppConfig):
    """Loads the system checks with the register."""

    name = "registry"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self):
        """Make the checks known to Django."""
        from . import checks  # noqa: F401
