"""The line of the male who laid, ready made: founders A, B and C, their young P, Q and R."""

from datetime import date

from registry.lines import Line
from tests import make

MADE = date(2022, 1, 1)


def line_of(animal):
    """Return the line an animal is of."""
    return Line(taxon=animal.taxon, locality=animal.locality)


def umbral(sires=("A", "B"), basis="housed"):
    """Return the six by code: A calls, B is a male by looks, C laid K1 (P, Q) and K2 (R)."""
    taxon = make.taxon("Ranitomeya variabilis", grouping="group", mature_days=300)
    told = {"taxon": taxon, "locality": make.locality("Cerro Umbral", taxon)}
    found = {
        "A": make.animal("A", sex="male", basis="calling", **told),
        "B": make.animal("B", sex="male", basis="looks", **told),
        "C": make.animal("C", sex="female", basis="laid", **told),
    }
    for code, day in (("K1", MADE), ("K2", date(2022, 2, 1))):
        found[code] = make.clutch(code, found_on=day, taxon=taxon)
        make.parent(found[code], "sire", *(found[s] for s in sires), basis=basis)
        make.parent(found[code], "dam", found["C"])
    for code, clutch in (("P", "K1"), ("Q", "K1"), ("R", "K2")):
        found[code] = make.young(found[clutch], code, locality=told["locality"])
    return found
