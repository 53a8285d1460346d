"""Species and subspecies with their husbandry, and the places their founders come from."""

from django.db import models
from django.db.models import F, Q
from django.utils.translation import gettext_lazy as _


class Grouping(models.TextChoices):
    """Who of the adults of a taxon may live together."""

    PAIR = "pair", _("a pair")
    SINGLE = "single", _("singly")
    ONE_MALE = "one male, females", _("one male with females")
    ONE_FEMALE = "one female, males", _("one female with males")
    GROUP = "group", _("a group")


class AnimalClass(models.TextChoices):
    """The classes that differ in protocol."""

    FROG = "frog", _("frogs and toads")
    TAILED = "tailed", _("salamanders and newts")
    REPTILE = "reptile", _("reptiles")
    FISH = "fish", _("fishes")
    INVERTEBRATE = "invertebrate", _("invertebrates")
    BIRD = "bird", _("birds")
    OTHER = "other", _("others")


class Taxon(models.Model):
    """A species or subspecies with the numbers its keeping goes by; days count from laying."""

    name = models.CharField(_("scientific name"), max_length=120, unique=True)
    common_name = models.CharField(max_length=120, blank=True)
    animal_class = models.CharField(_("class"), max_length=20, choices=AnimalClass, default="frog")
    grouping = models.CharField(max_length=20, choices=Grouping, default=Grouping.PAIR)
    hatch_min = models.PositiveSmallIntegerField(_("days to hatching, least"), default=7)
    hatch_max = models.PositiveSmallIntegerField(_("days to hatching, most"), default=21)
    metamorphosis_min = models.PositiveSmallIntegerField(
        _("days to metamorphosis, least"), null=True, blank=True
    )
    metamorphosis_max = models.PositiveSmallIntegerField(
        _("days to metamorphosis, most"), null=True, blank=True
    )
    mature_days = models.PositiveSmallIntegerField(_("age at maturity, days"), default=365)
    leave_days = models.PositiveSmallIntegerField(
        _("age at which young must leave their parents, days"), null=True, blank=True
    )
    one_sire_per_clutch = models.BooleanField(default=True)
    stored_sperm_days = models.PositiveSmallIntegerField(default=0)
    crosses_with_genus = models.BooleanField(_("could cross with its genus"), default=True)
    crosses_with = models.ManyToManyField(
        "self", blank=True, verbose_name=_("could also cross with")
    )
    may_mix_taxa = models.BooleanField(_("may live with other taxa"), default=False)
    may_mix_localities = models.BooleanField(_("localities may be mixed"), default=False)
    note = models.TextField(blank=True, max_length=4000)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = _("taxa")
        constraints = [
            models.CheckConstraint(
                condition=Q(hatch_min__lte=F("hatch_max")),
                name="taxon_hatches_in_order",
                violation_error_message=_("The least days to hatching exceed the most."),
            ),
            models.CheckConstraint(
                condition=Q(metamorphosis_min__isnull=True, metamorphosis_max__isnull=True)
                | Q(metamorphosis_min__gte=F("hatch_min"))
                & Q(metamorphosis_max__gte=F("metamorphosis_min")),
                name="taxon_metamorphosis_in_order",
                violation_error_message=(
                    _("Metamorphosis follows hatching, and its least days do not exceed the most.")
                ),
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def genus(self):
        """The first word of the scientific name."""
        return self.name.split()[0] if self.name.split() else ""

    def could_cross_with(self, other):
        """Return whether young with another taxon are possible."""
        if self.pk == other.pk:
            return False
        same = self.genus == other.genus and (self.crosses_with_genus and other.crosses_with_genus)
        return same or self.crosses_with.filter(pk=other.pk).exists()


class LocalityPrecision(models.TextChoices):
    """How closely a collecting place is known."""

    EXACT = "exact", _("exact site")
    AREA = "area", _("area")
    TRADE = "trade", _("trade name only")


class Locality(models.Model):
    """A collecting place of founders; young of two places carry a mixed record of both."""

    taxon = models.ForeignKey(Taxon, models.PROTECT, related_name="localities")
    name = models.CharField(max_length=160)
    country = models.CharField(_("country (ISO 3166)"), max_length=2, blank=True)
    precision = models.CharField(max_length=10, choices=LocalityPrecision, default="trade")
    parts = models.ManyToManyField("self", symmetrical=False, blank=True, related_name="mixes")
    note = models.TextField(blank=True, max_length=4000)

    class Meta:
        ordering = ["taxon__name", "name"]
        verbose_name_plural = _("localities")
        constraints = [
            models.UniqueConstraint(fields=["taxon", "name"], name="locality_is_named_once"),
            models.CheckConstraint(
                condition=Q(country="") | Q(country__regex=r"^[A-Z]{2}$"),
                name="locality_country_is_two_letters",
                violation_error_message=_("A country is its two capital letters, as in EC or MG."),
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def is_mixed(self):
        """Whether this stands for the young of several places."""
        return self.name.startswith("mixed ")

    @classmethod
    def mixed(cls, localities):
        """Return the record for young of several places, made at its first use."""
        parts = sorted(
            {p for place in localities for p in place.sites()}, key=lambda p: (p.name, p.pk)
        )
        name = "mixed " + " x ".join(p.name for p in parts)
        mix, made = cls.objects.get_or_create(taxon=parts[0].taxon, name=name[:160])
        if made:
            mix.parts.set(parts)
        return mix

    def sites(self):
        """Return the single places this record stands for: itself, or the parts of a mix."""
        return list(self.parts.all()) if self.is_mixed else [self]
