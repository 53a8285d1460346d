"""When an animal is in the register's care: from coming or birth until it dies or leaves."""

from collections import deque
from dataclasses import dataclass, field
from datetime import date

from . import shelf
from .models import ArrivalMember, Departure, OwnerChange
from .phrases import written
from .telling import tell
from .together import attach, fetch


@dataclass(kw_only=True)
class Presence:
    """The days on which one animal came and went."""

    animal: object
    comings: list[date] = field(default_factory=list)
    goings: list[tuple[date, str]] = field(default_factory=list)

    def is_here(self, day):
        """Return whether it is in care on a day; on the day of leaving it no longer is."""
        return self.problem(day) is None

    def problem(self, day, until=None):
        """Say why it cannot be here on a day, or None."""
        came = [d for d in self.comings if d <= day]
        gone = [(d, kind) for d, kind in self.goings if d <= day]
        if not came:
            return self._not_yet(min(self.comings, default=None))
        if len(gone) >= len(came):
            return self._gone(*gone[-1])
        return self._leaves(day, until)

    def contradiction(self):
        """Say where comings and goings do not follow one another, or None."""
        comings = sorted(self.comings)
        for number, (day, kind) in enumerate(sorted(self.goings)):
            if len(comings) <= number or comings[number] > day:
                return tell("{gone}, and had not come before.", gone=self._gone(day, kind)[:-1])
            if comings[number + 1 :] and comings[number + 1] < day:
                again = written(comings[number + 1])
                return tell(
                    "{animal} came again on {again} and had not left before.",
                    animal=self.animal,
                    again=again,
                )
        return None

    def _not_yet(self, first):
        if first is None:
            return tell("{animal} has no arrival and no birth on record.", animal=self.animal)
        return tell("{animal} is here only from {first}.", animal=self.animal, first=written(first))

    def _gone(self, day, kind):
        if kind == "death":
            return tell("{animal} died on {day}.", animal=self.animal, day=written(day))
        return tell(
            "{animal} left on {day} ({kind}).",
            animal=self.animal,
            day=written(day),
            kind=tell(kind),
        )

    def _leaves(self, day, until):
        """A back-dated move of an animal that has left since says until when it was here."""
        left = [(d, kind) for d, kind in self.goings if d > day]
        if left and until and until > left[0][0]:
            return tell("{gone}, before it would be moved back.", gone=self._gone(*left[0])[:-1])
        return None


def movements(animals, on, *others):
    """Return, for each of `{key: animal}`, its birth here, comings, goings and changes of owner.

    Up to a day, in the order in which they can have happened: of two on one day, one that is here
    left first; an owner changes after both. Other questions are put with these.
    """
    comings = {key: [a] if _bred(a, on) else [] for key, a in animals.items()}
    goings = {key: [] for key in animals}
    rows = _members(animals).filter(arrival__day__lte=on).order_by("arrival__day", "arrival_id")
    back = Departure.objects.filter(arrived_as__in=rows.order_by().values("arrival"))
    gone = Departure.objects.current().filter(animal__in=animals, day__lte=on)
    passed = OwnerChange.objects.current().filter(animal__in=animals, day__lte=on)
    rows, back, gone, passed, *_ = fetch(
        rows.select_related("arrival__holding__party", "arrival__supplier"),
        back,
        gone.select_related("receiver", "arrived_as").order_by("day", "pk"),
        passed.select_related("owner").order_by("day", "pk"),
        *others,
    )
    attach([row.arrival for row in rows], "departures", back)
    for row in rows:
        comings[row.animal_id].append(row.arrival)
    for row in gone:
        goings[row.animal_id].append(row)
    owners = {key: [row for row in passed if row.animal_id == key] for key in animals}
    return {
        key: sorted([*_merged(comings[key], goings[key]), *owners[key]], key=_day)
        for key in animals
    }


def _bred(animal, on):
    return bool(animal.clutch_id and animal.separated_on and animal.separated_on <= on)


def _day(act):
    """Return the day of a coming or going; a birth is the animal itself."""
    return getattr(act, "day", None) or act.separated_on


def _merged(comings, goings):
    comings, goings = deque(comings), deque(goings)
    here = False
    while comings or goings:
        leaves = _leaves_next(comings, goings, here)
        yield (goings if leaves else comings).popleft()
        here = not leaves


def _leaves_next(comings, goings, here):
    if not (comings and goings):
        return bool(goings)
    came, went = _day(comings[0]), _day(goings[0])
    return went < came or (went == came and here)


def _members(animals):
    return ArrivalMember.objects.filter(
        animal__in=animals, arrival__void=False, arrival__superseded_at__isnull=True
    )


def presences(animals):
    """Return the presence of each of `{key: animal}`."""
    return presences_by(animals, *_kept_days_of(frozenset(animals)))


def presences_by(animals, comings, goings):
    """Return the same of the days on which they came and went, as they were asked for."""
    found = {key: Presence(animal=animal) for key, animal in animals.items()}
    for key, animal in animals.items():
        if animal.clutch_id and animal.separated_on:
            found[key].comings.append(animal.separated_on)
    for key, day in comings:
        if key in found:
            found[key].comings.append(day)
    for key, *going in goings:
        if key in found:
            found[key].goings.append(tuple(going))
    return found


def _kept_days_of(keys):
    kept = shelf.about("came and went", keys)
    return kept or shelf.kept(("came and went", keys), lambda: fetch(*comings_and_goings(keys)))


def comings_and_goings(animals):
    """Return questions for `(key, day)` of comings, and `(key, day, kind)` of goings."""
    comings = _members(animals).order_by("pk")
    goings = Departure.objects.current().filter(animal__in=animals).order_by("day")
    comings = comings.values_list("animal_id", "arrival__day")
    return comings, goings.values_list("animal_id", "day", "kind")
