"""A clutch through its stages: how many reached each, what was lost, and what is on record."""

from dataclasses import dataclass
from datetime import date

from .models import Candidate, Stage
from .phrases import share
from .telling import tell
from .timeline import entry, newest_first
from .together import attach, fetch


@dataclass(frozen=True, kw_only=True)
class Step:
    """One stage that was reached: when first, how many by now, and of how many."""

    stage: str
    label: str
    day: date
    count: int | None
    begun: int | None

    @property
    def part(self):
        """The share of the first count, in words; empty where either is unknown."""
        if not self.begun or self.count is None:
            return ""
        return share(self.count / self.begun)


def funnel(clutch):
    """Return the stages a clutch has reached, in order, with the newest count of each."""
    rows = [r for r in clutch.stages.all() if not r.void and r.superseded_at is None]
    by_stage = {}
    for row in sorted(rows, key=lambda r: (r.day, r.pk)):
        by_stage.setdefault(row.stage, []).append(row)
    counted = {stage: _newest(found) for stage, found in by_stage.items()}
    begun = next((counted[s] for s in Stage.values if counted.get(s) is not None), None)
    return [
        Step(
            stage=stage.value,
            label=stage.label,
            day=by_stage[stage.value][0].day,
            count=counted[stage.value],
            begun=begun,
        )
        for stage in Stage
        if stage.value in by_stage
    ]


def _newest(found):
    counts = [row.count for row in found if row.count is not None]
    return counts[-1] if counts else None


def history(clutch):
    """Return every entry about a clutch, the newest day first, corrected ones included."""
    named = Candidate.objects.filter(descent__clutch=clutch).select_related("animal", "mate")
    stages, losses, parts, mixings, stays, descents, _ = fetch(
        _rows(clutch.stages),
        _rows(clutch.losses),
        _rows(clutch.parts),
        _rows(clutch.mixings.select_related("mix")),
        _rows(clutch.stays.select_related("enclosure")),
        _rows(clutch.descents),
        named,
    )
    attach(descents, "candidates", named)
    told = [(row, _counted(row)) for row in stages]
    told += [(row, _lost(row)) for row in losses]
    told += [(row, _put_in(row)) for row in parts]
    told += [(row, _went_on(row)) for row in mixings]
    told += [(row, tell("In {enclosure}.", enclosure=row.enclosure)) for row in stays]
    told += [(row, _stated(row)) for row in descents]
    return newest_first([entry(fact, text) for fact, text in told])


def _rows(facts):
    return facts.select_related("replaced_by", "entered_by", "clutch")


def _stated(row):
    text = str(row)
    return f"{text[0].upper()}{text[1:]} ({row.get_basis_display()})."


def _put_in(part):
    return tell("Clutch {clutch} is reared in it, {parts}.", clutch=part.clutch, parts=_parts(part))


def _went_on(part):
    return tell("Reared with others in {mix}, {parts}.", mix=part.mix, parts=_parts(part))


def _parts(part):
    return tell("1 part") if part.weight == 1 else tell("{weight:g} parts", weight=part.weight)


def _counted(row):
    stage = row.get_stage_display()
    if row.count is None:
        return tell("Uncounted {stage}.", stage=stage)
    return f"{row.count} {stage}."


def _lost(row):
    told = {"count": row.count, "reason": row.reason}
    if row.left:
        return tell("{count} left: {reason}.", **told)
    return tell("{count} lost: {reason}.", **told)
