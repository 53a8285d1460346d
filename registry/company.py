"""Who would be together, in words: males, females and unsexed, day by day."""

from dataclasses import dataclass
from datetime import date

from .listing import notation
from .phrases import in_a_row
from .telling import tell_many


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
        told = {"names": in_a_row(self.newcomers), "others": in_a_row(self.joined)}
        if not self.joined:
            return tell_many("{names} alone", "{names} together", len(self.newcomers), **told)
        return tell_many(
            "{names} joins {others}", "{names} join {others}", len(self.newcomers), **told
        )


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
