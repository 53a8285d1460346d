"""A sample round: a whole batch is swabbed, pooled or sampled by enclosure in one act."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils import timezone

from registry.lifetime import NotOnThatDay, refuse_ahead, refuse_away
from registry.models import Animal, Enclosure, Party, Stay
from registry.phrases import written
from registry.telling import tell

from .models import Assay, Sample
from .refusals import ActRefused

POOLED = 5  # laboratories pool up to about five swabs


@dataclass(frozen=True, kw_only=True)
class Round:
    """What was taken on a day: each animal's own sample, pools of several, whole enclosures."""

    day: date
    assays: tuple[Assay, ...]
    singly: tuple[Animal, ...] = ()
    pools: tuple[tuple[Animal, ...], ...] = ()
    enclosures: tuple[Enclosure, ...] = ()
    laboratory: Party | None = None
    label: str = ""
    note: str = ""

    @property
    def subjects(self):
        """Each thing sampled: a tuple of animals, or an enclosure."""
        return [*((a,) for a in self.singly), *self.pools, *self.enclosures]


@transaction.atomic
def enter_round(taken, *, by, at=None):
    """Enter every sample of a round, or none."""
    moment = at or timezone.now()
    _refuse(taken, moment)
    several = len(taken.subjects) > 1
    samples = []
    for assay in taken.assays:
        for number, subject in enumerate(taken.subjects, 1):
            label = f"{taken.label}-{number}" if several and taken.label else taken.label
            samples.append(_sample(taken, assay, subject, label, by, moment))
    return samples


def _sample(taken, assay, subject, label, by, moment):
    enclosure = subject if isinstance(subject, Enclosure) else None
    sample = Sample.objects.create(
        assay=assay,
        day=taken.day,
        enclosure=enclosure,
        laboratory=taken.laboratory,
        label=label,
        note=taken.note,
        entered_at=moment,
        entered_by=by,
    )
    if enclosure is None:
        sample.animals.set(subject)
    return sample


def _refuse(taken, moment):
    if not taken.assays:
        raise ActRefused(tell("Choose what is tested for."), "assays")
    if not taken.subjects:
        raise ActRefused(tell("Choose whom or where the samples are from."), "animals")
    try:
        refuse_ahead(taken.day, moment)
    except NotOnThatDay as problem:
        raise ActRefused(str(problem), "day") from problem
    for animal in (a for some in (taken.singly, *taken.pools) for a in some):
        refuse_animal(animal, taken.day)
    for enclosure in taken.enclosures:
        refuse_empty(enclosure, taken.day)


def refuse_animal(animal, day):
    """A sample is of an animal here and alive; what is taken of the dead is a necropsy's."""
    try:
        refuse_away(animal, day)
    except NotOnThatDay as problem:
        raise ActRefused(
            tell(
                "No sample of {animal} on {day}: {problem}",
                animal=animal,
                day=written(day),
                problem=problem,
            ),
            "day",
        ) from problem


def refuse_empty(enclosure, day):
    """A sample of an enclosure stands for whoever stayed there that day, so for somebody."""
    if not Stay.objects.current().touching(day).filter(enclosure=enclosure).exists():
        text = tell(
            "Nobody stayed in {enclosure} on {day}, so the sample is of nobody.",
            enclosure=enclosure,
            day=written(day),
        )
        raise ActRefused(text, "enclosures")


def in_pools(animals, size=POOLED):
    """Return animals in pools of at most so many, in order."""
    animals = list(animals)
    return tuple(tuple(animals[i : i + size]) for i in range(0, len(animals), size))


def covered(sample):
    """Return the animals a sample covers: those it names, or who stayed where it was taken."""
    named = list(sample.animals.all())
    if named or sample.enclosure_id is None:
        return named
    stays = Stay.objects.current().touching(sample.day).filter(enclosure=sample.enclosure)
    return sorted({s.animal for s in stays.select_related("animal") if s.animal}, key=str)
