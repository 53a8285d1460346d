"""What the register has for the day: objections standing, young to move, breaches, conflicts."""

from datetime import timedelta

from django.urls import reverse

from . import shelf
from .breaches import open_breaches
from .conflicts import conflicts
from .everywhere import answers_on, herd_on, standing_everywhere, stays_from
from .lending import ever_lent, loans
from .objections import NOTE
from .phrases import in_a_row, written
from .telling import tell
from .today import Section, Task
from .together import fetch
from .unsettled import all_open

LEAVING = "young_leave_their_parents"  # these have a section of their own
AHEAD = timedelta(days=14)  # how long before it must leave a young one is told of


def objections_standing(on, user):
    """Say what stands against who lives together, where no reason has been given."""
    tasks = [
        Task(
            text=f"{one.enclosure}: {one.objection.message}",
            href=reverse("enclosure-show", args=[one.enclosure.pk]),
            due=one.objection.day if one.objection.day != on else None,
            late=one.objection.is_stop,
        )
        for one in standing_everywhere(on)
        if one.objection.level != NOTE and one.answer is None and one.objection.rule != LEAVING
    ]
    return Section(
        title=tell("Objections standing"),
        tasks=tuple(tasks),
        empty=tell("Nothing stands against who lives together now."),
    )


def one_of_these_open(on, user):
    """Name what happened to one of several and is settled on nobody, nor left open for good."""
    _ = herd_on(on).sexings  # of everybody here at once: these are some of them
    tasks = [
        Task(
            text=f"{one.sentence} {_whom(one)}",
            href=reverse("one-of-show", args=[one.event.pk]),
            due=one.event.day,
        )
        for one in all_open()
        if one.event.day <= on and one.event.let_be_on is None
    ]
    empty = tell("What happened to one of several look-alikes stands here until it is settled.")
    return Section(title=tell("One of these"), tasks=tuple(tasks), empty=empty)


def _whom(one):
    if one.only:
        return tell("It can only have been {only}: settle it.", only=one.only)
    if not one.possible:
        return tell("By other entries it was none of them.")
    return tell("Which one?")


def young_to_move(on, user):
    """Name the young that must leave their parents soon, and those that should have."""
    tasks = [
        Task(
            text=tell(
                "{young} leaves {parents} in {enclosure}",
                young=young,
                parents=in_a_row(parents),
                enclosure=enclosure,
            ),
            href=reverse("animal-move", args=[young.pk]),
            due=due,
            late=due < on,
        )
        for due, young, parents, enclosure in sorted(
            young_due(on, on + AHEAD), key=lambda row: (row[0], str(row[1]))
        )
    ]
    empty = tell("No young has to leave its parents by {on}.", on=written(on + AHEAD))
    return Section(title=tell("Young to move out"), tasks=tuple(tasks), empty=empty)


def young_due(on, until):
    """Yield `(day, young, its parents there, enclosure)` for those due by a day, late ones too.

    Young for whose staying somebody gave a reason are left out.
    """
    there = {s.animal_id: s for s in stays_from(on) if s.animal_id and s.runs(on)}
    grown = [s for s in there.values() if (day := s.animal.must_leave_parents()) and day <= until]
    excused = _excused(there, on)
    for stay in grown:
        if stay.animal_id in excused:
            continue
        parents = [there[k].animal for k in herd_on(on).parents[stay.animal_id] if k in there]
        parents = [p for p in parents if there[p.pk].enclosure_id == stay.enclosure_id]
        if parents:
            due = stay.animal.must_leave_parents()
            yield due, stay.animal, sorted(parents, key=str), stay.enclosure


def _excused(there, on):
    """Return the keys of those here that a kept reason lets stay where they are."""
    told = [a for a in answers_on(on) if a.rule == LEAVING and a.stay.end is None]
    told = [(a.stay.enclosure_id, a.message) for a in told]
    rows = [(k, s.enclosure_id, s.animal.code) for k, s in there.items() if s.end is None]
    return {key for key, enclosure, code in rows if _speaks_of(code, enclosure, told, rows)}


def _speaks_of(code, enclosure, told, rows):
    """Return whether a kept sentence is about a code: in each language it begins with it."""
    mine = [text for at, text in told if at == enclosure and text.startswith(f"{code} ")]
    if not mine:
        return False
    longer = [c for _, at, c in rows if at == enclosure and c.startswith(f"{code} ")]
    return any(not any(text.startswith(f"{one} ") for one in longer) for text in mine)


def loans_due(on, user):
    """Name the loans that go back within two weeks, and those that should have."""
    fetch(ever_lent(on), _breaches())
    tasks = [
        Task(text=loan.sentence, href=reverse("loan-list"), due=loan.due, late=loan.is_late)
        for loan in loans(on)
        if loan.due and loan.due <= on + AHEAD
    ]
    empty = tell("No loan is due back by {on}.", on=written(on + AHEAD))
    return Section(title=tell("Loans due back"), tasks=tuple(tasks), empty=empty)


def breaches_open(on, user):
    """Name the breaches nobody has settled."""
    tasks = [
        Task(text=b.message, href=reverse("breach-list"), due=b.stay.start) for b in _breaches()
    ]
    return Section(
        title=tell("Breaches open"), tasks=tuple(tasks), empty=tell("No breach is open.")
    )


def _breaches():
    return shelf.kept(("breaches",), lambda: open_breaches().prefetch_related(None))


def conflicts_listed(on, user):
    """Name what cannot all be true."""
    tasks = [Task(text=c.sentence, href=reverse("conflict-list")) for c in conflicts()]
    return Section(
        title=tell("Cannot all be true"),
        tasks=tuple(tasks),
        empty=tell("No entry contradicts another."),
    )
