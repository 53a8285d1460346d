"""What animals are called: codes that can be written on a label, singly or as a run of numbers."""

import re

from django.core.exceptions import ValidationError

from .models import Animal, Clutch
from .telling import tell, tell_many

CODE = re.compile(r"[^\W_](?:[\w .\-/]*\w)?", re.UNICODE)
RUN = re.compile(r"#+")
LENGTH = 40


class CodesTaken(Exception):
    """Codes that other animals have already; `codes` lists them."""

    def __init__(self, codes):
        self.codes = sorted(codes)
        some = ", ".join(self.codes[:5])
        if len(self.codes) > 5:
            some = tell("{codes} and others", codes=some)
        super().__init__(
            tell_many(
                "{codes} is a code on record already; choose others.",
                "{codes} are codes on record already; choose others.",
                len(self.codes),
                codes=some,
            )
        )


def check_code(code):
    """Refuse a code that could not be written on a label and read back."""
    if len(code) > LENGTH:
        raise ValidationError(tell("A code has at most {LENGTH} characters.", LENGTH=LENGTH))
    if not CODE.fullmatch(code):
        raise ValidationError(
            tell(
                "“{code}” cannot be a code: use letters, digits, spaces and . - _ /, "
                "beginning with a letter or digit.",
                code=code,
            )
        )


def refuse_repeats(codes):
    """Refuse impossible codes, and the same one twice, whatever its case."""
    seen = set()
    for code in codes:
        check_code(code)
        if code.casefold() in seen:
            raise ValidationError(tell("“{code}” is given twice.", code=code))
        seen.add(code.casefold())


def codes_in_use(codes):
    """Return those codes that an animal or a clutch has already, whatever their case."""
    wanted = {code.casefold() for code in codes}
    return {
        code
        for model in (Animal, Clutch)
        for code in model.objects.values_list("code", flat=True).iterator()
        if code.casefold() in wanted
    }


def run_of_codes(pattern, count, among=Animal):
    """Return the next free codes of a pattern such as EA-###, where each # is a digit.

    Numbers begin after the highest one in use under the same pattern.
    """
    check_code(pattern.replace("#", "0"))
    runs = RUN.findall(pattern)
    if len(runs) != 1:
        raise ValidationError(tell("A pattern has one run of #, as in EA-###; each # is a digit."))
    before, after = RUN.split(pattern)
    digits = len(runs[0])
    first = _highest(before, after, among) + 1
    if first + count - 1 >= 10 ** max(digits, 1) and digits < len(str(first + count - 1)):
        raise ValidationError(
            tell("{pattern} has too few # for {count} more codes.", pattern=pattern, count=count)
        )
    return [f"{before}{n:0{digits}}{after}" for n in range(first, first + count)]


def _highest(before, after, among):
    """Return the highest number in use between two texts, 0 where there is none."""
    taken = among.objects.filter(code__istartswith=before).values_list("code", flat=True)
    shape = re.compile(re.escape(before) + r"(\d+)" + re.escape(after), re.IGNORECASE)
    found = (shape.fullmatch(code) for code in taken)
    return max((int(m.group(1)) for m in found if m), default=0)


def listed_codes(text):
    """Return the codes typed into a box, one to a line or with commas between."""
    return [part.strip() for part in re.split(r"[,;\n\r]+", text) if part.strip()]


def counts(text):
    """Return males, females and unsexed of a count such as 0.0.6 or 1.2.

    >>> counts("1.2.3"), counts("2.1"), counts("6")
    ((1, 2, 3), (2, 1, 0), (0, 0, 6))
    """
    parts = text.strip().split(".")
    if not 1 <= len(parts) <= 3 or not all(p.isascii() and p.isdigit() for p in parts):
        raise ValidationError(tell("Write a count as males.females.unsexed, such as 0.0.6 or 1.2."))
    numbers = [int(p[:6]) for p in parts]
    if len(numbers) == 1:
        return 0, 0, numbers[0]
    return tuple([*numbers, 0][:3])
