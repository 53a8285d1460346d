"""What quarantine asks of the day: decisions, samples, results, releases, and the order of work."""

from django.urls import reverse

from registry.everywhere import stays_from
from registry.models import UnitRole
from registry.phrases import in_a_row, written
from registry.telling import tell, tell_many, to_tell
from registry.today import Section, Task

from .batches import CHANGED, OPEN, batches_on, last_signatures
from .exposures import unopened
from .ledger import named
from .models import IsolationKind
from .next_steps import due_words
from .opened import opened
from .wards import kinds_waiting, open_keys

AHEAD = 7  # days in which a sample that falls due is listed
OUTGOING, YOUNG, RESIDENT, INCOMING, SICK = range(5)


def batches_to_attend(on, user):
    """List what each batch asks for: decisions, releases, samples due and results awaited."""
    tasks = []
    for batch in batches_on(_attended(on), on):
        if batch.state in (OPEN, CHANGED):
            tasks += _tasks(batch)
    return Section(
        title=tell("Quarantine"),
        tasks=tuple(sorted(tasks, key=lambda t: (t.due or on, t.text))),
        empty=tell("Samples due, results awaited and releases that can be signed stand here."),
    )


def _attended(on):
    """Return the isolations somebody waits in, and those that were released by a signature."""
    rows = opened().isolations
    open_now = sorted((rows[key] for key in open_keys(on)), key=lambda row: (row.opened, row.pk))
    current = [row for row in rows.values() if row.superseded_at is None and not row.void]
    signed = last_signatures(current, on)
    keys = {i.pk for i in open_now}
    return open_now + [c.isolation for key, c in signed.items() if key not in keys]


def _tasks(batch):
    """Yield the tasks of one batch."""
    page = [batch.isolation.pk]
    if batch.change:
        yield Task(
            text=f"{batch.isolation}: {batch.change.sentence}",
            href=reverse("quarantine:clearance-show", args=[batch.clearance.pk]),
            late=True,
        )
        return
    if batch.possible:
        text = tell("{isolation}: release can be signed.", isolation=batch.isolation)
        yield Task(text=text, href=reverse("quarantine:clear", args=page))
    yield from _samples(batch, page)
    yield from _results(batch, page)
    yield from _decisions(batch)


def _samples(batch, page):
    """Yield one task for each day on which samples of the batch fall due soon."""
    days = sorted({one.day for one in batch.reading.due})
    for day in [d for d in days if (d - batch.on).days <= AHEAD]:
        due = [one for one in batch.reading.due if one.day == day]
        text = tell(
            "{isolation}: take {samples}.",
            isolation=batch.isolation,
            samples=due_words(batch, due),
        )
        yield Task(text=text, href=reverse("quarantine:sample-add", args=page), due=day)


def _results(batch, page):
    """Yield one task for each day on which results are expected."""
    for day in sorted({one.promised for one in batch.reading.awaited}):
        some = [one for one in batch.reading.awaited if one.promised == day]
        tests = sorted({batch.assays.get(one.assay, one.assay) for one in some})
        taken = written(min(one.taken for one in some))
        text = tell(
            "{isolation}: result awaited, {tests} of {taken}.",
            isolation=batch.isolation,
            tests=in_a_row(tests),
            taken=taken,
        )
        href = reverse("quarantine:results-add", args=page)
        yield Task(text=text, href=href, due=day, late=day < batch.on)


def _decisions(batch):
    """Yield what somebody must decide before release can be forecast."""
    step = batch.next
    if step and step.decides:
        yield Task(text=f"{batch.isolation}: {step.text}", href=step.href, late=True)


def held_outside(on, user):
    """List animals held in no isolation: exposed, or come and not set apart."""
    tasks = [
        Task(
            text=f"{animal}: {standing.sentence}",
            href=reverse(
                "quarantine:exposed-list" if standing.met else "quarantine:isolation-open"
            ),
            late=bool(standing.met),
        )
        for animal, standing in unopened(on)
    ]
    return Section(
        title=tell("Held in no isolation"),
        tasks=tuple(tasks),
        empty=tell("Animals that were exposed, or came and have no isolation yet, stand here."),
    )


def order_of_work(on, user):
    """List the enclosures in the order of work: outgoing, residents, incoming, sick bay."""
    rows = {}
    kinds = {animal.pk: IsolationKind.EXPOSED for animal, _ in unopened(on)}
    kinds |= {animal: kind for animal, (_, kind) in kinds_waiting(on).items()}
    for stay in (stay for stay in stays_from(on) if stay.touches(on)):
        place = stay.enclosure
        rank, names = rows.get(place, (RESIDENT, []))
        rows[place] = (_rank(rank, stay, kinds, on), [*names, str(stay.animal or stay.clutch)])
    ordered = sorted(rows.items(), key=lambda item: (item[1][0], str(item[0].unit), item[0].code))
    return Section(
        title=tell("The round, in its order of work"),
        tasks=tuple(_stop(place, *row) for place, row in ordered),
        empty=tell(
            "The enclosures with animals stand here, residents first and the sick bay last."
        ),
    )


def _rank(rank, stay, kinds, on):
    """Return where an enclosure comes in the round, from one more that lives in it."""
    kind = kinds.get(stay.animal_id)
    if stay.enclosure.unit.role == UnitRole.SICK_BAY or kind == IsolationKind.SICK:
        return SICK
    if kind == IsolationKind.OUTGOING:
        return OUTGOING if rank == RESIDENT else rank
    if kind or stay.enclosure.unit.role == UnitRole.QUARANTINE:
        return max(rank, INCOMING)
    is_young = stay.clutch_id or not stay.animal.is_adult(on)
    return YOUNG if is_young and rank == RESIDENT else rank


PLACES = {
    OUTGOING: to_tell("outgoing"),
    YOUNG: to_tell("young"),
    RESIDENT: to_tell("residents"),
    INCOMING: to_tell("held"),
    SICK: to_tell("sick bay"),
}


def _stop(place, rank, names):
    names = (
        in_a_row(sorted(named(n) for n in names))
        if len(names) <= 8
        else tell_many("{count} animal", "{count} animals", len(names))
    )
    text = f"{place} ({place.unit}, {tell(PLACES[rank])}): {names}"
    return Task(text=text, href=reverse("enclosure-show", args=[place.pk]))
