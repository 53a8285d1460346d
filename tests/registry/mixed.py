"""Clutches to be reared together, for the tests of what comes of them."""

from datetime import date, datetime, timedelta

from django.utils import timezone

from registry.laying import count_stage
from registry.mixing import Mixing, rear_together
from registry.separating import Separation, take_out
from tests import make

NOON = timezone.make_aware(datetime(2026, 9, 1, 12))


def day(number):
    """Return a day counted from the first of March."""
    return date(2026, 3, 1) + timedelta(days=number - 1)


def clutch(code, *, at, sires, dam, hatched=None, found=2):
    """Return a clutch in a cup of its own, with its parents and its count."""
    made = make.clutch(code, found_on=day(found))
    make.stay(made, at, start=day(found))
    make.parent(made, "sire", *sires, basis="housed")
    make.parent(made, "dam", dam)
    if hatched is not None:
        count_stage(made, "hatched", day(9), hatched, make.user(), at=NOON)
    return made


def furnished():
    """Return founders, two clutches that hatched 6 and 2, and a tub."""
    animals = {code: make.animal(code, source_code="W") for code in "ABCD"}
    a, b, c, d = animals.values()
    k1 = clutch("K1", at=make.enclosure("T1"), sires=[a, b], dam=c, hatched=6)
    k2 = clutch("K2", at=make.enclosure("T2"), sires=[b], dam=d, hatched=2)
    return animals | {"K1": k1, "K2": k2, "tub": make.enclosure("T3")}


def together(room, *, on=10, names=("K1", "K2"), into="tub", **more):
    mixing = Mixing(
        clutches=tuple(room[name] for name in names), enclosure=room[into], day=day(on), **more
    )
    return rear_together(mixing, by=make.user(), at=NOON)


def out(source, *codes, on=60, born=None):
    """Take young out, each into a place of its own."""
    return [_out(source, code, on, born) for code in codes]


def _out(source, code, on, born):
    separation = Separation(
        clutch=source, day=day(on), codes=(code,), enclosure=make.enclosure(), born=born
    )
    (animal,) = take_out(separation, by=make.user(), at=NOON)
    return animal
