"""Which clearances later entries may speak against: a quick look before the rules are run again."""

from django.db.models import F, Q

from registry.models import Arrival, Stay

from .models import Clearance, Hold, Isolation, Outcome, Result

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
    keys = [row.pk for row in clearances]
    if not keys:
        return []
    found = set(_touched(keys)) | set(_reworded(clearances)) | set(_by_contact(clearances))
    return [row for row in clearances if row.pk in found]


def _touched(keys):
    """Return the keys of clearances with a later entry about their own animals or batch."""
    rows = Clearance.objects.filter(pk__in=keys).order_by()
    late = [rows.filter(**{f"{t}__entered_at__gt": SIGNED, f"{d}__lte": DAY}) for t, d in TRAILS]
    late += [rows.filter(**{f"{t}__ended_at__gt": SIGNED, f"{t}__end__lte": DAY}) for t in ENDINGS]
    first, *others = (found.values_list("pk") for found in late)
    return [key for (key,) in first.union(*others).order_by()]


def _reworded(clearances):
    """Return the keys of clearances whose isolation was corrected since."""
    told = Isolation.objects.filter(pk__in={row.isolation_id for row in clearances})
    moments = dict(told.values_list("pk", "entered_at"))
    return [r.pk for r in clearances if moments.get(r.isolation_id, r.entered_at) > r.entered_at]


def _by_contact(clearances):
    """Return the keys of clearances before which somebody else's contacts were back-dated."""
    earliest = min(row.entered_at for row in clearances)
    late = list(_back_dated(earliest, max(row.day for row in clearances)))
    return [
        row.pk
        for row in clearances
        if any(told > row.entered_at and about <= row.day for about, told in late)
    ]


def _back_dated(since, until):
    """Yield (day, moment) of entries by which somebody turns out to have been held, or met."""
    stays = Stay.objects.filter(start__lte=until)
    late = stays.filter(entered_at__gt=since, entered_at__date__gt=F("start"))
    yield from late.values_list("start", "entered_at")
    ended = stays.filter(ended_at__gt=since, end__lte=until, ended_at__date__gt=F("end"))
    yield from ended.values_list("end", "ended_at")
    holds = Hold.objects.filter(entered_at__gt=since, start__lte=until)
    yield from holds.values_list("start", "entered_at")
    arrivals = Arrival.objects.filter(entered_at__gt=since, day__lte=until)
    yield from arrivals.values_list("day", "entered_at")
    positives = Result.objects.filter(Q(outcome=Outcome.POSITIVE), entered_at__gt=since)
    positives = positives.filter(sample__day__lte=until)
    yield from positives.values_list("sample__day", "entered_at")
