"""Necropsies: what was found of a death, or that a veterinarian finds nothing."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils import timezone

from registry.models import DepartureKind, OneOfThese, Party
from registry.phrases import one_of, written
from registry.telling import tell

from .models import Assay, Necropsy, Outcome, Result, Sample
from .refusals import ActRefused


@dataclass(frozen=True, kw_only=True)
class Finding:
    """What a necropsy reports: the cause, whether it is accepted, what tested positive."""

    day: date
    cause: str = ""
    accepted: bool = False
    none_can_be_found: bool = False
    veterinarian: Party | None = None
    positive: tuple[Assay, ...] = ()
    verdict: str = ""


@transaction.atomic
def enter_necropsy(death, finding, *, by, at=None):
    """Enter a necropsy; each positive in it is a sample of the carcass, dated on the death.

    The death is a departure, or what happened to one of several while that is not settled.
    """
    moment = at or timezone.now()
    refuse(death, finding, timezone.localdate(moment))
    necropsy = Necropsy.objects.create(
        **_of(death),
        day=finding.day,
        cause=finding.cause.strip(),
        accepted=finding.accepted,
        none_can_be_found=finding.none_can_be_found,
        veterinarian=finding.veterinarian,
        entered_at=moment,
        entered_by=by,
    )
    for assay in finding.positive:
        _positive(death, assay, finding, by, moment)
    return necropsy


def _of(death):
    """Return what a necropsy is tied to."""
    return {"one_of" if isinstance(death, OneOfThese) else "death": death}


def dead_of(death):
    """Return the animal that died, or those of which it was one."""
    return death.among() if isinstance(death, OneOfThese) else [death.animal]


def _positive(death, assay, finding, by, moment):
    entry = {"entered_at": moment, "entered_by": by}
    several = death if isinstance(death, OneOfThese) else death.one_of
    told = {"assay": assay, "day": death.day, "one_of": several}
    sample = Sample.objects.create(carcass=True, **told, **entry)
    sample.animals.set(dead_of(death))
    Result.objects.create(
        sample=sample,
        day=finding.day,
        outcome=Outcome.POSITIVE,
        verdict=finding.verdict,
        note=tell("Found in the necropsy."),
        **entry,
    )


def refuse(death, finding, today):
    """Refuse a finding that cannot have been made like that."""
    several = isinstance(death, OneOfThese)
    kind = death.what if several else death.kind
    if kind != DepartureKind.DEATH or death.superseded_at or death.void:
        raise ActRefused(tell("A necropsy is of a death on record."))
    if several and (settled := death.settlement()):
        raise ActRefused(
            tell(
                "It is settled on {animal}; enter the necropsy of that one.", animal=settled.animal
            )
        )
    if finding.day < death.day:
        who = one_of(dead_of(death))
        text = tell(
            "{who} died on {day}; it was not examined before.", who=who, day=written(death.day)
        )
        raise ActRefused(text, "day")
    if finding.day > today:
        raise ActRefused(tell("{day} is still to come.", day=written(finding.day)), "day")
    if finding.accepted and not finding.cause.strip() and not finding.none_can_be_found:
        raise ActRefused(tell("Name the cause that is accepted."), "cause")
    if finding.none_can_be_found and finding.veterinarian is None:
        raise ActRefused(tell("Name the veterinarian who says so."), "veterinarian")
    if finding.verdict and not finding.positive:
        raise ActRefused(tell("A verdict is of a positive; say what was positive."), "verdict")


def carcass_is_of(event, animals, by, why, at):
    """Let what was found in the carcass of one of several be of those it is of now."""
    for sample in Sample.objects.current().filter(one_of__in=event.entries()):
        sample.corrected(by=by, why=why, at=at).animals.set(animals)
