"""Who would be together, in words: males, females and unsexed, day by day."""

from dataclasses import dataclass
from datetime import date

from .listing import notation
from .phrases import in_a_row


@dataclass(frozen=True, kw_only=True)
class Gathering:
    """Everyone together in an enclosure from a day on."""

    day: date
    notation: str
    joined: tuple
    newcomers: tuple

    @property
    def words(self):
        """Say who joins whom."""
        if not self.joined:
            alone = "alone" if len(self.newcomers) == 1 else "together"
            return f"{in_a_row(self.newcomers)} {alone}"
        verb = "joins" if len(self.newcomers) == 1 else "join"
        return f"{in_a_row(self.newcomers)} {verb} {in_a_row(self.joined)}"


def gathered(placement):
    """Return who would be together on each day on which the company changes."""
    movers = {*placement.animals, *placement.clutches}
    return [
        Gathering(
            day=company.day,
            notation=notation(placement.herd.sexing(a) for a in company.animals),
            joined=tuple(o for o in (*company.animals, *company.clutches) if o not in movers),
            newcomers=tuple(sorted(movers, key=str)),
        )
        for company in placement.companies
    ]
