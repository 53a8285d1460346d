"""Animals, places, taxa and parties: changed under the same checks as on their pages."""

from django.contrib import admin

from ..forms.animals import AnimalForm
from ..forms.enclosures import EnclosureForm, HoldingForm, UnitForm
from ..forms.parties import PartyForm
from ..forms.taxa import LocalityForm, TaxonForm
from ..models import (
    Animal,
    Clutch,
    Enclosure,
    Holding,
    Locality,
    Party,
    SourceGroup,
    Taxon,
    Unit,
)
from ..telling import tell
from .reading import Kept


@admin.register(Animal)
class AnimalAdmin(Kept):
    """Who an animal is; a change says why, and is kept."""

    form = AnimalForm
    list_display = ("code", "name", "taxon", "locality", "source_code", "born")
    list_filter = ("taxon", "source_code")
    list_select_related = ("taxon", "locality")
    search_fields = ("code", "name", "marks__value")

    def get_fields(self, request, obj=None):
        """Ask for the reason only where something is changed."""
        fields = list(self.form.base_fields)
        return fields if obj else [name for name in fields if name != "why"]

    def construct_change_message(self, request, form, formsets, add=False):
        """Keep what was changed, from what to what, and why."""
        return tell("Entered.") if add else form.said()


@admin.register(Clutch)
class ClutchAdmin(Kept):
    """Clutches are entered from their enclosure; only the note is written over."""

    list_display = ("code", "taxon", "enclosure", "found_on", "found_as")
    search_fields = ("code",)

    def has_add_permission(self, request):
        """A clutch is found in an enclosure, and entered on its page."""
        return False

    def get_readonly_fields(self, request, obj=None):
        """What its parents and dates rest on is not written over."""
        return [f.name for f in self.opts.fields if f.name not in {"id", "note"}]


@admin.register(Enclosure)
class EnclosureAdmin(Kept):
    """Enclosures."""

    form = EnclosureForm
    list_display = ("code", "unit", "kind", "room_for", "retired_on")
    list_filter = ("unit",)
    search_fields = ("code",)


@admin.register(Unit)
class UnitAdmin(Kept):
    """Units."""

    form = UnitForm
    list_display = ("name", "holding", "role")


@admin.register(Holding)
class HoldingAdmin(Kept):
    """Premises."""

    form = HoldingForm


@admin.register(Party)
class PartyAdmin(Kept):
    """Parties."""

    form = PartyForm
    list_display = ("name", "kind", "country")
    search_fields = ("name", "registration")


@admin.register(Taxon)
class TaxonAdmin(Kept):
    """Taxa."""

    form = TaxonForm
    list_display = ("name", "common_name", "animal_class", "grouping")
    search_fields = ("name", "common_name")


@admin.register(Locality)
class LocalityAdmin(Kept):
    """Localities."""

    form = LocalityForm
    list_display = ("name", "taxon", "country", "precision")
    search_fields = ("name",)


@admin.register(SourceGroup)
class SourceGroupAdmin(Kept):
    """What is believed about the parents of an arrival; kinship follows from it."""

    list_display = ("name", "belief", "sires", "dams")
    search_fields = ("name",)
