"""Species a keeper may begin with: figures to start from, each of which can be changed.

Days count from laying up to metamorphosis, and from metamorphosis after it. The figures come from
AmphibiaWeb, Edmonds (2015), Regnet (ZooKeys) and species accounts where they name one; the ages at
which young leave their parents, and ages at maturity of species for which we read none, are our own
inference. They are no advice on keeping.
"""

from dataclasses import asdict, dataclass

from .models import Grouping, Taxon
from .telling import tell, to_tell


@dataclass(frozen=True, kw_only=True)
class Species:
    """A species with its husbandry, as a taxon begins."""

    name: str
    common_name: str
    grouping: str
    hatch_min: int
    hatch_max: int
    metamorphosis_min: int
    metamorphosis_max: int
    mature_days: int
    leave_days: int | None = None
    one_sire_per_clutch: bool = True
    note: str = ""


SHIPPED = (
    Species(
        name="Allobates femoralis",
        common_name=to_tell("brilliant-thighed poison frog"),
        grouping=Grouping.GROUP,
        hatch_min=12, hatch_max=18, metamorphosis_min=60, metamorphosis_max=75,
        mature_days=270, leave_days=150,
        note=to_tell(
            "Clutches of 8-17; the male guards them and is territorial. Females slightly larger."
        ),
    ),
    Species(
        name="Dendrobates tinctorius",
        common_name=to_tell("dyeing poison frog"),
        grouping=Grouping.PAIR,
        hatch_min=12, hatch_max=16, metamorphosis_min=84, metamorphosis_max=112,
        mature_days=400, leave_days=150,
        note=to_tell(
            "Clutches of 2-6; the male carries. Females fight. Males have broader toe discs: a "
            "guess from 8-10 months."
        ),
    ),
    Species(
        name="Epipedobates anthonyi",
        common_name=to_tell("Anthony's poison frog"),
        grouping=Grouping.GROUP,
        hatch_min=10, hatch_max=14, metamorphosis_min=60, metamorphosis_max=75,
        mature_days=270, leave_days=120,
        note=to_tell(
            "Clutches of 15-40; the male guards and carries. Males trill; females 21.5-26.5 mm, "
            "males 19-24.5 mm."
        ),
    ),
    Species(
        name="Hyloxalus azureiventris",
        common_name=to_tell("sky-blue poison frog"),
        grouping=Grouping.GROUP,
        hatch_min=12, hatch_max=16, metamorphosis_min=70, metamorphosis_max=90,
        mature_days=300, leave_days=120,
        note=to_tell(
            "Clutches of 12-20. Females 26-28 mm, males 23-24 mm."
        ),
    ),
    Species(
        name="Mantella aurantiaca",
        common_name=to_tell("golden mantella"),
        grouping=Grouping.GROUP,
        hatch_min=2, hatch_max=6, metamorphosis_min=53, metamorphosis_max=139,
        mature_days=300, one_sire_per_clutch=False,
        note=to_tell(
            "Clutches of 24-193, 74 on average; no care. Males call from 4 months; females are "
            "stouter. A group with more males."
        ),
    ),
    Species(
        name="Phyllobates bicolor",
        common_name=to_tell("black-legged poison frog"),
        grouping=Grouping.ONE_MALE,
        hatch_min=12, hatch_max=16, metamorphosis_min=72, metamorphosis_max=96,
        mature_days=400, leave_days=120,
        note=to_tell(
            "Clutches of 10-25; the male carries all at once. Males trill and are territorial. "
            "Skin secretions of wild-caught ones are poisonous: gloves."
        ),
    ),
    Species(
        name="Ranitomeya imitator",
        common_name=to_tell("mimic poison frog"),
        grouping=Grouping.PAIR,
        hatch_min=10, hatch_max=18, metamorphosis_min=70, metamorphosis_max=90,
        mature_days=300, leave_days=60,
        note=to_tell(
            "Clutches of 1-2; both care, the female feeds eggs. Males call; the sexes look alike."
        ),
    ),
    Species(
        name="Ranitomeya variabilis",
        common_name=to_tell("splash-backed poison frog"),
        grouping=Grouping.GROUP,
        hatch_min=10, hatch_max=18, metamorphosis_min=79, metamorphosis_max=91,
        mature_days=330, leave_days=120,
        note=to_tell(
            "Clutches of 3-6; the male cares. The sexes look alike; the sire is often uncertain."
        ),
    ),
)  # fmt: skip


def taxon_of(species):
    """Return the taxon a shipped species begins as, not saved yet."""
    told = {name: tell(getattr(species, name)) for name in ("common_name", "note")}
    return Taxon(**asdict(species) | told)


def not_on_record():
    """Return the shipped species the register does not know yet."""
    known = {name.casefold() for name in Taxon.objects.values_list("name", flat=True)}
    return [one for one in SHIPPED if one.name.casefold() not in known]
