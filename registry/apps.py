"""The register: animals, places, papers, parents and pairs."""

from django.apps import AppConfig
from django.utils.formats import get_format
from django.utils.translation import gettext, ngettext

from .naming import name_in_each_language
from .telling import plug


class RegistryConfig(AppConfig):
    """Loads the system checks with the register."""

    name = "registry"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self):
        """Make the checks known to Django, and the catalogue to those who know no Django."""
        from . import bounds, checks  # noqa: F401

        name_in_each_language(self.get_models())
        plug(gettext, ngettext, lambda: get_format("DECIMAL_SEPARATOR"))
