"""What quarantine says of animals, asked by name so that the register need not know it."""

from django.conf import settings
from django.utils.module_loading import import_string


def standings(animals, on):
    """Return what each animal is on a day: cleared, held or never to be released."""
    animals = list(animals)
    return import_string(settings.STANDINGS)(animals, on) if animals else {}


def standing(animal, on):
    """Return what one animal is on a day."""
    return standings([animal], on)[animal.pk]
