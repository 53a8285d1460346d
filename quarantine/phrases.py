"""What quarantine says to people: why somebody is held, what is unmet, and what comes next."""

from registry.phrases import in_a_row, written
from registry.telling import decimal, tell, tell_many, to_tell

from .ledger import named
from .protocols import Verdict
from .readings import (
    Cause,
    CourseRunning,
    MembersMissing,
    NegativesMissing,
    NeverReleased,
    NobodyLiving,
    NotSeenToEat,
    SignOpen,
    TooEarly,
    VerdictMissing,
    WeightLost,
    WeightMissing,
)

VERDICTS = {
    Verdict.ACCEPTED: to_tell("accepted load"),
    Verdict.TEST_AGAIN: to_tell("this test again"),
    Verdict.ALL_AGAIN: to_tell("all again"),
    Verdict.VETERINARIAN: to_tell("the veterinarian must decide"),
}


def names(keys):
    """Return the names of animals and clutches in a row.

    >>> names(("M2", "clutch:K1"))
    'M2 and clutch K1'
    """
    return in_a_row(named(key) for key in keys)


def start_words(start, assays, units):
    """Say why the days count from a day; `assays` and `units` are the names of what facts call."""
    told = {"day": written(start.day), "who": names(start.who)}
    match start.cause:
        case Cause.OPENED:
            return tell("it opened on {day}", **told)
        case Cause.ADDED:
            return tell("{who} joined on {day}", **told)
        case Cause.ADDED_TO_UNIT:
            unit = units.get(start.what) or tell("the unit")
            return tell("{who} came into {unit} on {day}", unit=unit, **told)
        case Cause.POSITIVE:
            test = assays.get(start.what, start.what)
            return tell("the {test} of {who} of {day} was positive", test=test, **told)
        case Cause.COURSE:
            return tell("the course for {who} ended the day before {day}", **told)
        case Cause.DEATH:
            return tell("{who} died on {day} and the death is not explained", **told)
        case Cause.DEATH_OF_ONE:
            return tell("one of {who} died on {day} and the death is not explained", **told)
        case Cause.MISSING:
            return tell("{who} was not found and counts as dead from {day}", **told)
        case Cause.MET:
            return tell(
                "{who} met {source}, which is held, on {day}", source=named(start.met), **told
            )


def unmet_words(point, assays):
    """Say one thing that stands against release."""
    match point:
        case TooEarly(until=until):
            return tell("The days are not over: release from {day}.", day=written(until))
        case NegativesMissing() | MembersMissing():
            return _missing_words(point, assays)
        case VerdictMissing():
            return _verdict_words(point, assays)
        case CourseRunning(against=against, last_dose=last):
            told = {"agents": in_a_row(assays.get(a, a) for a in against), "day": written(last)}
            if against:
                return tell(
                    "A course against {agents} runs, last dose on {day} at the earliest.", **told
                )
            return tell("A course runs, last dose on {day} at the earliest.", **told)
        case NeverReleased():
            return tell("The protocol releases nobody.")
        case NobodyLiving():
            return tell("Nobody of the batch is living and in it.")
        case _:
            return _condition_words(point)


def unmet_sentences(points, assays):
    """Say everything that stands against release, alike points of several animals in one."""
    alike, said = {}, []
    for point in points:
        if isinstance(point, NegativesMissing):
            key = (point.assay, point.counted, point.asked, point.next_sample)
            if key not in alike:
                alike[key] = []
                said.append((key, point))
            alike[key].append(point.member)
        else:
            said.append((None, point))
    return [_said(key, point, alike, assays) for key, point in said]


def _said(key, point, alike, assays):
    if key is None or len(alike[key]) == 1:
        return unmet_words(point, assays)
    told = {"test": assays.get(point.assay, point.assay), "members": names(alike[key])}
    told |= {"counted": point.counted, "asked": point.asked}
    if point.next_sample is None:
        return tell(
            "{test}, {members}, each: {counted} of {asked} negatives; a result is waited for.",
            **told,
        )
    return tell(
        "{test}, {members}, each: {counted} of {asked} negatives; next sample from {day}.",
        day=written(point.next_sample),
        **told,
    )


def _missing_words(point, assays):
    told = {"test": assays.get(point.assay, point.assay), "counted": point.counted}
    told["day"] = written(point.next_sample) if point.next_sample else ""
    if isinstance(point, MembersMissing):
        return _few_words(point, told)
    told |= {"member": named(point.member), "asked": point.asked}
    if point.next_sample is None:
        return tell(
            "{test}, {member}: {counted} of {asked} negatives; a result is waited for.", **told
        )
    return tell("{test}, {member}: {counted} of {asked} negatives; next sample from {day}.", **told)


def _few_words(point, told):
    """Say that fewer members than asked have met a test that asks some of the batch."""
    if point.next_sample is None:
        return tell_many(
            "{test}: {counted} of {count} animal tested negative; a result is waited for.",
            "{test}: {counted} of {count} animals tested negative; a result is waited for.",
            point.asked,
            **told,
        )
    return tell_many(
        "{test}: {counted} of {count} animal tested negative; next sample from {day}.",
        "{test}: {counted} of {count} animals tested negative; next sample from {day}.",
        point.asked,
        **told,
    )


def _verdict_words(point, assays):
    told = {"test": assays.get(point.assay, point.assay), "who": names(point.who)}
    told["day"] = written(point.taken)
    if point.verdict:
        return tell(
            "{test} of {who} of {day} is positive; the veterinarian must decide what that means.",
            **told,
        )
    return tell(
        "{test} of {who} of {day} is positive; somebody must decide what that means.", **told
    )


def _condition_words(point):
    member = named(getattr(point, "member", ""))
    match point:
        case WeightMissing():
            return tell("{member}: no weight is recorded in this isolation.", member=member)
        case WeightLost(first=first, latest=latest):
            return tell(
                "{member} weighs {latest} g; it weighed {first} g at first.",
                member=member,
                latest=decimal(latest),
                first=decimal(first),
            )
        case NotSeenToEat(last_seen=None):
            return tell("{member} was not seen to eat here.", member=member)
        case NotSeenToEat(last_seen=day):
            return tell("{member} was last seen to eat on {day}.", member=member, day=written(day))
        case SignOpen(what=what, since=day):
            what = what or tell("a sign of illness")
            return tell(
                "{member} shows {what} since {day}.", member=member, what=what, day=written(day)
            )
    raise TypeError(point)


def reason_words(reason, arrivals=None):
    """Say why somebody is held; `arrivals` names arrivals by the key of the fact."""
    told = {"day": written(reason.day), "source": named(reason.source)}
    match reason.kind:
        case "arrival":
            return (arrivals or {}).get(reason.key) or tell("it arrived on {day}", **told)
        case "batch":
            return tell("it joined a batch in isolation on {day}", **told)
        case "stay":
            return tell("it is on record only from a stay that began on {day}", **told)
        case "hand":
            return tell("held by hand from {day}", **told)
        case "positive":
            return tell("a positive test of {day}", **told)
        case "born":
            return tell("{source} did not stand among cleared animals only, from {day}", **told)
        case "met":
            told["enclosure"] = reason.enclosure
            return tell(
                MEETINGS.get(reason.how if reason.enclosure else "", MEETINGS["direct"]), **told
            )
    raise ValueError(reason.kind)


MEETINGS = {
    "": to_tell("it met {source}, which was held, on {day}"),
    "direct": to_tell("it met {source}, which was held, in {enclosure} on {day}"),
    "through": to_tell("it met {source}, which was held, through {enclosure} on {day}"),
    "things": to_tell("it met {source}, which was held, by things moved to {enclosure} on {day}"),
}
