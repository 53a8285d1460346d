"""Each kind of row about isolations as the facts their clock runs on, corrections included."""

from datetime import timedelta
from decimal import Decimal
from functools import cached_property

from django.utils import timezone

from registry.models import AnimalClass, DepartureKind, ObservationKind
from registry.together import fetch
from registry.unsettled import known_days, roots, spells

from . import dossier_questions as questions
from . import evidence as e
from .ledger_rows import batch_key
from .models import Necropsy
from .opened import opened, several
from .protocols import Verdict

DAY = timedelta(days=1)


def key_of(row):
    """Return the name by which the clock calls a row."""
    return f"{row._meta.model_name}:{row.pk}"


def pk_of(key):
    """Return the primary key of the row a name calls."""
    return int(key.rpartition(":")[2])


def entry(row):
    """Return when a row was entered and which entry it corrects."""
    replaced = f"{row._meta.model_name}:{row.replaces_id}" if row.replaces_id else None
    return {"key": key_of(row), "entered": on(row.entered_at), "replaces": replaced}


def on(moment):
    """Return the keeper's day of a moment, if there is one."""
    return timezone.localdate(moment) if moment else None


class Rows:
    """The rows about some isolations, fetched together, taken-back entries apart."""

    def __init__(self, keys):
        self.keys, self.opened, self.withdrawals = keys, opened(), []
        self.isolations = self.standing(self.opened.chains(keys))
        members, laid, *young = fetch(*questions.members(keys))
        self.members = self.standing(members)
        self.animals = {a.pk: a for some in (*young, questions.of_mixes(laid)) for a in some}
        self.animals |= {m.animal_id: m.animal for m in self.members}
        self._found = questions.about(keys, self.animals.keys())
        fetch(*self._found.values())

    def standing(self, rows):
        """Return rows that say something; those that take one back are kept as such."""
        self.withdrawals += [
            e.Withdrawal(**entry(row)) for row in rows if row.void and row.replaces_id
        ]
        return [row for row in rows if not row.void]

    def found(self, name):
        """Return what was found for a question, taken-back entries too."""
        return self._found[name]

    def about(self, name):
        """Return the rows about the animals that answer a question; ask each once."""
        return self.standing(self._found[name])

    @cached_property
    def several(self):
        """What happened to one of several of the animals, corrected entries included."""
        return several(self.animals)

    @cached_property
    def events(self):
        """The name of each of these, the same for every entry about it, by its key."""
        return {pk: f"oneofthese:{root}" for pk, root in roots(self.several).items()}

    def code(self, key):
        """Return the code of an animal."""
        return self.animals[key].code


def openings(rows):
    """Yield the openings; a part under the protocol of its whole keeps that one's."""
    newest = _newest(rows.isolations)
    for row in rows.isolations:
        if row.split_from_id and _keeps_opening(row):
            continue
        batch, protocol = batch_key(newest[row.pk]), rows.opened.protocol(row.version)
        yield e.Opening(batch=batch, day=row.opened, protocol=protocol, **entry(row))


def _newest(isolations):
    """Return, for each entry about an isolation, the newest one: members point at that."""
    after = {row.replaces_id: row.pk for row in isolations if row.replaces_id}
    return {row.pk: _last(row.pk, after) for row in isolations}


def _last(key, after):
    while key in after:
        key = after[key]
    return key


def _keeps_opening(row):
    whole = row.split_from
    return whole.version_id == row.version_id and whole.opened == row.opened


def splits(rows):
    """Yield how the batches were split."""
    for row in rows.isolations:
        if row.split_from_id and row.superseded_at is None:
            whole, part = batch_key(row.split_from_id), batch_key(row.pk)
            known = {"key": f"split:{row.pk}", "entered": on(row.entered_at)}
            yield e.Split(whole=whole, part=part, day=row.split_on, **known)


def memberships(rows):
    """Yield who was in which batch, up to leaving it or leaving alive."""
    parts = {i.pk: i for i in rows.isolations}
    gone, signed, came = _leavings(rows), _signings(rows), _arrived(rows)
    for row in rows.members:
        left, told = _left(row, gone, signed)
        yield e.Membership(
            batch=batch_key(row.isolation_id),
            member=rows.code(row.animal_id),
            joined=row.start,
            came=_coming(row, parts[row.isolation_id], came),
            tailed=row.animal.taxon.animal_class == AnimalClass.TAILED,
            left=left,
            left_entered=told,
            **entry(row),
        )


def _leavings(rows):
    """Return when each animal left alive, whether it came again that day, and the day of entry."""
    found = {}
    for row in rows.found("alive"):
        left = (row.day, row.again, on(row.entered_at))
        found.setdefault(row.animal_id, []).append(left)
    return found


def _signings(rows):
    """Return the days on which each animal was released from each isolation."""
    found = {}
    for isolation, animal, day in rows.found("signed"):
        found.setdefault((isolation, animal), set()).add(day)
    return found


def _arrived(rows):
    return set(rows.found("arrived"))


def _left(row, gone, signed):
    """Return the day a member left and when that was entered; on a release it is still there."""
    days = [(row.end, on(row.ended_at or row.entered_at))] if row.end else []
    days += [
        (day, told)
        for day, again, told in gone.get(row.animal_id, ())
        if day > row.start or (day == row.start and not again)
    ]
    if not days:
        return None, None
    day, told = min(days)
    released = signed.get((row.isolation_id, row.animal_id), ())
    return (day + DAY if day in released else day), told


def _coming(row, isolation, arrived):
    animal = row.animal
    if isolation.split_from_id and row.start == isolation.split_on:
        return e.Coming.PARTED
    if animal.pk not in arrived and animal.clutch_id and animal.separated_on == row.start:
        return e.Coming.BORN
    return e.Coming.ADDED


def stays(rows):
    """Yield where the members stayed."""
    for row in rows.about("stays"):
        yield e.Stay(
            member=rows.code(row.animal_id),
            enclosure=row.enclosure.code,
            unit=str(row.enclosure.unit_id),
            first=row.start,
            last=row.end,
            last_entered=on(row.ended_at),
            **entry(row),
        )


def samples(rows):
    """Yield the samples that name a member or were taken where one stayed."""
    named = {}
    for sample, code in rows.found("swabbed"):
        named.setdefault(sample, set()).add(code)
    for row in rows.about("samples"):
        yield e.Sample(
            taken=row.day,
            assays=(row.assay.code,),
            members=frozenset(named.get(row.pk, ())),
            enclosure=row.enclosure.code if row.enclosure else None,
            **entry(row),
        )


def results(rows):
    """Yield what the laboratory reported of the samples."""
    for row in rows.about("results"):
        yield e.Result(
            sample=f"sample:{row.sample_id}",
            assay=row.sample.assay.code,
            outcome=e.Outcome(row.outcome),
            reported=row.day,
            verdict=Verdict(row.verdict) if row.verdict else None,
            **entry(row),
        )


def courses(rows):
    """Yield the treatments of the batches."""
    for row in rows.about("courses"):
        yield e.Course(
            batch=batch_key(row.isolation_id),
            against=frozenset({row.assay.code} if row.assay else ()),
            first_dose=row.start,
            planned_last=row.planned_last,
            last_dose=row.end,
            last_entered=on(row.ended_at),
            **entry(row),
        )


def deaths(rows):
    """Yield the deaths of members, those that settle an event of one of several with its name."""
    for row in rows.about("deaths"):
        event = rows.events.get(row.one_of_id, "")
        yield e.Death(member=rows.code(row.animal_id), day=row.day, event=event, **entry(row))


def one_of_these(rows):
    """Yield the deaths and departures of one of several members, while that was not settled.

    What was settled is taken back on the day it was.
    """
    for number, spell in enumerate(spells(rows.several)):
        if days := known_days(spell):
            event, (since, until) = spell.event, days
            key = f"{key_of(event)}:{number}"
            yield e.OneOf(
                key=key,
                event=rows.events[event.pk],
                members=tuple(a.code for a in event.among()),
                day=event.day,
                died=event.what == DepartureKind.DEATH,
                entered=since,
            )
            if until:
                taken_back = e.Withdrawal(key=f"{key}:settled", entered=until, replaces=key)
                rows.withdrawals.append(taken_back)


def missing(rows):
    """Yield the members that were not found."""
    for row in rows.about("missing"):
        yield e.Missing(
            member=rows.code(row.animal_id),
            since=row.day,
            found=row.found_on,
            found_entered=on(row.found_at),
            **entry(row),
        )


def necropsies(rows):
    """Yield what was found of the deaths."""
    for row in rows.about("necropsies"):
        member, event = rows.code(row.death.animal_id), rows.events.get(row.death.one_of_id, "")
        yield e.Necropsy(member=member, event=event, accepted=row.settles, **entry(row))
    for row in rows.standing(Necropsy.objects.filter(one_of__in=rows.events)):
        event = rows.events[row.one_of_id]
        yield e.Necropsy(event=event, accepted=row.settles, **entry(row))


def observations(rows):
    """Yield weights, meals and signs of the members."""
    for row in rows.about("observations"):
        yield _observed(row, rows.code(row.animal_id))


def _observed(row, member):
    if row.kind == ObservationKind.WEIGHT:
        grams = Decimal(row.grams)
        return e.Weight(member=member, day=row.start, grams=grams, **entry(row))
    if row.kind == ObservationKind.SIGN:
        ended = {"gone": row.end, "gone_entered": on(row.ended_at)}
        return e.Sign(member=member, what=row.text, first=row.start, **ended, **entry(row))
    eaten = row.kind == ObservationKind.ATE
    return e.Meal(member=member, day=row.start, eaten=eaten, **entry(row))
