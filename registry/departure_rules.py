"""The register's rules on leaving; each is the sentence that holds."""

from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from .assigning import assigned, fits
from .models import Animal, DepartureKind, Holding, Missing
from .objections import ask, impossible, note
from .phrases import in_a_row, one_of, written
from .telling import tell
from .unsettled import can_have_left, open_departures

UNRECEIVED = {"death", "escape"}
PARTED = {DepartureKind.SALE, DepartureKind.GIFT, DepartureKind.EXCHANGE, DepartureKind.LOAN}


def departures_have_happened(leaving):
    """A departure is entered on its day or later, never ahead."""
    if leaving.entered_on and leaving.day > leaving.entered_on:
        yield impossible(
            tell(
                "{day} is still to come; a departure is entered once it happened.",
                day=written(leaving.day),
            ),
            day=leaving.day,
        )


def those_who_leave_are_here(leaving):
    """Only an animal that is here can leave, and it leaves once."""
    for animal in leaving.animals:
        presence = leaving.presences[animal.pk]
        problem = presence.problem(leaving.day) or _left_later(leaving, presence)
        if problem:
            yield impossible(problem, animal, day=leaving.day)


def _left_later(leaving, presence):
    """Say that a later departure is on record already, with no coming back between."""
    back = leaving.backs.get(presence.animal.pk)
    later = [(d, k) for d, k in presence.goings if d > leaving.day and (not back or d < back)]
    if not later:
        return None
    day, kind = later[0]
    told = {"animal": presence.animal, "day": written(day), "kind": tell(kind)}
    died = kind == "death"
    if leaving.among and died:
        return tell("{animal} died on {day}; leave it out, it was another.", **told)
    if leaving.among:
        return tell("{animal} left ({kind}) on {day}; leave it out, it was another.", **told)
    if died:
        return tell("{animal} died on {day}; correct that entry instead.", **told)
    return tell("{animal} left ({kind}) on {day}; correct that entry instead.", **told)


def those_not_found_are_found_first(leaving):
    """An animal that is not found leaves alive only once it was found."""
    if leaving.kind in UNRECEIVED or leaving.among:
        return
    unfound = Q(found_on__isnull=True) | Q(found_on__gt=leaving.day)
    rows = Missing.objects.current().filter(unfound, day__lte=leaving.day)
    for row in rows.filter(animal__in=leaving.animals).select_related("animal"):
        text = tell(
            "{animal} is entered as not found since {day}; enter first where it was found.",
            animal=row.animal,
            day=written(row.day),
        )
        yield impossible(text, row.animal, day=row.day)


def receivers_are_named(leaving):
    """Whoever takes a living animal is named."""
    if leaving.kind not in UNRECEIVED and leaving.receiver is None:
        who = one_of(leaving.animals) if leaving.among else in_a_row(leaving.animals)
        yield impossible(
            tell("Name who received {who}.", who=who), *leaving.animals, day=leaving.day
        )


def premises_here_receive_in_one_act(leaving):
    """Whoever keeps premises of this register receives by a move between premises, in one act."""
    old = leaving.instead_of
    if leaving.onward or (old and old.receiver_id == getattr(leaving.receiver, "pk", None)):
        return
    for holding in Holding.objects.filter(party=leaving.receiver) if leaving.receiver else ():
        text = tell(
            "{receiver} keeps {holding}, which is in this register too: enter a "
            "move between premises, which is the departure and the arrival in "
            "one act.",
            receiver=leaving.receiver,
            holding=holding,
        )
        yield impossible(text, *leaving.animals, day=leaving.day)


def loans_are_due_back_after_they_begin(leaving):
    """Only what is lent is due back, on the first day of the loan or later."""
    if leaving.due_back is None:
        return
    due = written(leaving.due_back)
    if leaving.kind != DepartureKind.LOAN:
        yield impossible(
            tell("Only a loan is due back; leave {due} out.", due=due), day=leaving.day
        )
    elif leaving.due_back < leaving.day:
        yield impossible(
            tell("It is due back on {due}, before it was lent.", due=due), day=leaving.day
        )


PARTING = {
    (True, True): _("{animal} belongs to {owner}, who lent it to {holder}; it would be lent on."),
    (True, False): _(
        "{animal} belongs to {owner}, who lent it to {holder}; it would pass to another owner."
    ),
    (False, True): _("{animal} belongs to {owner}; it would be lent on."),
    (False, False): _("{animal} belongs to {owner}; it would pass to another owner."),
}


def owners_part_with_what_is_theirs(leaving):
    """What belongs to somebody else is sold, given or lent on only for a reason."""
    if leaving.kind not in PARTED:
        return
    for animal in leaving.animals:
        keeping = leaving.keepings[animal.pk]
        if keeping.is_parted and keeping.owner != leaving.receiver:
            told = {"animal": animal, "owner": keeping.owner, "holder": keeping.holder}
            lent, onward = bool(keeping.loans), leaving.kind == DepartureKind.LOAN
            yield ask(tell(PARTING[lent, onward], **told), animal, day=leaving.day)


def nothing_is_entered_after_leaving(leaving):
    """What is on record of an animal after it left is explained; what was planned is withdrawn."""
    for stay in leaving.later_stays:
        told = {"animal": stay.animal, "enclosure": stay.enclosure, "day": written(stay.start)}
        if stay.start > (leaving.entered_on or leaving.day):
            text = tell(
                "{animal} is entered in {enclosure} from {day}; that plan is withdrawn.", **told
            )
            yield note(text, stay.animal, day=stay.start)
        else:
            text = tell(
                "{animal} is entered in {enclosure} from {day}; that stay would be withdrawn.",
                **told,
            )
            yield ask(text, stay.animal, day=stay.start)
    for animal in leaving.animals:
        for text, day in facts_after(animal, leaving.day, leaving.backs.get(animal.pk)):
            if leaving.among:
                yield note(
                    tell(
                        "{animal} has later entries: {text}. Leave it out if that was surely it.",
                        animal=animal,
                        text=text,
                    )
                )
            else:
                yield ask(
                    tell("{animal} has later entries: {text}.", animal=animal, text=text),
                    animal,
                    day=day,
                )


def facts_after(animal, day, before=None):
    """Yield what was seen or taken of an animal after a day, kind by kind, with the first day."""
    for name, field in SEEN:
        if not hasattr(animal, name):
            continue
        rows = getattr(animal, name).current().filter(**{f"{field}__gt": day})
        if before:
            rows = rows.filter(**{f"{field}__lt": before})
        days = sorted(rows.values_list(field, flat=True))
        if days:
            label = _label(animal, name, len(days))
            yield (
                tell(
                    "{count} {what} from {day}",
                    count=len(days),
                    what=label,
                    day=written(days[0]),
                ),
                days[0],
            )


# What of an animal can only be seen or taken while it is here; samples are quarantine's.
SEEN = (("observations", "start"), ("samples", "day"))


def _label(animal, name, count):
    meta = Animal._meta.get_field(name).related_model._meta
    return str(meta.verbose_name if count == 1 else meta.verbose_name_plural)


def pairs_are_parted(leaving):
    """A pair ends when one of the two leaves."""
    for pairing in leaving.pairings:
        yield note(
            tell("The pairing of {pairing} ends.", pairing=pairing),
            *pairing.animals,
            day=leaving.day,
        )


def no_more_leave_than_there_were(leaving):
    """Each of several that died or left, nobody knows which, was another one of them."""
    events = [one for one in open_departures() if one.event != leaving.one_of]
    choices = {one.event.pk: one.keys for one in events}
    keys = {a.pk for a in leaving.animals}
    if leaving.among:
        could = {k for k in keys if can_have_left(leaving.presences[k], leaving.day)}
        if could and not fits(choices, could):
            who = in_a_row(leaving.animals)
            text = tell(
                "As many of {who} as there were have died or left already; settle those first.",
                who=who,
            )
            yield impossible(text, *leaving.animals, day=leaving.day)
        return
    rest = {event: could - keys for event, could in choices.items()}
    before, after = assigned(choices), assigned(rest)
    if len(after) < len(before):
        for one in (e for e in events if e.event.pk in before and e.event.pk not in after):
            text = tell(
                "{sentence} Nobody is left then whom that can have been; it is listed.",
                sentence=one.sentence,
            )
            yield note(text, *leaving.animals, day=leaving.day)
