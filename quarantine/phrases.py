"""What quarantine says to people: why somebody is held, what is unmet, and what comes next."""

from registry.phrases import in_a_row, written

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
    Verdict.ACCEPTED: "accepted load",
    Verdict.TEST_AGAIN: "this test again",
    Verdict.ALL_AGAIN: "all again",
    Verdict.VETERINARIAN: "the veterinarian must decide",
}


def names(keys):
    """Return the names of animals and clutches in a row.

    >>> names(("M2", "clutch:K1"))
    'M2 and clutch K1'
    """
    return in_a_row(named(key) for key in keys)


def plural(count, one, many=None):
    """Return a count with its word.

    >>> plural(1, "day"), plural(3, "day")
    ('1 day', '3 days')
    """
    return f"{count} {one if count == 1 else many or one + 's'}"


def start_words(start, assays, units):
    """Say why the days count from a day; `assays` and `units` are the names of what facts call."""
    day, who = written(start.day), names(start.who)
    match start.cause:
        case Cause.OPENED:
            return f"it opened on {day}"
        case Cause.ADDED:
            return f"{who} joined on {day}"
        case Cause.ADDED_TO_UNIT:
            return f"{who} came into {units.get(start.what, 'the unit')} on {day}"
        case Cause.POSITIVE:
            return f"the {assays.get(start.what, start.what)} of {who} of {day} was positive"
        case Cause.COURSE:
            return f"the course for {who} ended the day before {day}"
        case Cause.DEATH:
            return f"{who} died on {day} and the death is not explained"
        case Cause.DEATH_OF_ONE:
            return f"one of {who} died on {day} and the death is not explained"
        case Cause.MISSING:
            return f"{who} was not found and counts as dead from {day}"
        case Cause.MET:
            return f"{who} met {named(start.met)}, which is held, on {day}"


def unmet_words(point, assays):
    """Say one thing that stands against release."""
    match point:
        case TooEarly(until=until):
            return f"The days are not over: release from {written(until)}."
        case NegativesMissing() | MembersMissing():
            return _missing_words(point, assays)
        case VerdictMissing():
            return _verdict_words(point, assays)
        case CourseRunning(against=against, last_dose=last):
            agents = f" against {in_a_row(assays.get(a, a) for a in against)}" if against else ""
            return f"A course{agents} runs, last dose on {written(last)} at the earliest."
        case NeverReleased():
            return "The protocol releases nobody."
        case NobodyLiving():
            return "Nobody of the batch is living and in it."
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
    text = unmet_words(point, assays)
    if key is None or len(alike[key]) == 1:
        return text
    return text.replace(f", {named(point.member)}:", f", {names(alike[key])}, each:", 1)


def _missing_words(point, assays):
    assay = assays.get(point.assay, point.assay)
    if isinstance(point, MembersMissing):
        text = f"{assay}: {point.counted} of {plural(point.asked, 'animal')} tested negative"
    else:
        text = f"{assay}, {named(point.member)}: {point.counted} of {point.asked} negatives"
    if point.next_sample is None:
        return f"{text}; a result is waited for."
    return f"{text}; next sample from {written(point.next_sample)}."


def _verdict_words(point, assays):
    assay = assays.get(point.assay, point.assay)
    whose = "the veterinarian must decide" if point.verdict else "somebody must decide"
    return (
        f"{assay} of {names(point.who)} of {written(point.taken)} is positive; "
        f"{whose} what that means."
    )


def _condition_words(point):
    member = named(getattr(point, "member", ""))
    match point:
        case WeightMissing():
            return f"{member}: no weight is recorded in this isolation."
        case WeightLost(first=first, latest=latest):
            return f"{member} weighs {latest} g; it weighed {first} g at first."
        case NotSeenToEat(last_seen=None):
            return f"{member} was not seen to eat here."
        case NotSeenToEat(last_seen=day):
            return f"{member} was last seen to eat on {written(day)}."
        case SignOpen(what=what, since=day):
            return f"{member} shows {what or 'a sign of illness'} since {written(day)}."
    raise TypeError(point)


def reason_words(reason, arrivals=None):
    """Say why somebody is held; `arrivals` names arrivals by the key of the fact."""
    day, source = written(reason.day), named(reason.source)
    match reason.kind:
        case "arrival":
            return (arrivals or {}).get(reason.key) or f"it arrived on {day}"
        case "batch":
            return f"it joined a batch in isolation on {day}"
        case "stay":
            return f"it is on record only from a stay that began on {day}"
        case "hand":
            return f"held by hand from {day}"
        case "positive":
            return f"a positive test of {day}"
        case "born":
            return f"{source} did not stand among cleared animals only, from {day}"
        case "met":
            return f"it met {source}, which was held, {_how(reason)} on {day}"
    raise ValueError(reason.kind)


def _how(reason):
    ways = {"direct": "in", "through": "through", "things": "by things moved to"}
    return f"{ways.get(reason.how, 'in')} {reason.enclosure}" if reason.enclosure else ""
