"""What the clock answers: day zero, what is unmet, what is due, what is waited for.

Every unmet point has a ``point``: a tuple of texts that says which point it is and stays the same
while its figures move, so that a signature can list it and be compared with later evidence.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from quarantine.protocols import Verdict

type Point = tuple[str, ...]


class Cause(StrEnum):
    """Why the days count from a day."""

    OPENED = "opened"
    ADDED = "added"
    ADDED_TO_UNIT = "added to unit"
    POSITIVE = "positive"
    COURSE = "course"
    DEATH = "death"
    DEATH_OF_ONE = "death of one of several"
    MISSING = "missing"
    MET = "met"


@dataclass(frozen=True, kw_only=True, slots=True)
class Start:
    """The days count from ``day`` because of the fact ``key``.

    ``who`` are the animals it happened to; ``what`` is the assay or the unit; ``met`` the held
    animal that was met; ``batch`` where it happened (another part of a split may count).
    ``since`` is the day of the fact, for a course that of the positive it cures, for a meeting the
    first day.
    """

    day: date
    cause: Cause
    key: str
    batch: str
    who: tuple[str, ...] = ()
    what: str = ""
    met: str = ""
    since: date


@dataclass(frozen=True, kw_only=True, slots=True)
class TooEarly:
    """The least number of days is over on ``until``, and release can be signed on that day."""

    until: date

    @property
    def point(self) -> Point:
        return ("time",)


@dataclass(frozen=True, kw_only=True, slots=True)
class NegativesMissing:
    """A member has ``counted`` of the ``asked`` negatives of a test.

    ``next_sample`` is the first day its next sample may be taken (``None`` when only a result is
    waited for), ``ready`` the day the test is forecast to be met.
    """

    assay: str
    member: str
    counted: int
    asked: int
    next_sample: date | None
    ready: date

    @property
    def point(self) -> Point:
        return ("negatives", self.assay, self.member)


@dataclass(frozen=True, kw_only=True, slots=True)
class MembersMissing:
    """Of a test of k members, ``counted`` have met it and ``asked`` must."""

    assay: str
    counted: int
    asked: int
    next_sample: date | None
    ready: date

    @property
    def point(self) -> Point:
        return ("members", self.assay)


@dataclass(frozen=True, kw_only=True, slots=True)
class VerdictMissing:
    """A positive bars release until somebody, or the veterinarian, decides."""

    sample: str
    result: str
    assay: str
    taken: date
    who: tuple[str, ...]
    verdict: Verdict | None

    @property
    def point(self) -> Point:
        return ("verdict", self.sample, self.assay)


@dataclass(frozen=True, kw_only=True, slots=True)
class CourseRunning:
    """A course bars release up to and including its (expected) last dose."""

    course: str
    against: tuple[str, ...]
    last_dose: date

    @property
    def point(self) -> Point:
        return ("course", self.course)


@dataclass(frozen=True, kw_only=True, slots=True)
class WeightMissing:
    """A weight is asked and none is recorded in this isolation."""

    member: str

    @property
    def point(self) -> Point:
        return ("weight", self.member)


@dataclass(frozen=True, kw_only=True, slots=True)
class WeightLost:
    """A member weighs less than the protocol allows, against its first weight here (grams)."""

    member: str
    first: Decimal
    latest: Decimal

    @property
    def point(self) -> Point:
        return ("weight", self.member)


@dataclass(frozen=True, kw_only=True, slots=True)
class NotSeenToEat:
    """A member was last seen to eat too long ago, or never."""

    member: str
    last_seen: date | None

    @property
    def point(self) -> Point:
        return ("eating", self.member)


@dataclass(frozen=True, kw_only=True, slots=True)
class SignOpen:
    """A member shows a sign of illness that is not recorded gone."""

    member: str
    sign: str
    what: str
    since: date

    @property
    def point(self) -> Point:
        return ("sign", self.sign)


@dataclass(frozen=True, kw_only=True, slots=True)
class NeverReleased:
    """The protocol releases nobody."""

    @property
    def point(self) -> Point:
        return ("never",)


@dataclass(frozen=True, kw_only=True, slots=True)
class NobodyLiving:
    """Nobody of the batch is living and still in it."""

    @property
    def point(self) -> Point:
        return ("nobody",)


type Unmet = (
    TooEarly
    | NegativesMissing
    | MembersMissing
    | VerdictMissing
    | CourseRunning
    | WeightMissing
    | WeightLost
    | NotSeenToEat
    | SignOpen
    | NeverReleased
    | NobodyLiving
)


@dataclass(frozen=True, kw_only=True, slots=True)
class Due:
    """A sample of ``members`` (of an enclosure, where the test is per enclosure) is due.

    ``day`` is the first day on which it counts, today at the earliest.
    """

    assay: str
    day: date
    members: tuple[str, ...]
    enclosure: str | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Awaited:
    """A sample was taken and its result is not reported; ``expected`` is the forecast day.

    ``promised`` is the day it was to come by: that of the sample and the laboratory days. After it
    the result is late, while the forecast goes on from tomorrow.
    """

    sample: str
    assay: str
    taken: date
    members: tuple[str, ...]
    enclosure: str | None
    expected: date
    promised: date


@dataclass(frozen=True, kw_only=True, slots=True)
class Reading:
    """What the clock of a batch shows on a day.

    ``zero`` is day zero as it stands and why; ``expected_zero`` is where it will be once a running
    course against a restarting positive is over, else the same. ``starts`` are all the days the
    count began, oldest first. ``best`` is the forecast, ``None`` for the reasons in ``barred_by``.
    """

    batch: str
    day: date
    zero: Start
    expected_zero: Start
    starts: tuple[Start, ...]
    living: tuple[str, ...]
    unmet: tuple[Unmet, ...]
    due: tuple[Due, ...]
    awaited: tuple[Awaited, ...]
    best: date | None

    @property
    def possible(self) -> bool:
        """Whether release can be signed on this day."""
        return not self.unmet

    @property
    def barred_by(self) -> tuple[Unmet, ...]:
        """The points for which there is no forecast."""
        unforeseen = VerdictMissing | NeverReleased | NobodyLiving
        return tuple(point for point in self.unmet if isinstance(point, unforeseen))
