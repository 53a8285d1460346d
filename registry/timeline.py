"""Everything on record of one animal, day by day, with what was corrected and why."""

from dataclasses import dataclass
from datetime import date

from django.contrib.admin.models import LogEntry
from django.urls import reverse

from .correcting import can_be_corrected, right_to_correct
from .models import Animal, Candidate, Fact
from .phrases import said, written
from .telling import decimal, tell
from .together import fetch
from .unsettled import words

# Entries of others that have a page for their correction, known by its name only.
ELSEWHERE = dict.fromkeys(
    (
        "quarantine.sample",
        "quarantine.course",
        "quarantine.hold",
        "quarantine.membership",
        "quarantine.necropsy",
        "registry.arrival",
        "registry.paper",
    ),
    "quarantine:fact-amend",
)


@dataclass(frozen=True, kw_only=True)
class Entry:
    """One line: the day it is about, what it says, and whether it still stands."""

    day: date
    text: str
    fact: object
    state: str = ""
    why: str = ""

    @property
    def stands(self):
        """Whether it has been neither corrected nor withdrawn."""
        return not self.state

    @property
    def late(self):
        """Whether it was entered on a later day than the one it is about."""
        return bool(getattr(self.fact, "about", None)) and self.fact.is_late

    @property
    def correctable(self):
        """Whether the register has a page on which it is corrected."""
        return isinstance(self.fact, Fact) and can_be_corrected(self.fact)

    def correction(self, user):
        """Return where somebody may correct it, empty where there is no such page for them."""
        if not isinstance(self.fact, Fact) or not self.stands:
            return ""
        if not user.has_perm(right_to_correct(self.kind)):
            return ""
        page = "fact-correct" if self.correctable else ELSEWHERE.get(self.kind)
        return reverse(page, args=[self.kind, self.fact.pk]) if page else ""

    @property
    def kind(self):
        """What kind of fact it is, as an address names it."""
        return self.fact._meta.label_lower


def timeline(animal):
    """Return every entry about an animal, the newest day first."""
    *kinds, named, changes = fetch(
        *(_facts(animal, name) for name in _relations()), _as_parent(animal), _changes(animal)
    )
    entries = [entry(fact, told(fact, animal)) for facts in kinds for fact in facts]
    entries += [_parent_entry(d) for d in {row.descent_id: row.descent for row in named}.values()]
    return newest_first(entries + [_change_entry(row) for row in changes])


def _relations():
    """Return the names by which facts reach an animal, with their fields."""
    found = {}
    for relation in Animal._meta.related_objects:
        model = relation.related_model
        if issubclass(model, Fact):
            found[relation.get_accessor_name()] = relation
    return found


# What is told of a fact with it, where it has it.
TOLD_WITH = (
    "entered_by",
    "enclosure",
    "animal",
    "clutch",
    "receiver",
    "owner",
    "isolation",
    "assay",
    "supplier",
    "holding",
    "signed_by",
    "first",
    "second",
)


def _facts(animal, name):
    """Return the facts of one kind, corrected ones included."""
    rows = getattr(animal, name)
    known = {field.name for field in rows.model._meta.fields if field.is_relation}
    return rows.select_related("replaced_by", *(name for name in TOLD_WITH if name in known))


def entry(fact, text):
    """Put a fact in a line, with what became of it."""
    newer = getattr(fact, "replaced_by", None) if fact.superseded_at else None
    state = "" if newer is None else ("withdrawn" if newer.void else "corrected")
    return Entry(
        day=fact.about or fact.entered_on,
        text=text,
        fact=fact,
        state=state,
        why=newer.why if newer else "",
    )


def newest_first(entries):
    """Return the lines of a history, the newest day first; withdrawals stand in what they undo."""
    standing = (e for e in entries if not getattr(e.fact, "void", False))
    return sorted(standing, key=lambda e: (e.day, e.fact.pk), reverse=True)


def told(fact, animal):
    """Say a fact as it stands in the life of an animal."""
    tell = WORDS.get(fact._meta.label_lower)
    if tell:
        return tell(fact, animal)
    kind = str(fact._meta.verbose_name)
    return said(f"{kind[0].upper()}{kind[1:]}: {fact}")


def _stay(stay, animal):
    if stay.end:
        return tell("In {enclosure} until {day}.", enclosure=stay.enclosure, day=written(stay.end))
    return tell("In {enclosure}.", enclosure=stay.enclosure)


def _finding(finding, animal):
    told = {"sex": finding.get_sex_display(), "basis": finding.get_basis_display()}
    return " ".join(filter(None, [tell("Found {sex}: {basis}.", **told), finding.note]))


def _observation(seen, animal):
    grams = "" if seen.grams is None else decimal(f"{seen.grams.normalize():f}")
    what = f"{_begun(seen.get_kind_display())}{f' {grams} g' if grams else ''}"
    what += f": {seen.text}" if seen.text else ""
    return (
        tell("{what}, gone on {day}.", what=what, day=written(seen.end)) if seen.end else f"{what}."
    )


def _departure(departure, animal):
    said = _begun(departure.get_kind_display())
    if departure.receiver:
        said = tell("{kind} to {receiver}", kind=said, receiver=departure.receiver)
    said = _due(said, departure)
    said += f": {departure.cause}." if departure.cause else "."
    return f"{said} {tell('It was held.')}" if departure.held else said


def _begun(words):
    """Return words with a capital, as they begin a sentence."""
    return words[0].upper() + words[1:]


def _mark(mark, animal):
    return tell("Marked: {mark}.", mark=mark)


def _pairing(pairing, animal):
    other = pairing.second if pairing.first_id == animal.pk else pairing.first
    if pairing.began_on is None:
        return tell("Planned as a pair with {other}.", other=other)
    if pairing.ended_on:
        ended = written(pairing.ended_on)
        return tell("Paired with {other}, ended {day}.", other=other, day=ended)
    return tell("Paired with {other}.", other=other)


def _descent(descent, animal):
    told = {"role": _begun(descent.get_role_display()), "basis": descent.get_basis_display()}
    named = _names(descent) or tell("unknown")
    return tell("{role} stated ({basis}): {names}", names=named, **told)


def _names(descent):
    rows = list(descent.candidates.all())
    if len(rows) == 1 and rows[0].weight == 1:
        return f"{rows[0]}."
    return ", ".join(f"{c} ({c.weight:.0%})" for c in rows)


def _of_clutch(stated, animal):
    note = f" {stated.note}" if stated.note else ""
    return tell(
        "Of clutch {clutch} ({basis}).{note}",
        clutch=stated.clutch,
        basis=stated.get_basis_display(),
        note=note,
    )


def _paper(paper, animal):
    by = f", {paper.issuer}" if paper.issuer else ""
    return tell("Paper: {paper}.", paper=f"{paper}{by}")


def _arrival(arrival, animal):
    told = {"holding": arrival.holding, "kind": arrival.get_kind_display()}
    if arrival.supplier:
        said = tell("Came to {holding}: {kind} from {who}", who=arrival.supplier, **told)
    else:
        said = tell("Came to {holding}: {kind}", **told)
    return f"{_due(said, arrival)}."


def _due(said, act):
    if act.due_back:
        return tell("{said}, due back on {day}", said=said, day=written(act.due_back))
    return said


def _missing(missing, animal):
    if missing.found_on:
        return tell("Not found; found {day}.", day=written(missing.found_on))
    return tell("Not found.")


def _owner_change(change, animal):
    return tell(
        "On loan where it is, it passed to {owner} ({kind}).",
        owner=change.owner,
        kind=change.get_kind_display(),
    )


def _outing(outing, animal):
    return tell("Out and back: {purpose}.", purpose=outing.purpose)


def _one_of_these(event, animal):
    settled = event.settlement()
    which = (
        tell("It was {animal}.", animal=settled.animal)
        if settled
        else tell("Which one is not settled.")
    )
    return f"{words(event, event.among())} {which}"


WORDS = {
    "registry.stay": _stay,
    "registry.sexfinding": _finding,
    "registry.observation": _observation,
    "registry.departure": _departure,
    "registry.mark": _mark,
    "registry.pairing": _pairing,
    "registry.descent": _descent,
    "registry.ofclutch": _of_clutch,
    "registry.paper": _paper,
    "registry.arrival": _arrival,
    "registry.missing": _missing,
    "registry.outing": _outing,
    "registry.ownerchange": _owner_change,
    "registry.oneofthese": _one_of_these,
}


def _as_parent(animal):
    """Return those named in statements in which an animal may be a parent."""
    rows = Candidate.objects.filter(animal=animal) | Candidate.objects.filter(mate=animal)
    with_it = ("animal", "clutch", "replaced_by", "entered_by")
    return rows.filter(descent__void=False).select_related(*(f"descent__{n}" for n in with_it))


def _parent_entry(descent):
    role = tell(descent.role if descent.role != "pair" else tell("sire or dam"))
    child = (
        tell("clutch {clutch}", clutch=descent.clutch) if descent.clutch_id else str(descent.animal)
    )
    return entry(
        descent,
        tell(
            "Stated as {role} of {child} ({basis}).",
            role=role,
            child=child,
            basis=descent.get_basis_display(),
        ),
    )


def _changes(animal):
    """Return the changes made to who the animal is; they overwrite nothing that is dated."""
    app, model = Animal._meta.label_lower.split(".")
    kind = {"content_type__app_label": app, "content_type__model": model}
    return LogEntry.objects.filter(**kind, object_id=str(animal.pk)).select_related("user")


def _change_entry(row):
    return Entry(day=row.action_time.date(), text=row.get_change_message(), fact=row)
