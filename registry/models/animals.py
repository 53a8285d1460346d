"""Animals, how they are recognised, and what is known of their sex."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db import models
from django.db.models import Case, Count, F, OuterRef, Q, Subquery, When
from django.db.models.functions import Coalesce
from django.utils.translation import gettext_lazy as _

from ..telling import tell
from .dates import Precision, earliest, latest
from .facts import Fact
from .parties import Party
from .taxa import Locality, Taxon


class SourceCode(models.TextChoices):
    """CITES source codes of animals."""

    WILD = "W", _("W wild")
    RANCHED = "R", _("R ranched")
    CAPTIVE_BRED = "C", _("C bred in captivity")
    CAPTIVE_BORN = "F", _("F born in captivity")
    REGISTERED = "D", _("D bred by a registered operation")
    CONFISCATED = "I", _("I confiscated")
    PRE_CONVENTION = "O", _("O pre-Convention")
    UNKNOWN = "U", _("U unknown")


class Belief(models.TextChoices):
    """What is believed about the parents of animals that came together."""

    WILD = "wild", _("wild, unrelated")
    COUNTED = "counted", _("about S sires and D dams")
    NOTHING = "nothing", _("nothing said")


class SourceGroup(models.Model):
    """What is believed about the parents of an arrival; one breeder's arrivals may share it."""

    name = models.CharField(max_length=160)
    belief = models.CharField(max_length=10, choices=Belief, default=Belief.NOTHING)
    sires = models.PositiveSmallIntegerField(null=True, blank=True)
    dams = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.TextField(blank=True, max_length=2000)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=(
                    Q(belief="counted", sires__gte=1, dams__gte=1)
                    | ~Q(belief="counted") & Q(sires__isnull=True, dams__isnull=True)
                ),
                name="source_group_counts_where_counted",
                violation_error_message=(
                    _(
                        "Give the number of sires and of dams where they are counted, at "
                        "least one each, and neither otherwise."
                    )
                ),
            )
        ]

    def __str__(self):
        return self.name


class AnimalQuerySet(models.QuerySet):
    """Animals as they stood on a day."""

    def born_by(self, on):
        """Leave out animals born after a day."""
        return self.filter(Q(born__isnull=True) | Q(born__lte=on))

    def alive(self, on):
        """Return the animals not recorded dead on a day, wherever they are."""
        return self.born_by(on).exclude(pk__in=_gone(on).filter(kind="death").values("animal"))

    def here(self, on):
        """Return the animals in the register's care on a day: come or born more often than gone."""
        bred = Case(When(clutch__isnull=False, separated_on__lte=on, then=1), default=0)
        return self.annotate(came=_count(_arrived(on)) + bred, went=_count(_gone(on))).filter(
            came__gt=F("went")
        )


def _gone(on):
    from .comings import Departure

    return Departure.objects.current().filter(day__lte=on)


def _arrived(on):
    from .comings import ArrivalMember

    return ArrivalMember.objects.filter(
        arrival__day__lte=on, arrival__void=False, arrival__superseded_at__isnull=True
    )


def _count(rows):
    """Count the rows about each animal in a subquery."""
    mine = rows.filter(animal=OuterRef("pk")).order_by().values("animal")
    counted = mine.annotate(n=Count("pk")).values("n")
    return Coalesce(Subquery(counted, output_field=models.IntegerField()), 0)


class Animal(models.Model):
    """One animal: who it is, and where its kind comes from."""

    code = models.CharField(max_length=40, unique=True)
    name = models.CharField(max_length=80, blank=True)
    taxon = models.ForeignKey(Taxon, models.PROTECT, related_name="animals")
    locality = models.ForeignKey(
        Locality, models.PROTECT, null=True, blank=True, related_name="animals"
    )
    source_code = models.CharField(
        _("origin (CITES source code)"), max_length=1, choices=SourceCode, default="U"
    )
    born = models.DateField(
        _("born (metamorphosis, else hatching)"), null=True, blank=True, db_index=True
    )
    born_precision = models.CharField(max_length=10, choices=Precision, default=Precision.DAY)
    clutch = models.ForeignKey(
        "registry.Clutch", models.PROTECT, null=True, blank=True, related_name="young"
    )
    separated_on = models.DateField(_("left its clutch as an animal on"), null=True, blank=True)
    source_group = models.ForeignKey(
        SourceGroup, models.PROTECT, null=True, blank=True, related_name="animals"
    )
    owner = models.ForeignKey(
        Party, models.PROTECT, null=True, blank=True, related_name="owned_animals"
    )
    note = models.TextField(blank=True, max_length=4000)

    objects = AnimalQuerySet.as_manager()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=~Q(code=""), name="animal_has_a_code"),
            models.CheckConstraint(
                condition=Q(clutch__isnull=True) | Q(separated_on__isnull=False),
                name="animal_of_a_clutch_left_it_on_a_day",
                violation_error_message=_("An animal bred here left its clutch on some day."),
            ),
            models.CheckConstraint(
                condition=Q(clutch__isnull=True) | Q(source_group__isnull=True),
                name="animal_comes_from_a_clutch_or_a_source",
                violation_error_message=_("An animal comes from a clutch here or from a source."),
            ),
        ]
        permissions = [
            ("place_animal", "Can move animals"),
            ("enter_breach", "Can enter a breach"),
            ("export_register", "Can export the register"),
        ]

    def __str__(self):
        return self.code

    @property
    def earliest_birth(self):
        """The first day this animal may have been born on."""
        return earliest(self.born, self.born_precision)

    @property
    def latest_birth(self):
        """The last day this animal may have been born on."""
        return latest(self.born, self.born_precision)

    def is_adult(self, on):
        """Return whether it may be mature on a day; an unknown age is adult."""
        first = self.earliest_birth
        return first is None or first + timedelta(days=self.taxon.mature_days) <= on

    def must_leave_parents(self):
        """Return the day from which it may no longer live with its parents, if one is set."""
        first = self.earliest_birth
        if first is None or self.taxon.leave_days is None:
            return None
        return first + timedelta(days=self.taxon.leave_days)


class MarkKind(models.TextChoices):
    """How an animal is told from others."""

    PHOTOGRAPH = "photograph", _("photograph")
    RING = "ring", _("ring")
    CHIP = "chip", _("chip")
    SUPPLIER = "supplier", _("supplier's number")
    OTHER = "other", _("other")


class Mark(Fact):
    """A photograph, ring, chip or number by which an animal is known."""

    animal = models.ForeignKey(Animal, models.PROTECT, related_name="marks")
    kind = models.CharField(max_length=12, choices=MarkKind)
    value = models.CharField(max_length=120, blank=True, db_index=True)
    photo = models.ImageField(upload_to="marks/%Y/%m", blank=True)
    day = models.DateField()

    class Meta(Fact.Meta):
        ordering = ["day"]

    def __str__(self):
        return f"{self.get_kind_display()} {self.value}".strip()


class Sex(models.TextChoices):
    """The two sexes a finding can show."""

    MALE = "male", _("male")
    FEMALE = "female", _("female")


class Basis(models.TextChoices):
    """What a finding of sex rests on; the first five are strong."""

    CALLING = "calling", _("heard calling")
    LAID = "laid", _("laid eggs")
    DNA = "dna", _("DNA")
    ENDOSCOPY = "endoscopy", _("endoscopy")
    PARENT = "parent", _("parent of young, seen or by DNA")
    LOOKS = "looks", _("looks")
    SIZE = "size", _("size")
    SELLER = "seller", _("the seller's word")


STRONG = frozenset({Basis.CALLING, Basis.LAID, Basis.DNA, Basis.ENDOSCOPY, Basis.PARENT})


class SexFinding(Fact):
    """On a day somebody saw, heard or measured what sex an animal is."""

    animal = models.ForeignKey(Animal, models.PROTECT, related_name="sex_findings")
    day = models.DateField()
    sex = models.CharField(max_length=6, choices=Sex)
    basis = models.CharField(max_length=10, choices=Basis)
    note = models.CharField(max_length=400, blank=True)
    one_of = models.ForeignKey(
        "registry.OneOfThese",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="findings",
        verbose_name=_("settles"),
    )

    class Meta(Fact.Meta):
        ordering = ["day", "pk"]
        constraints = [
            *Fact.Meta.constraints,
            models.UniqueConstraint(
                fields=["one_of"],
                condition=Q(void=False, superseded_at__isnull=True),
                name="one_of_these_was_found_once",
                violation_error_message=_("It is settled already; correct that entry."),
            ),
            models.CheckConstraint(
                condition=~Q(basis="calling", sex="female") & ~Q(basis="laid", sex="male"),
                name="males_call_and_females_lay",
                violation_error_message=_("Calling shows a male, laying shows a female."),
            ),
        ]

    def __str__(self):
        return tell(
            "{sex} ({basis}) on {day}", sex=self.sex, basis=self.get_basis_display(), day=self.day
        )

    @property
    def is_strong(self):
        """Whether this finding beats looks and hearsay."""
        return self.basis in STRONG


@dataclass(frozen=True, kw_only=True)
class Sexing:
    """What the findings on an animal come to."""

    sex: str | None = None
    strong: bool = False
    contradicted: bool = False
    basis: str = ""
    since: date | None = None

    @property
    def column(self):
        """The place in 1.2.3: 0 male, 1 female, 2 unsexed."""
        return {"male": 0, "female": 1}.get(self.sex, 2)

    def words(self):
        """Say the sex and how sure it is."""
        if self.contradicted:
            return tell("sex contradicted")
        if self.sex is None:
            return tell("unsexed")
        told = {"sex": Sex(self.sex).label, "basis": Basis(self.basis).label}
        if self.strong:
            return f"{told['sex']} ({told['basis']})"
        return tell("probably {sex} ({basis})", **told)


def conclude(findings):
    """Return what dated findings come to: strong beats weak, two strong that differ contradict."""
    ordered = sorted(findings, key=lambda f: f.day)
    strong = [f for f in ordered if f.is_strong]
    if len({f.sex for f in strong}) > 1:
        return Sexing(contradicted=True, since=strong[-1].day)
    deciding = strong[:1] or ordered[-1:]
    if not deciding:
        return Sexing()
    found = deciding[0]
    return Sexing(sex=found.sex, strong=bool(strong), basis=found.basis, since=found.day)
