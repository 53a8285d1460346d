"""What the register's doors may refuse with a sentence of their own."""

from .codes import CodesTaken
from .contradictions import Contradiction
from .correcting import WhyMissing
from .finding import WrongSexForBasis
from .laying import CountRefused
from .lifetime import NotOnThatDay
from .missing import AlreadyMissing, ReasonWanted
from .mixing import MixRefused
from .models.facts import AlreadyReplaced
from .owning import OwnerRefused
from .pairing import AlreadyPaired
from .parentage import StatementRefused
from .separating import SeparationRefused
from .unsettled import AmongRefused

REFUSALS = (
    AlreadyMissing,
    AlreadyPaired,
    AlreadyReplaced,
    AmongRefused,
    CodesTaken,
    Contradiction,
    CountRefused,
    MixRefused,
    NotOnThatDay,
    OwnerRefused,
    ReasonWanted,
    SeparationRefused,
    StatementRefused,
    WhyMissing,
    WrongSexForBasis,
)
