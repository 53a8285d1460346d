"""Facts of small lives for the tests of contacts and standings; day 1 is 1 January 2026."""

from datetime import date, timedelta

from quarantine.facts import Arrival, Clearance, Facts, Stay
from quarantine.standing import standings

START = date(2026, 1, 1)


def on(number):
    """The day with this number."""
    return START + timedelta(days=number - 1)


def number(day):
    """The number of a day."""
    return (day - START).days + 1


def stay(who, enclosure, start, end=None, **more):
    """A stay, its days given by number."""
    return Stay(who=who, enclosure=enclosure, start=on(start), end=end and on(end), **more)


def arrival(*who, day, key=""):
    """An arrival, named after its day unless said otherwise."""
    return Arrival(who=who, day=on(day), key=key or f"arrival of day {day}")


def resident(*who, day=1):
    """Facts of animals cleared on the day they are registered."""
    return Facts(arrivals=(arrival(*who, day=day),), clearances=(Clearance(who=who, day=on(day)),))


def together(*parts):
    """All facts of several lots of facts."""
    kinds = Facts.__dataclass_fields__
    return Facts(**{k: tuple(row for part in parts for row in getattr(part, k)) for k in kinds})


def found(*parts, persistence=200):
    """The standings that follow from several lots of facts."""
    return standings(together(*parts), persistence)


def held_from(standing, who):
    """The day numbers on which one's holds begin, that of a clearance on the same day left out."""
    return [
        number(span.start)
        for span in standing.history(who)
        if span.state == "held" and not (span.start == span.end and span.ended == "clearance")
    ]


def states(standing, who, days):
    """What one is on each of these days."""
    return [(now := standing.on(who, on(day))) and now.state for day in days]


def visited(until=5, **more):
    """Newcomer N comes to resident R in E1 on day 3 and goes to Q on day ``until``."""
    return together(
        resident("R"),
        Facts(
            arrivals=(arrival("N", day=2),),
            stays=(
                stay("R", "E1", 1),
                stay("N", "Q", 2, 3),
                stay("N", "E1", 3, until),
                stay("N", "Q", until),
            ),
            **more,
        ),
    )
