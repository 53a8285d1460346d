"""Fills an empty register with the demo collection."""

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from quarantine.demo import load
from registry.models import Animal


class Command(BaseCommand):
    """`load_demo`: an invented keeper's room, as it stands today."""

    help = "Fills an empty register with the demo collection, its days laid out back from today."

    def handle(self, **options):
        """Load it, unless there is a collection already."""
        if Animal.objects.exists():
            raise CommandError("There are animals on record; the demo goes into an empty register.")
        load(timezone.localdate())
        self.stdout.write(f"{Animal.objects.count()} animals are on record.")
