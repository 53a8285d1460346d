"""What a quarantine asks: tests, protocols, the four that are shipped, and why one cannot work.

Days are whole days counted from day zero (day zero is day 0). The shipped figures are a starting
point; a veterinarian and local rules come first.

Sources: at least 30 days for any class and a new start at every addition (AZA accreditation
text, 2007); 60 days for new frogs, and release only when tests, feeding, weight and behaviour all
agree (Taronga Zoo / Amphibian Ark biosecurity slides, McFadden); Bd and ranavirus by PCR for all
incoming amphibians, Bsal for tailed ones (Exotic Animal Formulary, 5th ed.); two faecals two weeks
apart (a kea husbandry manual), three (a zoo's text); 60-90 days are what private keepers of
reptiles and amphibians wait. What else is in the figures is our own inference.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from registry.telling import tell


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

    __test__ = False  # a word of the trade; nothing for a test runner to collect


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


def _asks(assay: Assay, negatives: int, gap: int, first_from: int, last_from: int, **more) -> Test:
    return Test(
        assay=assay.code,
        negatives=negatives,
        gap=gap,
        first_from=first_from,
        last_from=last_from,
        per=Per.ENCLOSURE if assay is FAECAL else Per.ANIMAL,
        **more,
    )


IMPORT = Protocol(
    name="import, wild-caught or unknown route",
    min_days=90,
    tests=(
        _asks(BD, 2, 14, 0, 45),
        _asks(RANAVIRUS, 1, 0, 14, 14),
        _asks(FAECAL, 3, 14, 0, 28),
        _asks(BSAL, 2, 14, 0, 45, tailed_only=True),
    ),
)
CAPTIVE_BRED = Protocol(
    name="captive-bred, known tested collection",
    min_days=60,
    tests=(
        _asks(BD, 1, 0, 14, 14),
        _asks(RANAVIRUS, 1, 0, 14, 14),
        _asks(FAECAL, 2, 14, 0, 14),
    ),
)
RESIDENT = Protocol(
    name="exposed or sick resident",
    min_days=60,
    tests=(_asks(BD, 2, 14, 14, 28), _asks(RANAVIRUS, 2, 14, 14, 28)),
)
REPTILE = Protocol(name="reptile", min_days=90, tests=(_asks(FAECAL, 2, 14, 0, 60),))

SHIPPED = (IMPORT, CAPTIVE_BRED, RESIDENT, REPTILE)


class ImpossibleProtocol(Exception):
    """A protocol contradicts itself; ``sentences`` say how, one for each contradiction."""

    def __init__(self, sentences: Sequence[str]):
        self.sentences = tuple(sentences)
        super().__init__(" ".join(sentences))


def refuse_impossible(protocol: Protocol) -> None:
    """Raise :class:`ImpossibleProtocol` if a protocol contradicts itself.

    >>> refuse_impossible(Protocol(name="short", min_days=20, tests=(
    ...     Test(assay="bd-pcr", negatives=3, gap=14),)))
    Traceback (most recent call last):
    quarantine.protocols.ImpossibleProtocol: bd-pcr: 3 negatives, 14 days apart and the first from
    day 0, need 28 days; the protocol lasts 20.
    """
    if sentences := list(contradictions(protocol)):
        raise ImpossibleProtocol(sentences)


def contradictions(protocol: Protocol) -> Iterator[str]:
    """Yield a sentence for each thing in a protocol that cannot be."""
    yield from _impossible_days(protocol)
    yield from _impossible_conditions(protocol)
    assays = [test.assay for test in protocol.tests]
    for assay in sorted({assay for assay in assays if assays.count(assay) > 1}):
        yield tell("{assay} is asked twice; put both into one line.", assay=assay)
    for test in protocol.tests:
        wrong = list(_impossible_figures(test)) or _impossible_times(test, protocol.min_days)
        yield from (f"{test.assay}: {sentence}" for sentence in wrong)


def _impossible_days(protocol: Protocol) -> Iterator[str]:
    if not protocol.name.strip():
        yield tell("A protocol needs a name.")
    if protocol.min_days < 0:
        yield tell("A protocol cannot last less than 0 days.")
    if protocol.laboratory_days < 1:
        yield tell("A laboratory takes at least one day.")
    if protocol.washout_days < 0:
        yield tell("A washout cannot last less than 0 days.")


def _impossible_conditions(protocol: Protocol) -> Iterator[str]:
    percent = protocol.weight_loss_percent
    if percent is not None and not 0 <= percent < 100:
        yield tell("The weight that may be lost is from 0 to under 100 percent.")
    if protocol.eaten_within_days is not None and protocol.eaten_within_days < 0:
        yield tell("The days since the last meal cannot be less than 0.")


def _impossible_figures(test: Test) -> Iterator[str]:
    if test.negatives < 1:
        yield tell("a test asks at least one negative.")
    if test.gap < 0:
        yield tell("samples cannot be less than 0 days apart.")
    if test.negatives > 1 and test.gap == 0:
        yield tell(
            "{negatives} negatives need at least one day between two samples.",
            negatives=test.negatives,
        )
    if test.first_from < 0:
        yield tell("the first sample cannot be due before day zero.")
    if test.last_from < test.first_from:
        yield (
            tell(
                "the last sample (from day {last_from}) cannot be due before the "
                "first (from day {first_from}).",
                last_from=test.last_from,
                first_from=test.first_from,
            )
        )
    if test.members_asked is not None and test.members_asked < 1:
        yield tell("a test of some of the batch asks at least one animal.")


def _impossible_times(test: Test, min_days: int) -> Iterator[str]:
    needed = test.first_from + (test.negatives - 1) * test.gap
    if needed > min_days:
        yield (
            tell(
                "{negatives} negatives, {gap} days apart and the first from day "
                "{first_from}, need {needed} days; the protocol lasts {min_days}.",
                negatives=test.negatives,
                gap=test.gap,
                first_from=test.first_from,
                needed=needed,
                min_days=min_days,
            )
        )
    elif test.last_from > min_days:
        yield (
            tell(
                "the last sample is due from day {last_from}; the protocol lasts {min_days} days.",
                last_from=test.last_from,
                min_days=min_days,
            )
        )
