"""Brings the catalogues of translated sentences up to date."""

from django.core.management.base import BaseCommand

from registry.sentences import ROOT, brought_up_to_date


class Command(BaseCommand):
    """`sentences`: to be run after a sentence was written or changed, and after translating."""

    help = "Gathers every sentence into the catalogues, compiles them, and tells what is missing."
    requires_system_checks = ()

    def handle(self, **options):
        """Write and compile each catalogue; list what nobody has translated."""
        for path, entries in brought_up_to_date().items():
            missing = [one for one in entries if not one.told or one.fuzzy]
            for one in missing:
                self.stdout.write(f"{', '.join(one.places)}: {one.sentence}")
            name = path.relative_to(ROOT).as_posix()
            self.stdout.write(f"{name}: {len(entries) - 1} sentences, {len(missing)} untranslated.")
