"""What quarantine says of animals, asked by name so that the register need not know it."""

from django.conf import settings
from django.utils.module_loading import import_string


def standings(animals, on):
    """Return what each animal is on a day: cleared, held or never to be released."""
    animals = list(animals)
    return _ask()(animals, on) if animals else {}


def _ask():
    """Return whoever knows standings; a register without quarantine knows none."""
    try:
        return import_string(settings.STANDINGS)
    except ModuleNotFoundError as error:
        if error.name and settings.STANDINGS.startswith(error.name):
            return lambda animals, on: {}
        raise


def standing(animal, on):
    """Return what one animal is on a day."""
    return standings([animal], on).get(animal.pk)


def held_keys(animals, on):
    """Return the keys of those that are held, or never to be released, on a day."""
    return {key for key, one in standings(animals, on).items() if one and one.state != "cleared"}
