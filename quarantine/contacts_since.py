"""Whom the animals of a clearance met since it was signed, when its evidence has changed."""

from dataclasses import dataclass
from datetime import date

from registry.models import Animal
from registry.phrases import written
from registry.telling import tell, to_tell

from .contacts import meetings
from .ledger import ledger, named
from .onward import onward

HOW = {
    "direct": to_tell("{released} and {other}, together in {enclosure}, {when}."),
    "through": to_tell("{released} and {other}, through {enclosure}, {when}."),
    "things": to_tell("{released} and {other}, by things moved to {enclosure}, {when}."),
}


@dataclass(frozen=True, kw_only=True)
class Contact:
    """Two that met, one of them released: when, how and where."""

    released: str
    other: str
    first: date
    last: date | None
    how: str
    enclosure: str

    @property
    def sentence(self):
        """Say who met whom."""
        when = written(self.first)
        if self.last is None:
            when = tell("{first} until now", first=when)
        elif self.last != self.first:
            when = tell("{first} to {last}", first=when, last=written(self.last))
        told = {"released": self.released, "other": self.other, "enclosure": self.enclosure}
        return tell(HOW[self.how], when=when, **told)


def met_since(clearance, on):
    """Return the meetings of released animals with others from the day of clearance on."""
    animals = list(clearance.animals.all())
    book = ledger(onward(animals, clearance.day, on), on, since=clearance.day)
    mine = {a.code for a in animals}
    found = set()
    for code in sorted(mine):
        for meeting in meetings(book.where, code, clearance.day, on):
            ends = {meeting.giver, meeting.taker}
            if ends - mine:
                found.add(_contact(meeting, code, (ends - {code}).pop()))
    return sorted(found, key=lambda c: (c.first, c.other, c.released))


def _contact(meeting, released, other):
    return Contact(
        released=released,
        other=named(other),
        first=meeting.first,
        last=meeting.last,
        how=meeting.how,
        enclosure=meeting.enclosure,
    )


def animals_met(contacts):
    """Return the animals among those met, by their code."""
    codes = {contact.other for contact in contacts}
    return {a.code: a for a in Animal.objects.filter(code__in=codes)}
