"""Isolations are opened, joined and split; the whole batch is moved in one act."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils import timezone

from registry.lifetime import death_of
from registry.models import Animal, Enclosure, Stay
from registry.phrases import in_a_row, written
from registry.presence import presences
from registry.telling import tell

from .dossier import dossiers
from .held import CLEARED, standings
from .models import Isolation, IsolationKind, Membership, ProtocolVersion
from .refusals import ActRefused
from .settling import placements, settle_in
from .wards import gone, is_released, members_on, released


@dataclass(frozen=True, kw_only=True)
class Opening:
    """What is said of an isolation to be opened; its day is the one from which days may count."""

    name: str
    kind: str
    version: ProtocolVersion
    day: date
    animals: tuple[Animal, ...]
    note: str = ""


@transaction.atomic
def open_isolation(opening, *, by, at=None):
    """Open an isolation for animals, under its own copy of a protocol version."""
    moment = at or timezone.now()
    animals = _locked(opening.animals)
    _refuse_day(opening.day, moment)
    _refuse_animals(animals, opening.day, moment)
    isolation = Isolation.objects.create(
        name=opening.name,
        kind=opening.kind,
        version=opening.version,
        opened=opening.day,
        note=opening.note,
        entered_at=moment,
        entered_by=by,
    )
    _enrol(isolation, animals, opening.day, by, moment)
    return isolation


@transaction.atomic
def join(isolation, animals, day, *, by, at=None):
    """Add animals to a batch; its days start again."""
    moment = at or timezone.now()
    isolation = locked(isolation)
    animals = _locked(animals)
    _refuse_day(day, moment)
    if day < isolation.opened:
        text = tell(
            "{isolation} opened on {opened}; nobody joined it before.",
            isolation=isolation,
            opened=written(isolation.opened),
        )
        raise ActRefused(text, "day")
    if is_released(isolation, timezone.localdate(moment)):
        raise ActRefused(
            tell(
                "{isolation} is released; open a new isolation for those that come.",
                isolation=isolation,
            )
        )
    _refuse_animals(animals, day, moment)
    return _enrol(isolation, animals, day, by, moment)


@transaction.atomic
def split(isolation, animals, day, name, *, by, version=None, at=None):
    """Part animals off as a batch of their own; facts up to the day count for both.

    Under another protocol version the part opens on the day of the split.
    """
    moment = at or timezone.now()
    isolation = locked(isolation)
    animals = _locked(animals)
    _refuse_day(day, moment)
    _refuse_split(isolation, animals, day)
    same = version is None or version == isolation.version
    part = Isolation.objects.create(
        name=name,
        kind=isolation.kind,
        version=isolation.version if same else version,
        opened=isolation.opened if same else day,
        split_from=isolation,
        split_on=day,
        entered_at=moment,
        entered_by=by,
    )
    _end_memberships(animals, day, by, moment)
    _enter(part, animals, day, by, moment)
    return part


def move_batch(isolation, enclosures, day, *, by, reason="", breach=None, at=None):
    """Move everyone living in a batch, dealt out over enclosures, through every placement rule."""
    animals = tuple(members_on(isolation, day))
    if not animals:
        raise ActRefused(
            tell(
                "Nobody of {isolation} is living and in it on {day}.",
                isolation=isolation,
                day=written(day),
            )
        )
    moves = placements(animals, enclosures, day)
    return settle_in(moves, by=by, reason=reason, breach=breach, at=at)


def take_exposed(animals, name, version, day, *, by, at=None):
    """Open an isolation for animals that met held ones, from the day of the last who did."""
    opening = Opening(
        name=name,
        kind=IsolationKind.EXPOSED,
        version=version,
        day=day,
        animals=tuple(animals),
    )
    return open_isolation(opening, by=by, at=at)


def locked(isolation):
    """Return the newest entry of an isolation, kept from others until the act is done."""
    found = Isolation.objects.select_for_update().filter(pk=isolation.pk).first()
    if found is None or found.superseded_at or found.void:
        raise ActRefused(tell("This isolation has been corrected meanwhile; open its page again."))
    return found


def _locked(animals):
    keys = [a.pk for a in animals]
    if not keys:
        raise ActRefused(tell("Choose at least one animal."), "animals")
    return list(Animal.objects.select_for_update().filter(pk__in=keys).order_by("code"))


def _refuse_day(day, moment):
    if day > timezone.localdate(moment):
        raise ActRefused(
            tell("{day} is still to come; enter it once it happened.", day=written(day)), "day"
        )


def _refuse_animals(animals, day, moment):
    """Refuse those not here, in another batch, or come or exposed only after the day."""
    here = presences({a.pk: a for a in animals})
    for animal in animals:
        if problem := here[animal.pk].problem(day):
            raise ActRefused(problem, "animals")
        if death := death_of(animal):
            raise ActRefused(
                tell("{animal} died on {day}.", animal=animal, day=written(death.day)), "animals"
            )
    _refuse_late(animals, day, timezone.localdate(moment))


def _refuse_late(animals, day, today):
    """A batch opens, or is joined, not before its newest member arrived or was exposed."""
    now = standings(animals, max(day, today))
    for animal in animals:
        standing = now.get(animal.pk)
        if standing and standing.state != CLEARED and not standing.change and standing.since > day:
            text = tell(
                "{animal} is held only since {since} ({why}); the day cannot be earlier.",
                animal=animal,
                since=written(standing.since),
                why=standing.why,
            )
            raise ActRefused(text, "day")


def _enrol(isolation, animals, day, by, moment):
    """Enter memberships, ending those in batches that were released, or that the animal left."""
    running = Membership.objects.current().filter(animal__in=animals, end__isnull=True)
    over = set(running.filter(released(day) | gone(day)).values_list("pk", flat=True))
    for row in running.select_related("animal", "isolation"):
        if row.pk not in over:
            text = tell(
                "{animal} is in {isolation} already; split it off there, or let the "
                "others join that batch.",
                animal=row.animal,
                isolation=row.isolation,
            )
            raise ActRefused(text, "animals")
    _end_memberships(animals, day, by, moment)
    return _enter(isolation, animals, day, by, moment)


def _end_memberships(animals, day, by, moment):
    running = Membership.objects.current().filter(animal__in=animals, end__isnull=True)
    for row in running:
        row.end, row.ended_at, row.ended_by = max(day, row.start), moment, by
        row.save(update_fields=["end", "ended_at", "ended_by"])


def _enter(isolation, animals, day, by, moment):
    return [
        Membership.objects.create(
            isolation=isolation, animal=animal, start=day, entered_at=moment, entered_by=by
        )
        for animal in animals
    ]


def _refuse_split(isolation, animals, day):
    """Refuse a part that is nobody, everybody, or not of the batch."""
    if day < isolation.opened:
        raise ActRefused(
            tell(
                "{isolation} opened on {opened}.",
                isolation=isolation,
                opened=written(isolation.opened),
            ),
            "day",
        )
    members = {a.pk: a for a in living_in(isolation, day)}
    strangers = [a for a in animals if a.pk not in members]
    if strangers:
        text = tell(
            "{strangers} is not living in {isolation} on {day}.",
            strangers=in_a_row(strangers),
            isolation=isolation,
            day=written(day),
        )
        raise ActRefused(text, "animals")
    if len(animals) == len(members):
        raise ActRefused(
            tell("Nobody would stay in the batch; a split leaves somebody."), "animals"
        )


def living_in(isolation, day):
    """Return who is living in a batch on a day, young that are in it by birth included."""
    reading = dossiers([isolation], day).readings[isolation.pk]
    codes = reading.living if reading else ()
    return list(Animal.objects.filter(code__in=codes).select_related("taxon"))


def enclosures_of(animals, day):
    """Return where animals are on a day."""
    rows = Enclosure.objects.filter(stays__in=_stays(animals, day)).distinct()
    return list(rows.select_related("unit"))


def _stays(animals, day):
    return Stay.objects.current().touching(day).filter(animal__in=animals)
