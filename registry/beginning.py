"""From an empty register to one in use: the steps, which are done, and which comes next."""

from dataclasses import dataclass
from datetime import date

from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils.module_loading import import_string
from django.utils.translation import gettext_lazy as _

from .codes import run_of_codes
from .identity import ADDITION, log
from .models import Animal, Enclosure, Holding, Party, Taxon, Unit
from .phrases import in_a_row
from .species import taxon_of
from .telling import tell, tell_many


@dataclass(frozen=True, kw_only=True)
class Step:
    """One step: what it is for, what is done of it, and where it is taken."""

    title: str
    why: str
    done: str = ""  # what is on record of it, empty while nothing is
    href: str
    act: str
    more: str = _("Come back to it")  # what the act is called once it is done
    waits: str = ""  # what comes before it, where it cannot be taken yet
    right: str = ""


@dataclass(frozen=True, kw_only=True)
class Beginning:
    """All steps on a day, as one person may take them."""

    steps: tuple[Step, ...]
    on: date

    @property
    def next(self):
        """The first step that is not done, None once all are."""
        return next((step for step in self.steps if not step.done), None)

    @property
    def done(self):
        """How many steps are done."""
        return sum(bool(step.done) for step in self.steps)


def beginning(on, user):
    """Return the steps named in the settings, in their order."""
    steps = (import_string(path)(on, user) for path in settings.BEGINNING_STEPS)
    return Beginning(steps=tuple(steps), on=on)


def premises_are_named(on, user):
    """Whose register it is, and where."""
    names = list(Holding.objects.values_list("name", flat=True)[:4])
    return Step(
        title=tell("Premises"),
        why=tell(
            "Where the animals are, and who keeps them, as papers name it. For "
            "example “Lantern Row”, kept by yourself."
        ),
        done=in_a_row(names),
        href=reverse("begin-premises"),
        act=tell("Name the premises"),
        more=tell("More premises"),
        right="registry.add_holding",
    )


def species_are_chosen(on, user):
    """Which species are kept, with the figures their keeping goes by."""
    names = list(Taxon.objects.values_list("name", flat=True)[:12])
    return Step(
        title=tell("Species"),
        why=tell(
            "Each with the figures its keeping goes by: who lives together, how "
            "long eggs and larvae take, when young must leave. Some are shipped; "
            "every figure can be changed."
        ),
        done=in_a_row(names),
        href=reverse("begin-species"),
        act=tell("Choose species"),
        more=tell("More species"),
        right="registry.add_taxon",
    )


def units_are_named(on, user):
    """Which rooms or racks share air, water, drain or tools."""
    units = list(Unit.objects.all()[:8])
    return Step(
        title=tell("Units"),
        why=tell(
            "A room or rack that shares air, water, drain or tools. At least one "
            "for residents and one for newcomers."
        ),
        done=in_a_row(f"{unit} ({unit.get_role_display()})" for unit in units),
        href=reverse("begin-units"),
        act=tell("Name the units"),
        more=tell("More units"),
        waits="" if Holding.objects.exists() else tell("Name the premises first."),
        right="registry.add_unit",
    )


def enclosures_are_numbered(on, user):
    """Where the animals live."""
    count = Enclosure.objects.count()
    return Step(
        title=tell("Enclosures"),
        why=tell(
            "Tanks, tubs and cups, each with a code that fits on a label; "
            "several at once, as E1 to E12."
        ),
        done=tell_many("{count} enclosure", "{count} enclosures", count) if count else "",
        href=reverse("enclosures-add"),
        act=tell("Add enclosures"),
        more=tell("More enclosures"),
        waits="" if Unit.objects.exists() else tell("Name a unit first."),
        right="registry.add_enclosure",
    )


def animals_are_listed(on, user):
    """Who is here on the day the register begins."""
    count = Animal.objects.count()
    ready = Holding.objects.exists() and Taxon.objects.exists()
    return Step(
        title=tell("Opening stock"),
        why=tell(
            "The animals that are here on the day the register begins: typed, "
            "pasted from a spreadsheet or handed in as a file. Their arrivals "
            "keep their own dates."
        ),
        done=tell_many("{count} animal", "{count} animals", count) if count else "",
        href=reverse("stock-open"),
        act=tell("List the animals"),
        more=tell("List more animals"),
        waits="" if ready else tell("Name the premises and choose a species first."),
        right="registry.register_arrival",
    )


@transaction.atomic
def name_premises(data, by):
    """Enter premises with the party that keeps them, and whoever enters them as their keeper."""
    party = Party.objects.filter(name__iexact=data["keeper"]).first()
    if party is None:
        told = {name: data[name] for name in ("address", "country", "registration")}
        party = Party.objects.create(name=data["keeper"], **told)
        log(by, party, ADDITION, tell("Entered."))
    holding = Holding.objects.create(name=data["name"], party=party)
    holding.keepers.add(by)
    log(by, holding, ADDITION, tell("Entered."))
    return holding


@transaction.atomic
def take_species(species, by):
    """Enter shipped species as taxa."""
    return [_entered(taxon_of(one), by) for one in species]


@transaction.atomic
def add_enclosures(unit, pattern, count, by, **told):
    """Enter several enclosures of one unit, numbered by a pattern from the next free number."""
    codes = run_of_codes(pattern, count, among=Enclosure)
    return [_entered(Enclosure(unit=unit, code=code, **told), by) for code in codes]


def _entered(thing, by):
    thing.full_clean()
    thing.save()
    log(by, thing, ADDITION, tell("Entered."))
    return thing
