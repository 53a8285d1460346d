"""The facts a batch is judged by, and which of them count on a day.

Every fact has a ``key`` that no other fact of the same :class:`Facts` has, the day it is about,
the day it was ``entered``, and may name in ``replaces`` the key of the entry it corrects. The end
of something that lasts has an entry day of its own; where none is given it is that of the fact.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from quarantine.protocols import ASSAYS, Assay, Protocol, Verdict


class Coming(StrEnum):
    """How an animal came into a batch; only an addition starts the days again."""

    ADDED = "added"
    BORN = "born"
    PARTED = "parted"


class Outcome(StrEnum):
    """What the laboratory wrote."""

    NEGATIVE = "negative"
    POSITIVE = "positive"
    INCONCLUSIVE = "inconclusive"


@dataclass(frozen=True, kw_only=True, slots=True)
class Opening:
    """A batch opens on the stated day under its own copy of a protocol.

    A part without an opening of its own keeps the one of the batch it was split from.
    """

    key: str
    batch: str
    day: date
    protocol: Protocol
    entered: date
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Membership:
    """An animal is in a batch from ``joined`` up to, not including, the day it left alive.

    ``joined`` is its arrival, exposure, addition, birth or split. A death does not end a
    membership.
    """

    key: str
    batch: str
    member: str
    joined: date
    entered: date
    came: Coming = Coming.ADDED
    tailed: bool = False
    left: date | None = None
    left_entered: date | None = None
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Split:
    """The animals of ``part`` left the batch ``whole`` on a day to be a batch of their own.

    Each of them has a membership of ``whole`` that ended on that day and one of ``part`` that
    began on it and came by :attr:`Coming.PARTED`.
    """

    key: str
    whole: str
    part: str
    day: date
    entered: date
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Stay:
    """A member is in an enclosure of a unit from ``first`` up to, not including, ``last``.

    A stay begun and ended on one day counts as that day.
    """

    key: str
    member: str
    enclosure: str
    unit: str
    first: date
    entered: date
    last: date | None = None
    last_entered: date | None = None
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class UnitArrival:
    """An animal came from outside into a unit; moves inside, births and outings are none."""

    key: str
    unit: str
    animal: str
    day: date
    entered: date
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Sample:
    """A sample of named animals, or of an enclosure and whoever stayed there, for some assays.

    Where animals are named, the enclosure only says where they were.
    """

    key: str
    taken: date
    assays: tuple[str, ...]
    entered: date
    members: frozenset[str] = frozenset()
    enclosure: str | None = None
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Result:
    """What the laboratory reported of one assay of one sample, and what a positive means here.

    ``sample`` may be the key of any entry of that sample, corrected or not. ``verdict`` is the one
    given, ``None`` where the assay's own holds; giving one later is a correction.
    """

    key: str
    sample: str
    assay: str
    outcome: Outcome
    reported: date
    entered: date
    verdict: Verdict | None = None
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Course:
    """A treatment of the whole batch; ``against`` are the assays that look for its agents.

    Without a last dose it is running. A course begun before a split goes on in both parts.
    """

    key: str
    batch: str
    against: frozenset[str]
    first_dose: date
    entered: date
    planned_last: date | None = None
    last_dose: date | None = None
    last_entered: date | None = None
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Death:
    """An animal died.

    ``event`` is that of the death of one of several which this death was settled from.
    """

    key: str
    member: str
    day: date
    entered: date
    event: str = ""
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class OneOf:
    """One of ``members`` died, or left alive where ``died`` is False; which one is open.

    ``event`` is the same for every entry about it; once it is settled this entry is taken back.
    """

    key: str
    event: str
    members: tuple[str, ...]
    day: date
    entered: date
    died: bool = True
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Missing:
    """An animal was not found; after 7 days it counts as dead until found."""

    key: str
    member: str
    since: date
    entered: date
    found: date | None = None
    found_entered: date | None = None
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Necropsy:
    """What a necropsy says of a death, counted from the death on.

    ``accepted`` is True for an accepted cause, and for a veterinarian's word that none can be
    found. A positive found in the carcass is a :class:`Sample` dated on the death. Of one of
    several that died it names the ``event`` instead of a member.
    """

    key: str
    member: str = ""
    event: str = ""
    accepted: bool
    entered: date
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Meeting:
    """A member met an animal held for another reason than having met this batch.

    ``last`` is the last day they met, included; without one they still meet.
    """

    key: str
    member: str
    other: str
    first: date
    entered: date
    last: date | None = None
    last_entered: date | None = None
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Weight:
    """What an animal weighed, in grams."""

    key: str
    member: str
    day: date
    grams: Decimal
    entered: date
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Meal:
    """An animal was seen to eat, or refused food."""

    key: str
    member: str
    day: date
    eaten: bool
    entered: date
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Sign:
    """An animal shows a sign of illness from ``first`` until the day it is recorded gone."""

    key: str
    member: str
    what: str
    first: date
    entered: date
    gone: date | None = None
    gone_entered: date | None = None
    replaces: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Withdrawal:
    """An entry is taken back and nothing put in its place."""

    key: str
    entered: date
    replaces: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Facts:
    """All that bears on one batch: its own facts and those of every batch split from or before it.

    ``samples`` are all that name a member or were taken in an enclosure where one stayed.
    ``assays`` are the kinds of test the keeper knows, for the default verdict of a positive.
    """

    batch: str
    openings: tuple[Opening, ...]
    memberships: tuple[Membership, ...] = ()
    splits: tuple[Split, ...] = ()
    stays: tuple[Stay, ...] = ()
    unit_arrivals: tuple[UnitArrival, ...] = ()
    samples: tuple[Sample, ...] = ()
    results: tuple[Result, ...] = ()
    courses: tuple[Course, ...] = ()
    deaths: tuple[Death, ...] = ()
    one_of: tuple[OneOf, ...] = ()
    missing: tuple[Missing, ...] = ()
    necropsies: tuple[Necropsy, ...] = ()
    meetings: tuple[Meeting, ...] = ()
    weights: tuple[Weight, ...] = ()
    meals: tuple[Meal, ...] = ()
    signs: tuple[Sign, ...] = ()
    withdrawals: tuple[Withdrawal, ...] = ()
    assays: tuple[Assay, ...] = ASSAYS
