"""Which clearances later entries may speak against: a quick look before the rules are run again."""

from django.db.models import F

from registry.models import Arrival, Stay
from registry.together import again, fetch

from .models import Clearance, Hold, Outcome, Result
from .opened import opened

SIGNED = F("entered_at")
DAY = F("day")

# Where an entry about a released animal or its batch can be found, and the day it is about.
TRAILS = (
    ("animals__samples__results", "animals__samples__day"),
    ("animals__samples", "animals__samples__day"),
    ("animals__stays__enclosure__samples__results", "animals__stays__enclosure__samples__day"),
    ("animals__stays__enclosure__samples", "animals__stays__enclosure__samples__day"),
    ("animals__departures", "animals__departures__day"),
    ("animals__departures__necropsies", "animals__departures__day"),
    ("animals__missing", "animals__missing__day"),
    ("animals__observations", "animals__observations__start"),
    ("isolation__members", "isolation__members__start"),
    ("isolation__members__animal__departures", "isolation__members__animal__departures__day"),
    ("isolation__members__animal__samples__results", "isolation__members__animal__samples__day"),
    ("isolation__courses", "isolation__courses__start"),
)
ENDINGS = ("animals__observations", "isolation__members", "isolation__courses")


def suspects(clearances):
    """Return those of the clearances about whose days something was entered since."""
    if not clearances:
        return []
    touched, *contacts = fetch(again(TOUCHED), *_back_dated(clearances))
    late = [told for rows in contacts for told in rows]
    found = {key for (key,) in touched} | set(_reworded(clearances))
    return [row for row in clearances if row.pk in found or _by_contact(row, late)]


def _touched():
    """Return the keys of clearances with a later entry about their own animals or batch."""
    rows = Clearance.objects.filter(isolation__isnull=False).order_by()
    late = [rows.filter(**{f"{t}__entered_at__gt": SIGNED, f"{d}__lte": DAY}) for t, d in TRAILS]
    late += [rows.filter(**{f"{t}__ended_at__gt": SIGNED, f"{t}__end__lte": DAY}) for t in ENDINGS]
    first, *others = (found.values_list("pk") for found in late)
    return first.union(*others).order_by()


def _reworded(clearances):
    """Return the keys of clearances whose isolation was corrected since."""
    rows = opened().isolations
    return [r.pk for r in clearances if rows[r.isolation_id].entered_at > r.entered_at]


def _by_contact(clearance, late):
    """Whether somebody else's contacts before a clearance were back-dated after it."""
    return any(told > clearance.entered_at and about <= clearance.day for about, told in late)


def _back_dated(clearances):
    """Return the (day, moment) of entries by which somebody turns out to have been held, or met."""
    since = min(row.entered_at for row in clearances)
    until = max(row.day for row in clearances)
    stays = Stay.objects.order_by().filter(start__lte=until)
    late = stays.filter(entered_at__gt=since, entered_at__date__gt=F("start"))
    ended = stays.filter(ended_at__gt=since, end__lte=until, ended_at__date__gt=F("end"))
    holds = Hold.objects.order_by().filter(entered_at__gt=since, start__lte=until)
    arrivals = Arrival.objects.order_by().filter(entered_at__gt=since, day__lte=until)
    positives = Result.objects.order_by().filter(outcome=Outcome.POSITIVE, entered_at__gt=since)
    return (
        late.values_list("start", "entered_at"),
        ended.values_list("end", "ended_at"),
        holds.values_list("start", "entered_at"),
        arrivals.values_list("day", "entered_at"),
        positives.filter(sample__day__lte=until).values_list("sample__day", "entered_at"),
    )


TOUCHED = _touched()
