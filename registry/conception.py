"""When a clutch may have been laid, or an animal begun, from what was seen of it later."""

from dataclasses import dataclass
from datetime import date, timedelta

from .models import Stage

UNSEEN_DAYS = 60  # how much earlier a stage nobody saw begin may have begun


@dataclass(frozen=True, kw_only=True)
class Window:
    """The first and the last day of laying; None on a side where nothing is known."""

    first: date | None = None
    last: date | None = None


def development(taxon, stage):
    """Return the least and the most days from laying to a stage, by the figures of the taxon."""
    hatching = (taxon.hatch_min, taxon.hatch_max)
    metamorphosis = (taxon.metamorphosis_min, taxon.metamorphosis_max)
    if None in metamorphosis:
        metamorphosis = hatching
    return {
        Stage.LAID: (0, 0),
        Stage.FERTILE: (0, taxon.hatch_max),
        Stage.HATCHED: hatching,
        Stage.CARRIED: (taxon.hatch_min, metamorphosis[1]),
        Stage.METAMORPHOSED: metamorphosis,
        Stage.INDEPENDENT: metamorphosis,
    }[stage]


def expected(taxon, found_on, found_as, began_seen=True):
    """Return when young found on a day in a stage were laid, by the figures of their taxon."""
    least, most = development(taxon, found_as)
    opened = 0 if began_seen else UNSEEN_DAYS
    return Window(first=_before(found_on, most + opened), last=_before(found_on, least))


def laying_of(clutch):
    """Return when a clutch was laid: as stated, else as expected from how it was found."""
    if clutch.mixed:
        return hull([laying_of(one) for one in clutch.laid_as() if not one.mixed])
    if clutch.earliest_laying:
        last = min(clutch.latest_laying, clutch.found_on)
        return Window(first=clutch.earliest_laying, last=last)
    return expected(clutch.taxon, clutch.found_on, clutch.found_as, clutch.began_seen)


def certain_laying_of(clutch):
    """Return the days outside which it cannot have been laid, however long nobody looked."""
    if clutch.mixed:
        return hull([certain_laying_of(one) for one in clutch.laid_as() if not one.mixed])
    window = laying_of(clutch)
    open_ended = clutch.found_as in {Stage.METAMORPHOSED, Stage.INDEPENDENT}
    if clutch.earliest_laying is None and open_ended and not clutch.began_seen:
        return Window(last=window.last)
    return window


def hull(windows):
    """Return the days that lie in any of some windows, and between them."""
    firsts, lasts = [w.first for w in windows], [w.last for w in windows]
    return Window(
        first=None if None in firsts else min(firsts, default=None),
        last=None if None in lasts else max(lasts, default=None),
    )


def certain_beginning_of(animal, known_by=None):
    """Return the days outside which the egg of an animal cannot have been laid.

    `known_by` is a day on which it is known to have lived, where its birth is not.
    """
    if animal.clutch_id:
        return certain_laying_of(animal.clutch)
    span = development(animal.taxon, Stage.METAMORPHOSED)
    return between(span, animal.earliest_birth, animal.latest_birth, known_by)


def between(span, first_born, last_born, known_by=None):
    """Return when the egg was laid of one born between two days, least and most days before."""
    least, most = span
    return Window(
        first=_before(first_born, most) if first_born else None,
        last=_before(last_born, least) if last_born else known_by,
    )


def _before(day, days):
    return day - timedelta(days=days)
