"""Figures in words: a kinship with its worst case, a weight as the share it is."""

from dataclasses import dataclass
from fractions import Fraction

from ..telling import decimal, tell


@dataclass(frozen=True, kw_only=True)
class Figure:
    """A kinship or an inbreeding coefficient, expected and at worst; both without unit, 0 to 1.

    `bound` says that the worst case is an upper bound and not reached by a choice of its own.

    >>> str(Figure(expected=0.1875, worst=0.25))
    '0.1875, at worst 0.25'
    >>> str(Figure(expected=0.25, worst=0.25))
    '0.25'
    """

    expected: float
    worst: float
    bound: bool = False

    def __str__(self):
        shown, worst = digits(self.expected), digits(self.worst)
        if shown == worst:
            return shown
        if self.bound:
            return tell("{expected}, at most {worst}", expected=shown, worst=worst)
        return tell("{expected}, at worst {worst}", expected=shown, worst=worst)

    @property
    def related(self):
        """Whether even the worst case is above nothing."""
        return self.worst > 0


def digits(value):
    """Write a figure with at most four decimals and no idle zeros.

    >>> digits(0.125), digits(1 / 32), digits(0.0)
    ('0.125', '0.0312', '0')
    """
    return decimal(f"{value:.4f}".rstrip("0").rstrip(".") or "0")


def share(weight):
    """Write a weight as a simple fraction where it is one, else in per cent.

    >>> share(0.5), share(2 / 3), share(0.37)
    ('1/2', '2/3', '37 %')
    """
    near = Fraction(weight).limit_denominator(8)
    if near.denominator > 1 and abs(weight - near) < 1e-6:
        return f"{near.numerator}/{near.denominator}"
    return f"{100 * weight:.0f} %"
