"""The one door by which proofs of origin are issued: numbered, made, kept and never changed."""

import hashlib
import secrets
from dataclasses import dataclass
from datetime import date
from functools import cached_property

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction
from django.utils import timezone

from .models import Animal, Holding, Paper, PaperKind, Party, Proof
from .models.proofs import proof_number
from .numbering import held_still, next_number
from .phrases import in_a_row, written
from .printing import printed
from .proof_facts import Facts, sheet
from .proof_gaps import gaps, gaps_of_keeper
from .proof_pictures import pedigrees, photographs
from .telling import tell
from .whence import holdings_on

MOST_ON_ONE = 40


class ProofRefused(Exception):
    """A proof that cannot be issued: of nobody, too many, or an animal that never was here."""


@dataclass(frozen=True, kw_only=True)
class Proving:
    """A proposal: a proof of origin for these animals, on a day, for somebody or for nobody yet."""

    animals: tuple[Animal, ...]
    day: date
    receiver: Party | None = None

    @cached_property
    def facts(self):
        """What the register has on record."""
        return Facts(self.animals, self.day)

    @cached_property
    def holding(self) -> Holding:
        """The holding that kept them all, or the refusal that says why there is none."""
        self._refuse_strangers()
        found = {h.pk: h for h in holdings_on(self.animals, self.day).values()}
        if len(found) > 1:
            names = in_a_row(sorted(h.name for h in found.values()))
            raise ProofRefused(
                tell("They were kept at {names}; issue a proof at each.", names=names)
            )
        return next(iter(found.values()))

    def _refuse_strangers(self):
        if not 1 <= len(self.animals) <= MOST_ON_ONE:
            raise ProofRefused(
                tell("A proof is of 1 to {MOST_ON_ONE} animals.", MOST_ON_ONE=MOST_ON_ONE)
            )
        strangers = [a for a in self.animals if not a.clutch_id and not self.facts.arrivals[a.pk]]
        if strangers:
            raise ProofRefused(
                tell(
                    "{strangers} never was here; a proof is of animals bred or kept here.",
                    strangers=in_a_row(strangers),
                )
            )

    @cached_property
    def missing(self):
        """Sentences on what the register lacks, each once."""
        said = [text for animal in self.animals for text in gaps(self.facts, animal)]
        return list(dict.fromkeys(said + gaps_of_keeper(self.holding)))

    @cached_property
    def sheets(self):
        """What is printed of each animal."""
        return [sheet(self.facts, animal) for animal in self.animals]

    @cached_property
    def earlier(self):
        """The proofs issued before for any of them."""
        rows = Proof.objects.filter(paper__animals__in=self.animals, paper__void=False).distinct()
        return list(rows.select_related("paper").order_by("year", "number"))


def each(proving):
    """Return the proposals of one proof for each animal."""
    return [
        Proving(animals=(a,), day=proving.day, receiver=proving.receiver) for a in proving.animals
    ]


@transaction.atomic
def issue_each(proving, *, by, at=None):
    """Issue a proof for each animal, all of them or none; return the proofs."""
    return [issue(one, by=by, at=at) for one in each(proving)]


@transaction.atomic
def issue(proving, *, by, at=None):
    """Issue one proof for all animals together; return it."""
    moment, holding = at or timezone.now(), held_still(proving.holding)
    year = proving.day.year
    number = next_number(Proof.objects.filter(holding=holding, year=year))
    made = as_pdf(proving, proof_number(holding, year, number), by)
    paper = _paper(proving, proof_number(holding, year, number), made, by, moment)
    proof = Proof(holding=holding, year=year, number=number, paper=paper)
    proof.missing, proof.digest = proving.missing, hashlib.sha256(made).hexdigest()
    try:
        proof.save()
        proof.earlier.set(proving.earlier)
        paper.animals.set(proving.animals)
    except Exception:
        paper.file.delete(save=False)
        raise
    return proof


def _paper(proving, number, made, by, moment):
    return Paper.objects.create(
        kind=PaperKind.ORIGIN,
        number=number,
        issuer=proving.holding.party.name,
        day=proving.day,
        file=ContentFile(made, name=f"proof-{number}-{secrets.token_hex(8)}.pdf"),
        ours=True,
        note=tell("For {receiver}.", receiver=proving.receiver) if proving.receiver else "",
        entered_at=moment,
        entered_by=by,
    )


def paper_corrected(old: Paper, new: Paper):
    """Refuse to correct a paper that we issued."""
    if old.ours:
        raise ValidationError(
            tell("{old} stands as it was issued; issue a new one instead.", old=old)
        )


def is_as_issued(proof):
    """Return whether the file that is kept is the one that was issued."""
    file = proof.paper.file
    if not file or not file.storage.exists(file.name):
        return False
    with file.open("rb") as kept:
        return hashlib.file_digest(kept, "sha256").hexdigest() == proof.digest


def as_pdf(proving, number, by):
    """Return the proof as it is printed."""
    trees = list(pedigrees(proving.animals, proving.day))
    photos = list(photographs(proving.animals, proving.facts.marks))
    keeper = proving.holding.party
    told = {
        "title": tell("Proof of origin {number}", number=number),
        "author": keeper.name,
        "number": number,
        "date": written(proving.day),
        "holding": proving.holding.name,
        "keeper": "\n".join(filter(None, [keeper.name, keeper.address, keeper.country])),
        "registration": keeper.registration,
        "by": by.get_full_name() or by.get_username(),
        "receiver": _address(proving.receiver),
        "earlier": [tell("{p} of {day}", p=p, day=written(p.paper.day)) for p in proving.earlier],
        "animals": proving.sheets,
        "missing": proving.missing,
        "pictures": [picture.told() for picture in trees],
        "photos": [picture.told() for picture in photos],
    }
    return printed("proof", told, proving.day, {p.name: p.content for p in trees + photos})


def _address(party):
    return "\n".join(filter(None, [party.name, party.address, party.country])) if party else ""
