"""The day's round as a letter: what Today asks for, and the enclosures in their order of work."""

from dataclasses import dataclass

from django.conf import settings
from django.core.mail import EmailMessage

from registry.phrases import distance, written
from registry.telling import tell, tell_many
from registry.today import sections

from .addresses import Reminder


@dataclass(frozen=True, kw_only=True)
class Letter:
    """What is sent to a keeper on a day."""

    to: str
    subject: str
    body: str


def wanted(on):
    """Return the reminders still to be sent on a day, to those who can sign in and gave a mail."""
    rows = Reminder.objects.filter(user__is_active=True).exclude(user__email="")
    return list(rows.exclude(sent_on=on).select_related("user").order_by("user__username"))


def letter(user, on):
    """Return what there is to say to a keeper on a day, None where there is nothing."""
    found = [section for section in sections(on, user) if section.tasks]
    if not found:
        return None
    late = sum(task.late for section in found for task in section.tasks)
    subject = tell("Kinward, {day}", day=written(on))
    if late:
        subject = tell_many(
            "Kinward, {day}, {count} thing late",
            "Kinward, {day}, {count} things late",
            late,
            day=written(on),
        )
    body = "\n\n".join([*(_section(section, on) for section in found), _signed()])
    return Letter(
        to=user.email,
        subject=subject,
        body=body + "\n",
    )


def _section(section, on):
    return "\n".join([section.title, "-" * len(section.title), *_lines(section, on)])


def _lines(section, on):
    for task in section.tasks:
        day = f" ({written(task.due)}, {distance(task.due, on)})" if task.due else ""
        text = " ".join(task.text.split())
        if task.late:
            text = tell("Late: {task}", task=text)
        yield f"- {text}{day}"


def _signed():
    """Say where it is from, and how to have no more of it."""
    where = settings.CSRF_TRUSTED_ORIGINS[:1]
    if where:
        return tell(
            "Kinward at {address}. You asked for this under Quarantine, Calendar and reminders.",
            address=where[0],
        )
    return tell("Kinward. You asked for this under Quarantine, Calendar and reminders.")


def send(reminder, made, on):
    """Send a letter unless another run has taken it; give it back where sending fails.

    Returns whether it was sent by this run.
    """
    if not reminder.claim(on):
        return False
    mail = EmailMessage(made.subject, made.body, settings.MAIL_FROM, [made.to])
    try:
        mail.send()
    except Exception:
        reminder.give_back(on)
        raise
    return True
