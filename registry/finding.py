"""The one door by which a finding of sex is entered."""

from django.utils import timezone

from .lifetime import refuse_ahead, refuse_dead, refuse_unborn
from .models import SexFinding
from .models.animals import Basis
from .telling import tell

LIVING = {Basis.CALLING, Basis.LAID}  # only a living animal does these
SHOWN = {Basis.CALLING: "male", Basis.LAID: "female"}


class WrongSexForBasis(Exception):
    """Calling shows a male, laying shows a female."""

    def __init__(self, sex, basis):
        self.sex, self.basis = sex, basis
        super().__init__(tell("Calling shows a male, laying shows a female."))


def find_sex(animal, sex, basis, day, by, note="", at=None, one_of=None):
    """Enter what sex an animal was found to be, on what basis; return the finding.

    `one_of` is what was heard or seen of one of several, where this settles whose it was.
    """
    moment = at or timezone.now()
    refuse_finding(animal, sex, basis, day, moment)
    return SexFinding.objects.create(
        animal=animal,
        sex=sex,
        basis=basis,
        day=day,
        note=note,
        one_of=one_of,
        entered_at=moment,
        entered_by=by,
    )


def refuse_finding(animal, sex, basis, day, moment):
    """Refuse a finding that nobody can have made on that day."""
    if SHOWN.get(basis, sex) != sex:
        raise WrongSexForBasis(sex, basis)
    refuse_ahead(day, moment)
    refuse_unborn(animal, day)
    if basis in LIVING:
        refuse_dead(animal, day)
