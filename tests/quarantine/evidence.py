"""Short ways to write the facts of a batch; a test names only the values it is about."""

from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from itertools import count

from quarantine.evidence import (
    Coming,
    Course,
    Death,
    Facts,
    Meal,
    Meeting,
    Membership,
    Missing,
    Necropsy,
    Opening,
    Outcome,
    Result,
    Sample,
    Sign,
    Split,
    Stay,
    UnitArrival,
    Weight,
    Withdrawal,
)
from quarantine.protocols import Protocol, Test

NUMBERS = count(1)
FIELDS = {
    Opening: "openings",
    Membership: "memberships",
    Split: "splits",
    Stay: "stays",
    UnitArrival: "unit_arrivals",
    Sample: "samples",
    Result: "results",
    Course: "courses",
    Death: "deaths",
    Missing: "missing",
    Necropsy: "necropsies",
    Meeting: "meetings",
    Weight: "weights",
    Meal: "meals",
    Sign: "signs",
    Withdrawal: "withdrawals",
}
OPENED = "2 Mar"


def on(text: str) -> date:
    """Read "2 Mar" as that day of 2026."""
    return datetime.strptime(f"{text} 2026", "%d %b %Y").date()


def key(kind: str) -> str:
    return f"{kind}-{next(NUMBERS):04}"


def asking(assay="bd-pcr", **figures) -> Test:
    return Test(assay=assay, **figures)


def protocol(*tests: Test, min_days=60, **more) -> Protocol:
    return Protocol(name="as tested", min_days=min_days, tests=tests, **more)


def batch(members="M1", *facts, rules=None, opened=OPENED, name="B") -> Facts:
    """Open a batch whose members joined on the opening day."""
    rules = rules or protocol()
    day = on(opened)
    opening = Opening(key=key("opening"), batch=name, day=day, protocol=rules, entered=day)
    joined = (joins(member, opened, to=name) for member in members.split())
    return plus(Facts(batch=name, openings=(opening,)), *joined, *facts)


def plus(facts: Facts, *more) -> Facts:
    """Add facts to where they belong; a list of facts counts as its members."""
    for fact in more:
        if isinstance(fact, list):
            facts = plus(facts, *fact)
        else:
            field = FIELDS[type(fact)]
            facts = replace(facts, **{field: (*getattr(facts, field), fact)})
    return facts


def _day(text, default):
    return on(text) if text else default


def joins(member, day, *, to="B", left=None, entered=None, left_entered=None, **more) -> Membership:
    return Membership(
        key=key("member"),
        batch=to,
        member=member,
        joined=on(day),
        left=_day(left, None),
        left_entered=_day(left_entered, None),
        entered=_day(entered, on(day)),
        **more,
    )


def splits(members, day, *, off="B", to="P") -> list:
    """Split members off into a part; their memberships of the whole end by :func:`ending`."""
    end = on(day)
    split = Split(key=key("split"), whole=off, part=to, day=end, entered=end)
    return [split, *(joins(m, day, to=to, came=Coming.PARTED) for m in members.split())]


def ending(facts: Facts, members, day, *, entered=None) -> Facts:
    """End the running memberships of some members."""
    end, told = on(day), _day(entered, on(day))
    ended = tuple(
        replace(m, left=end, left_entered=told) if m.member in members.split() and not m.left else m
        for m in facts.memberships
    )
    return replace(facts, memberships=ended)


def split(facts: Facts, members, day, *, to="P") -> Facts:
    """Split members off a batch; the answer is still read as the whole."""
    return plus(ending(facts, members, day), splits(members, day, off=facts.batch, to=to))


def under(facts: Facts, rules: Protocol) -> Facts:
    """The same batch, opened under another protocol."""
    return replace(facts, openings=tuple(replace(o, protocol=rules) for o in facts.openings))


def as_part(facts: Facts, part="P") -> Facts:
    return replace(facts, batch=part)


def stays(member, enclosure, first, last=None, *, unit="rack", **more) -> Stay:
    return Stay(
        key=key("stay"),
        member=member,
        enclosure=enclosure,
        unit=unit,
        first=on(first),
        last=_day(last, None),
        entered=on(first),
        **more,
    )


def swab(members, day, assays="bd-pcr", *, entered=None, **more) -> Sample:
    return Sample(
        key=key("sample"),
        taken=on(day),
        assays=tuple(assays.split()),
        members=frozenset(members.split()),
        entered=_day(entered, on(day)),
        **more,
    )


def tank(enclosure, day, assays="faecal", **more) -> Sample:
    return swab("", day, assays, enclosure=enclosure, **more)


def result(sample, outcome, reported, *, assay=None, entered=None, **more) -> Result:
    return Result(
        key=key("result"),
        sample=sample.key,
        assay=assay or sample.assays[0],
        outcome=outcome,
        reported=on(reported),
        entered=_day(entered, on(reported)),
        **more,
    )


def negative(members, day, reported=None, assays="bd-pcr", **more) -> list:
    """A swab negative for each of its assays, reported the same day where no other is given."""
    return told(swab(members, day, assays, **more), Outcome.NEGATIVE, reported or day)


def positive(members, day, reported=None, assays="bd-pcr", *, verdict=None) -> list:
    sample = swab(members, day, assays)
    return told(sample, Outcome.POSITIVE, reported or day, verdict=verdict)


def told(sample, outcome, reported, **more) -> list:
    results = [result(sample, outcome, reported, assay=a, **more) for a in sample.assays]
    return [sample, *results]


def course(first, last=None, *, planned=None, against="bd-pcr", of="B", told=None) -> Course:
    return Course(
        key=key("course"),
        batch=of,
        against=frozenset(against.split()),
        first_dose=on(first),
        last_dose=_day(last, None),
        last_entered=_day(told, _day(last, None)),
        planned_last=_day(planned, None),
        entered=on(first),
    )


def dies(member, day, *, entered=None) -> Death:
    day = on(day)
    return Death(key=key("death"), member=member, day=day, entered=_day(entered, day))


def necropsy(member, entered, *, accepted=True) -> Necropsy:
    return Necropsy(key=key("necropsy"), member=member, accepted=accepted, entered=on(entered))


def missing(member, since, found=None) -> Missing:
    day = on(since)
    return Missing(
        key=key("missing"), member=member, since=day, found=_day(found, None), entered=day
    )


def meets(member, first, last=None, *, other="stranger", **more) -> Meeting:
    return Meeting(
        key=key("meeting"),
        member=member,
        other=other,
        first=on(first),
        last=_day(last, None),
        entered=on(first),
        **more,
    )


def weighs(member, day, grams) -> Weight:
    day = on(day)
    return Weight(key=key("weight"), member=member, day=day, grams=Decimal(grams), entered=day)


def eats(member, day, *, eaten=True) -> Meal:
    return Meal(key=key("meal"), member=member, day=on(day), eaten=eaten, entered=on(day))


def shows(member, first, gone=None, **more) -> Sign:
    day = on(first)
    return Sign(
        key=key("sign"),
        member=member,
        what="lies in the open",
        first=day,
        gone=_day(gone, None),
        entered=day,
        **more,
    )


def arrives(animal, day, *, unit="rack") -> UnitArrival:
    return UnitArrival(key=key("arrival"), unit=unit, animal=animal, day=on(day), entered=on(day))


def takes_back(fact, entered) -> Withdrawal:
    return Withdrawal(key=key("withdrawal"), replaces=fact.key, entered=on(entered))


def corrects(fact, entered, **changes):
    """A new entry in place of another."""
    return replace(fact, key=key("correction"), replaces=fact.key, entered=on(entered), **changes)
