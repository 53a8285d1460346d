"""The register's data: dated facts about animals, places and papers."""

from .animals import (
    Animal,
    Basis,
    Belief,
    Mark,
    MarkKind,
    Sex,
    SexFinding,
    Sexing,
    SourceCode,
    SourceGroup,
    conclude,
)
from .breeding import (
    Candidate,
    Clutch,
    ClutchPart,
    Descent,
    DescentBasis,
    Loss,
    Pairing,
    Role,
    Stage,
    StageCount,
)
from .comings import (
    DUE,
    Arrival,
    ArrivalKind,
    ArrivalMember,
    Departure,
    DepartureKind,
    Missing,
    Outing,
    Paper,
    PaperKind,
)
from .dates import Precision
from .facts import Fact
from .one_of_these import OneOfThese, What
from .parties import Holding, Party, PartyKind
from .places import Disinfection, Enclosure, ThingsMoved, Unit, UnitRole
from .proofs import Proof
from .reckonings import Reckoning, ReckoningState
from .register import LineKind, RegisterLine, WrittenForGood
from .saved import SavedFilter
from .stays import Answer, Breach, Lasting, Observation, ObservationKind, Stay
from .taxa import AnimalClass, Grouping, Locality, LocalityPrecision, Taxon

__all__ = [
    "DUE",
    "Animal",
    "AnimalClass",
    "Answer",
    "Arrival",
    "ArrivalKind",
    "ArrivalMember",
    "Basis",
    "Belief",
    "Breach",
    "Candidate",
    "Clutch",
    "ClutchPart",
    "Departure",
    "DepartureKind",
    "Descent",
    "DescentBasis",
    "Disinfection",
    "Enclosure",
    "Fact",
    "Grouping",
    "Holding",
    "Lasting",
    "LineKind",
    "Locality",
    "LocalityPrecision",
    "Loss",
    "Mark",
    "MarkKind",
    "Missing",
    "Observation",
    "ObservationKind",
    "OneOfThese",
    "Outing",
    "Pairing",
    "Paper",
    "PaperKind",
    "Party",
    "PartyKind",
    "Precision",
    "Proof",
    "Reckoning",
    "ReckoningState",
    "RegisterLine",
    "Role",
    "SavedFilter",
    "Sex",
    "SexFinding",
    "Sexing",
    "SourceCode",
    "SourceGroup",
    "Stage",
    "StageCount",
    "Stay",
    "Taxon",
    "ThingsMoved",
    "Unit",
    "UnitRole",
    "What",
    "WrittenForGood",
    "conclude",
]
