"""Long work of a line: asked for once, done in its turn, with progress that can be come back to."""

import logging
from dataclasses import dataclass, field
from datetime import timedelta

from django.conf import settings
from django.db import IntegrityError, transaction
from django.tasks import task
from django.utils import timezone, translation
from django.utils.module_loading import import_string
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from .census import Census
from .keeping import digest, once
from .lines import Line
from .models import Reckoning, ReckoningState
from .telling import tell

# What can be asked, and who answers: `(census, on, question, progress) -> plain values`.
KINDS = {
    "alleles": "registry.line_alleles.count_alleles",
    "plan": "registry.planning.work_out",
    "kinship": "registry.line_plots.map_kinship",
}
SILENT = timedelta(minutes=15)  # one under way that is not heard of for so long has stopped
UNSTARTED = timedelta(hours=6)  # one that waits for so long will not be done
KEPT = timedelta(days=90)
BETWEEN = timedelta(seconds=1)
WENT_SILENT = _("It stopped without a word: whatever does such work was ended. Ask again.")

log = logging.getLogger(__name__)


@dataclass(frozen=True, kw_only=True)
class Question:
    """One thing to work out about a line on a day; `asked` are plain values."""

    kind: str
    census: Census
    on: object
    asked: dict = field(default_factory=dict)

    @property
    def told(self):
        """A digest of all that the answer rests on."""
        here = [a.pk for a in self.census.here(self.on)]
        line = self.census.line.address
        wild = sorted(self.census.ancestry.wild())
        asked = (self.asked, get_language())  # an answer holds sentences
        return digest(self.kind, line, here, self.census.records, wild, asked)

    def answer_at_once(self):
        """Work it out while somebody waits, or return what was worked out before."""
        act = import_string(KINDS[self.kind])
        return once(self.kind, self.told, lambda: act(self.census, self.on, self.asked))

    def last(self):
        """Return the newest reckoning of the same, or None; one that went silent has failed."""
        found = Reckoning.objects.filter(told=self.told).first()
        return found and _settled(found)


def answered(question, takes_long):
    """Return (answer or None, reckoning or None): at once, unless it takes long."""
    if not takes_long:
        return question.answer_at_once(), None
    last = question.last()
    return (last.result if last and last.state == ReckoningState.DONE else None), last


def _settled(reckoning):
    """Return a reckoning, as failed where nothing will come of it any more."""
    quiet = timezone.now() - reckoning.heard_at
    running = reckoning.state == ReckoningState.RUNNING
    if reckoning.is_open and quiet > (SILENT if running else UNSTARTED):
        _end(reckoning.pk, ReckoningState.FAILED, problem=WENT_SILENT)
        reckoning.refresh_from_db()
    return reckoning


def reckoning_now(pk):
    """Return a reckoning as it stands, raises Reckoning.DoesNotExist."""
    rows = Reckoning.objects.select_related("taxon", "locality", "asked_by")
    return _settled(rows.get(pk=pk))


def ask(question, by):
    """Have a question answered in its turn, and return the reckoning; the same one if it is open.

    Where no worker is set up it is done before this returns.
    """
    Reckoning.objects.filter(asked_at__lt=timezone.now() - KEPT).delete()
    last = question.last()
    if last and last.is_open:
        return last
    try:
        with transaction.atomic():
            reckoning = _entered(question, by)
    except IntegrityError:  # somebody asked for the same in this moment
        return question.last()
    reckon.enqueue(reckoning.pk, get_language())
    reckoning.refresh_from_db()
    return reckoning


def _entered(question, by):
    line, now = question.census.line, timezone.now()
    return Reckoning.objects.create(
        kind=question.kind,
        taxon=line.taxon,
        locality=line.locality,
        day=question.on,
        asked=question.asked,
        told=question.told,
        asked_by=by,
        asked_at=now,
        heard_at=now,
    )


@task
def reckon(pk, language=settings.LANGUAGE_CODE):
    """Do one reckoning that waits, and keep what comes of it, in the language it was asked in."""
    with translation.override(language):
        _reckon(pk)


def _reckon(pk):
    waiting = Reckoning.objects.filter(pk=pk, state=ReckoningState.WAITING)
    if not waiting.update(state=ReckoningState.RUNNING, heard_at=timezone.now()):
        return
    try:
        result = _answer(Reckoning.objects.select_related("taxon", "locality").get(pk=pk))
    except GivenUp:
        return
    except Exception:
        log.exception("Reckoning %s failed", pk)
        problem = tell("It failed; the log of the site says why. Nothing else was changed.")
        _end(pk, ReckoningState.FAILED, problem=problem)
        raise
    _end(pk, ReckoningState.DONE, result=result)


class GivenUp(Exception):
    """Nobody waits for this reckoning any more."""


def _answer(reckoning):
    census = Census(Line(taxon=reckoning.taxon, locality=reckoning.locality))
    act = import_string(KINDS[reckoning.kind])
    return act(census, reckoning.day, reckoning.asked, _Progress(reckoning.pk))


class _Progress:
    """Tells how far a reckoning has come, once a second at most; stops one that was given up."""

    def __init__(self, pk):
        self.pk = pk
        self.told_at = timezone.now() - BETWEEN

    def __call__(self, done, whole):
        now = timezone.now()
        if now - self.told_at < BETWEEN:
            return
        self.told_at = now
        mine = Reckoning.objects.filter(pk=self.pk, state=ReckoningState.RUNNING)
        if not mine.update(done=done, whole=whole, heard_at=now):
            raise GivenUp


def stop(reckoning):
    """Give up a reckoning that is still open."""
    return _end(reckoning.pk, ReckoningState.FAILED, problem=tell("It was stopped."))


def _end(pk, state, **what):
    """Close a reckoning that is open, and return whether it was."""
    now = timezone.now()
    open_ones = Reckoning.objects.filter(pk=pk, state__in=["waiting", "running"])
    return open_ones.update(state=state, ended_at=now, heard_at=now, **what)
