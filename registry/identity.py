"""Who an animal is: entering one, and putting it right where nothing on record contradicts it."""

from django.contrib.admin.models import ADDITION, CHANGE, LogEntry
from django.db import transaction

from .conflicts import conflicts_of
from .models import Animal
from .telling import tell
from .trying import would_raise


@transaction.atomic
def enter_animal(animal, by):
    """Enter an animal that has neither come nor been born here."""
    animal.full_clean()
    animal.save()
    log(by, animal, ADDITION, tell("Entered."))
    return animal


@transaction.atomic
def change_animal(animal, said, by):
    """Save who an animal is, and keep what was changed, by whom and why."""
    list(Animal.objects.select_for_update().filter(pk=animal.pk))
    animal.full_clean()
    animal.save()
    log(by, animal, CHANGE, said)
    return animal


def contradicted_by(animal):
    """Return what on record would contradict an animal as changed, in sentences."""
    return would_raise(animal.save, lambda: _sentences(animal))


def _sentences(animal):
    return [c.sentence for c in conflicts_of(Animal.objects.get(pk=animal.pk))]


def log(by, thing, flag, said):
    """Keep that somebody entered or changed a thing that is no dated fact."""
    LogEntry.objects.log_actions(by.pk, [thing], action_flag=flag, change_message=said)
