"""Dated tasks as an iCalendar file (RFC 5545, with name and interval by RFC 7986). Pure.

A task keeps its key while its day moves, so that a calendar moves an entry and never doubles it.
"""

from dataclasses import dataclass
from datetime import date, timedelta

from icalendar import Calendar, Event

OFTEN = timedelta(hours=6)  # how often a calendar program should look again


@dataclass(frozen=True, kw_only=True)
class Duty:
    """One thing to do, and the first day for it; `href` is the page where it is done."""

    key: str
    day: date
    title: str
    text: str
    href: str


def calendar_of(duties, *, name, maker, address, stamp):
    r"""Return an iCalendar file, as bytes: an all-day entry for each task.

    `maker` names this installation in the entries' identifiers, `address` turns the page of a task
    into a full address, `stamp` is the moment of making, with its time zone.

    >>> from datetime import UTC, datetime
    >>> duty = Duty(key="isolation-1-release", day=date(2026, 5, 1), title="Box: release possible",
    ...             text="If all goes well; nothing else is due.", href="/batches/1/")
    >>> told = {"name": "Kinward", "maker": "a1", "address": "https://frogs.example{}".format}
    >>> made = calendar_of([duty], **told, stamp=datetime(2026, 3, 2, tzinfo=UTC)).decode()
    >>> for line in made.splitlines()[made.splitlines().index("BEGIN:VEVENT"):-1]:
    ...     print(line)
    BEGIN:VEVENT
    SUMMARY:Box: release possible
    DTSTART;VALUE=DATE:20260501
    DTSTAMP:20260302T000000Z
    UID:isolation-1-release@a1.kinward
    DESCRIPTION:If all goes well\; nothing else is due.
    TRANSP:TRANSPARENT
    URL:https://frogs.example/batches/1/
    END:VEVENT
    """
    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", "-//Kinward//Quarantine//EN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", name)
    calendar.add("refresh-interval", OFTEN, parameters={"VALUE": "DURATION"})
    for duty in duties:
        calendar.add_component(_entry(duty, maker, address, stamp))
    return calendar.to_ical()


def _entry(duty, maker, address, stamp):
    entry = Event()
    entry.add("uid", f"{duty.key}@{maker}.kinward")
    entry.add("dtstamp", stamp)
    entry.add("dtstart", duty.day)
    entry.add("summary", duty.title)
    entry.add("description", duty.text)
    entry.add("url", address(duty.href))
    entry.add("transp", "TRANSPARENT")  # a day with a swab in it is still a free day
    return entry
