"""The register's lines of births: young counted from larvae on, and those lost or left again.

The number kept rises by young that no line has counted yet, so that a count at a later stage adds
nobody twice; it falls by what is lost or left after the first count of larvae, for eggs were never
in it. Young taken out as animals stay counted, and leave by lines of their own. Clutches put
together change nothing: what their lines count goes on in the mix.
"""

from django.db import transaction
from django.db.models import Sum

from .models import Clutch, LineKind, Loss, RegisterLine, Stage, StageCount
from .numbering import held_still
from .phrases import for_good
from .register_lines import Draft, entry_of, write
from .telling import tell
from .whence import holding_of_clutch

LARVAE_ON = (Stage.HATCHED, Stage.CARRIED, Stage.METAMORPHOSED, Stage.INDEPENDENT)


@transaction.atomic
def young_counted(count: StageCount):
    """Write that so many of a clutch had come to a stage, from larvae on."""
    if not _is_of_young(count):
        return
    holding = held_still(holding_of_clutch(count.clutch, count.day))
    write(holding, [_count_draft(count)])
    _write_losses(count.clutch)


def _is_of_young(count):
    return bool(count.count) and count.stage in LARVAE_ON


@for_good
def _count_draft(count):
    line = _line(count.clutch, count.day, count)
    line.kind, line.what = LineKind.BIRTH, tell("{stage}, counted", stage=count.get_stage_display())
    line.count, line.change = count.count or 0, _change(count.clutch)
    line.stage_count = count
    return Draft(line=line)


def _change(clutch):
    """Return by how many young counted rise or fall; those that were taken out stay counted."""
    return max(_counted(clutch) - _born(clutch), -_left(clutch))


def _line(clutch, day, fact):
    return RegisterLine(
        day=day,
        taxon=clutch.taxon,
        species=clutch.taxon.name,
        codes=tell("clutch {code}", code=clutch.code),
        origin=clutch.enclosure.unit.holding.party.country,
        clutch=clutch,
        **entry_of(fact),
    )


def _counted(clutch):
    """Return how many young of a clutch there were at least, larvae included."""
    rows = clutch.stages.current().filter(stage__in=LARVAE_ON)
    counts = [c for c in rows.values_list("count", flat=True) if c is not None]
    return max([clutch.young.count(), _brought(clutch), *counts])


def _brought(clutch):
    """Return how many the lines of clutches reared together had counted of them until then."""
    return sum(_left(part.clutch) for part in clutch.current_parts())


def _sum(rows):
    return rows.aggregate(total=Sum("change"))["total"] or 0


def _born(clutch):
    """Return how many young of a clutch the lines have counted."""
    return _sum(clutch.register_lines.filter(kind=LineKind.BIRTH)) + _brought(clutch)


def _left(clutch):
    """Return how many of a clutch are, by the lines, still in it."""
    return _sum(clutch.register_lines) + _brought(clutch) - clutch.young.count()


@transaction.atomic
@for_good
def young_taken_out(separation, animals, *, by, at):
    """Write that young left their clutch as animals; they are born anew only if never counted."""
    clutch = separation.clutch
    holding = held_still(separation.enclosure.unit.holding)
    born_late = max(_counted(clutch) - _born(clutch), -_left(clutch), 0)
    line = RegisterLine(
        kind=LineKind.BIRTH,
        what=tell("taken from the clutch as animals"),
        day=separation.day,
        taxon=clutch.taxon,
        species=clutch.taxon.name,
        count=len(animals),
        change=born_late,
        codes=", ".join(a.code for a in animals),
        origin=clutch.enclosure.unit.holding.party.country,
        remark=tell("From clutch {code}.", code=clutch.code),
        clutch=clutch,
        entered_at=at,
        entered_by=by,
    )
    write(holding, [Draft(line=line, animals=tuple(animals))])


@transaction.atomic
def young_lost(loss: Loss):
    """Write that some of a clutch were lost, or left alive; eggs have no line."""
    held_still(holding_of_clutch(loss.clutch, loss.day))
    _write_losses(loss.clutch)


def _write_losses(clutch):
    """Write those losses that fall on or after the first day on which larvae were counted."""
    first = _first_larvae(clutch)
    if first is None:
        return
    owed = clutch.losses.current().filter(day__gte=first, register_lines__isnull=True)
    for loss in owed.order_by("day", "pk"):
        write(holding_of_clutch(clutch, loss.day), [_loss_draft(loss, _left(clutch))])


def _first_larvae(clutch):
    rows = clutch.stages.current().filter(stage__in=LARVAE_ON, count__gt=0)
    own = rows.order_by("day").values_list("day", flat=True).first()
    days = [own, *(_first_larvae(part.clutch) for part in clutch.current_parts())]
    return min(filter(None, days), default=None)


@for_good
def _loss_draft(loss, there):
    line = _line(loss.clutch, loss.day, loss)
    line.kind = LineKind.DEPARTURE if loss.left else LineKind.DEATH
    line.what = tell("left alive from the clutch") if loss.left else tell("lost from the clutch")
    line.count, line.change = loss.count, -min(loss.count, max(there, 0))
    line.remark, line.loss = loss.reason, loss
    return Draft(line=line)


@transaction.atomic
@for_good
def clutch_ended(clutch: Clutch, day, *, by, at):
    """Write off those of whom nobody knows what became of them, once nothing is left."""
    holding = held_still(holding_of_clutch(clutch, day))
    there = _left(clutch)
    if there <= 0:
        return
    line = RegisterLine(
        kind=LineKind.DEATH,
        what=tell("not accounted for"),
        day=day,
        taxon=clutch.taxon,
        species=clutch.taxon.name,
        count=there,
        change=-there,
        codes=tell("clutch {code}", code=clutch.code),
        origin=clutch.enclosure.unit.holding.party.country,
        remark=tell("Nothing was left of the clutch, and no loss is on record."),
        clutch=clutch,
        entered_at=at,
        entered_by=by,
    )
    write(holding, [Draft(line=line)])


# Corrections


@transaction.atomic
def count_corrected(old: StageCount, new: StageCount):
    """Write a line that names the line of a count, with what is now said instead."""
    line = old.register_lines.select_related("holding").order_by("-number").first()
    if line is None:
        return None if new.void else young_counted(new)
    held_still(line.holding)
    write(line.holding, [_naming(_count_draft(new), line, new)])
    _write_losses(new.clutch)
    return _write_off_ended(new)


@transaction.atomic
def loss_corrected(old: Loss, new: Loss):
    """Write a line that names the line of a loss, with what is now said instead."""
    line = old.register_lines.select_related("holding").order_by("-number").first()
    if line is None:
        return None if new.void else young_lost(new)
    held_still(line.holding)
    before = _net(line)
    draft = _naming(_loss_draft(new, _left(new.clutch) - before), line, new)
    draft.line.change = -before if new.void else draft.line.change - before
    write(line.holding, [draft])
    return _write_off_ended(new)


def _write_off_ended(fact):
    """Write off whom a correction leaves in a clutch of which nothing is left."""
    stays = fact.clutch.stays.current()
    last = stays.order_by("start", "pk").last()
    if last and last.end and not stays.filter(end=None).exists():
        clutch_ended(fact.clutch, last.end, by=fact.entered_by, at=fact.entered_at)


def _naming(draft, line, fact):
    draft.line.corrects, draft.line.why, draft.line.withdraws = line, fact.why, fact.void
    return draft


def _net(line):
    """Return by how many a line and those it corrects change the number kept."""
    return line.change + (_net(line.corrects) if line.corrects else 0)
