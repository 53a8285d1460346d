"""What a quarantine asks: tests, protocols, the four that are shipped, and why one cannot work.

Days are whole days counted from day zero (day zero is day 0). The shipped figures are a starting
point; a veterinarian and local rules come first.

Sources: at least 30 days for any class and a new start at every addition (AZA accreditation
text, 2007); 60 days for new frogs, and release only when tests, feeding, weight and behaviour all
agree (Taronga Zoo / Amphibian Ark biosecurity slides, McFadden); Bd and ranavirus by PCR for all
incoming amphibians, Bsal for tailed ones (Exotic Animal Formulary, 5th ed.).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Verdict(StrEnum):
    """What a positive result means for the batch; no verdict yet is written ``None``."""

    ACCEPTED = "accepted"
    TEST_AGAIN = "test again"
    ALL_AGAIN = "all again"
    VETERINARIAN = "veterinarian"


class Scope(StrEnum):
    """Whose additions start the days again: the batch's own, or also its unit's."""

    BATCH = "batch"
    UNIT = "unit"


class Per(StrEnum):
    """Whom one sample of a test has to stand for."""

    ANIMAL = "animal"
    ENCLOSURE = "enclosure"


@dataclass(frozen=True, kw_only=True, slots=True)
class Assay:
    """A kind of test, and what a positive means until somebody decides (``None``: it waits)."""

    code: str
    name: str
    positive_means: Verdict | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Test:
    """One line of a protocol: ``negatives`` samples, ``gap`` days apart, in their own time.

    The first sample is from day zero + ``first_from``, the last from day zero + ``last_from``.
    ``members_asked`` is k where k of a large batch are tested, else ``None`` for all.
    """

    assay: str
    negatives: int = 1
    gap: int = 0
    first_from: int = 0
    last_from: int = 0
    per: Per = Per.ANIMAL
    members_asked: int | None = None
    tailed_only: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class Protocol:
    """How long a batch waits and what it must show; ``releases`` is False where nobody ever may go.

    ``weight_loss_percent`` is the most that may be lost of the first weight, ``eaten_within_days``
    how long ago the last meal may be; each of the three conditions is left out when not given.
    ``washout_days`` follow the last dose of a course against the agent of a test.
    """

    name: str
    min_days: int
    tests: tuple[Test, ...] = ()
    scope: Scope = Scope.BATCH
    weight_loss_percent: Decimal | None = None
    eaten_within_days: int | None = None
    no_open_sign: bool = False
    laboratory_days: int = 7
    washout_days: int = 14
    releases: bool = True


BD = Assay(code="bd-pcr", name="Bd PCR", positive_means=Verdict.ALL_AGAIN)
BSAL = Assay(code="bsal-pcr", name="Bsal PCR", positive_means=Verdict.VETERINARIAN)
RANAVIRUS = Assay(code="ranavirus-pcr", name="ranavirus PCR", positive_means=Verdict.VETERINARIAN)
FAECAL = Assay(code="faecal", name="faecal")
ASSAYS = (BD, BSAL, RANAVIRUS, FAECAL)
