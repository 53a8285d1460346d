"""Sends the day's round by mail to the keepers who asked for it."""

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from quarantine.reminding import letter, send, wanted


class Command(BaseCommand):
    """`remind`: once a day to each; run again, it sends only what has not been sent."""

    help = "Sends the day's round by mail, once a day, to the keepers who asked for it."

    def add_arguments(self, parser):
        """A dry run shows the letters and sends nothing."""
        parser.add_argument("--dry-run", action="store_true", help="show the letters, send nothing")

    def handle(self, *, dry_run, **options):
        """Send to each keeper; one who cannot be reached keeps nobody else waiting."""
        if not (dry_run or settings.MAIL_HOST):
            raise CommandError("No mail server is set; set KINWARD_MAIL_HOST. Nothing was sent.")
        on, failed = timezone.localdate(), []
        for reminder in wanted(on):
            made = letter(reminder.user, on)
            try:
                self.tell(reminder, made, on, dry_run)
            except (OSError, ValueError) as problem:  # the server or the way to it; an address
                failed.append(f"{reminder.user}: {problem}")
        if failed:
            told = "; ".join(failed)
            raise CommandError(f"Not sent, and tried again at the next run: {told}")

    def tell(self, reminder, made, on, dry_run):
        """Send one letter, or show it."""
        if made is None:
            self.stdout.write(f"{reminder.user}: nothing to look at today.")
        elif dry_run:
            self.stdout.write(f"To: {made.to}\nSubject: {made.subject}\n\n{made.body}")
        elif send(reminder, made, on):
            self.stdout.write(f"{reminder.user}: sent to {made.to}.")
