"""What came of a pairing's clutches: fertility, good and failed ones, and how long between them."""

from dataclasses import dataclass
from datetime import date
from itertools import groupby
from statistics import median

from .conception import laying_of
from .funnel import funnel
from .headcount import remaining
from .models import Clutch, Stage
from .phrases import in_a_row
from .telling import decimal, tell, tell_many

STAGES = Stage.values
BRED = ("hatched", "carried", "metamorphosed", "independent")


@dataclass(frozen=True, kw_only=True)
class Laid:
    """One clutch: when it was laid, how long after the one before, and what came of it."""

    clutch: Clutch
    day: date
    interval: int | None
    counts: dict
    young: int
    outcome: str
    mix: Clutch | None = None

    def shown(self):
        """Return eggs, fertile, hatched and animals as a table shows them."""
        last = max((STAGES.index(stage) for stage in self.counts), default=-1)
        for stage in ("laid", "fertile", "hatched"):
            count = self.counts.get(stage)
            reached = last >= STAGES.index(stage)
            yield count if count is not None else tell("not counted") if reached else ""
        yield tell("not known") if self.mix else self.young


@dataclass(frozen=True, kw_only=True)
class Record:
    """What some clutches of one pair came to, the oldest first."""

    clutches: tuple[Laid, ...]

    @property
    def fertility(self):
        """The share of eggs that were fertile, where both were counted; None where in no clutch."""
        rows = [(one.counts.get("laid"), one.counts.get("fertile")) for one in self.clutches]
        both = [(laid, fertile) for laid, fertile in rows if None not in (laid, fertile)]
        whole = sum(laid for laid, _ in both)
        return sum(fertile for _, fertile in both) / whole if whole else None

    @property
    def counted_both(self):
        """In how many clutches eggs and fertile ones were counted."""
        rows = ((one.counts.get("laid"), one.counts.get("fertile")) for one in self.clutches)
        return sum(None not in both for both in rows)

    @property
    def last_good(self):
        """The last clutch of which young hatched, or None."""
        good = [one for one in self.clutches if one.outcome == "good"]
        return good[-1] if good else None

    @property
    def failed_since(self):
        """How many clutches failed one after another, up to the last whose outcome is known."""
        runs = self._runs()
        return runs[-1][1] if runs and runs[-1][0] == "failed" else 0

    @property
    def longest_failed(self):
        """The most clutches that failed one after another."""
        return max((n for outcome, n in self._runs() if outcome == "failed"), default=0)

    def _runs(self):
        known = [one.outcome for one in self.clutches if one.outcome in ("good", "failed")]
        return [(outcome, len(list(some))) for outcome, some in groupby(known)]

    @property
    def intervals(self):
        """The days between one laying and the next."""
        return [one.interval for one in self.clutches if one.interval is not None]

    def sentences(self):
        """Say it in sentences."""
        if self.fertility is None:
            yield tell("Fertility is not known: in no clutch were eggs and fertile ones counted.")
        else:
            yield tell_many(
                "{share} of the eggs were fertile, by the counts of {count} clutch.",
                "{share} of the eggs were fertile, by the counts of {count} clutches.",
                self.counted_both,
                share=f"{self.fertility:.0%}",
            )
        yield from self._outcomes()
        if self.intervals:
            least, most = min(self.intervals), max(self.intervals)
            if least == most:
                yield tell("Between two layings {days} days.", days=least)
            else:
                yield tell(
                    "Between two layings {least} to {most} days, half of them {median} or fewer.",
                    least=least,
                    most=most,
                    median=decimal(f"{median(self.intervals):g}"),
                )

    def _outcomes(self):
        if self.last_good is None:
            yield tell("No young are known to have hatched.")
        if self.failed_since > 1:
            yield tell(
                "The last {failed_since} whose outcome is known failed.",
                failed_since=self.failed_since,
            )
        elif self.longest_failed > 1:
            yield tell(
                "At most {longest_failed} failed one after another.",
                longest_failed=self.longest_failed,
            )
        waiting = [str(one.clutch) for one in self.clutches if one.outcome == "not known"]
        if waiting:
            yield tell("What came of {waiting} is not known.", waiting=in_a_row(waiting))


def record_of(clutches, on):
    """Return what came of clutches by a day, oldest first."""
    days = sorted((laying_of(c).first or c.found_on, c.pk, c) for c in clutches)
    found, before = [], None
    for day, _, clutch in days:
        found.append(_laid(clutch, day, (day - before).days if before else None, on))
        before = day
    return Record(clutches=tuple(found))


def _laid(clutch, day, interval, on):
    counts = {step.stage: step.count for step in funnel(clutch)}
    part = clutch.mixings.current().select_related("mix").first()
    young = clutch.young.count()
    return Laid(
        clutch=clutch,
        day=day,
        interval=interval,
        counts=counts,
        young=young,
        outcome=_outcome(clutch, counts, young, part, on),
        mix=part.mix if part else None,
    )


def _outcome(clutch, counts, young, part, on):
    """Return good, failed, open (it still stands), or not known."""
    if young or any(counts.get(stage) for stage in BRED):
        return "good"
    if 0 in [counts.get(stage) for stage in ("fertile", "hatched")] or remaining(clutch) == 0:
        return "failed"
    if part or any(stage in counts for stage in BRED):
        return tell("not known")
    stays = clutch.stays.current()
    if stays.running(on).exists():
        return "open"
    return "failed" if stays.exists() else tell("not known")
