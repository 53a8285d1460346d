"""Facts in the administration pages: entered through the doors, then only read."""

from django.contrib import admin

from ..models import (
    Arrival,
    ArrivalMember,
    Candidate,
    ClutchPart,
    Departure,
    Descent,
    Disinfection,
    Loss,
    Mark,
    Missing,
    Observation,
    OfClutch,
    OneOfThese,
    Outing,
    OwnerChange,
    Pairing,
    Paper,
    SexFinding,
    StageCount,
    Stay,
    ThingsMoved,
)
from . import entering, mixing, owning
from .reading import FactAdmin


class Named(admin.TabularInline):
    """Who is named in a statement of descent."""

    model = Candidate
    extra = 0
    can_delete = False

    def has_add_permission(self, request, obj=None):
        """They are named with the statement."""
        return False

    has_change_permission = has_add_permission


class Members(Named):
    """Who came with an arrival."""

    model = ArrivalMember


def read_with(form=None, inline=None, search=()):
    """Return an administration class for a fact with a door, or for one that is only read."""
    name = form.__name__.replace("Form", "Admin") if form else "Read"
    own = {"search_fields": search, "inlines": [inline] if inline else []}
    return type(name, (FactAdmin,), own | ({"form": form} if form else {}))


ANIMAL, CLUTCH = ("animal__code",), ("clutch__code",)

admin.site.register(
    Stay, read_with(entering.StayForm, search=("animal__code", "clutch__code", "enclosure__code"))
)
admin.site.register(Departure, read_with(entering.DepartureForm, search=ANIMAL))
admin.site.register(
    Descent, read_with(entering.DescentForm, Named, search=("animal__code", "clutch__code"))
)
admin.site.register(
    Pairing, read_with(entering.PairingForm, search=("first__code", "second__code"))
)
admin.site.register(SexFinding, read_with(entering.FindingForm, search=ANIMAL))
admin.site.register(Observation, read_with(entering.ObservationForm, search=ANIMAL))
admin.site.register(Missing, read_with(entering.MissingForm, search=ANIMAL))
admin.site.register(Outing, read_with(entering.OutingForm, search=ANIMAL))
admin.site.register(OwnerChange, read_with(owning.OwnerChangeForm, search=ANIMAL))
admin.site.register(OneOfThese, read_with(entering.OneOfTheseForm, search=("enclosure__code",)))
admin.site.register(Disinfection, read_with(entering.DisinfectionForm, search=("enclosure__code",)))
admin.site.register(
    ThingsMoved, read_with(entering.ThingsForm, search=("source__code", "target__code", "what"))
)
admin.site.register(
    ClutchPart, read_with(mixing.ClutchPartForm, search=("clutch__code", "mix__code"))
)
admin.site.register(OfClutch, read_with(mixing.OfClutchForm, search=(*ANIMAL, *CLUTCH)))
admin.site.register(StageCount, read_with(entering.CountForm, search=CLUTCH))
admin.site.register(Loss, read_with(entering.LossForm, search=CLUTCH))
# Entered on pages of their own only: with a photograph, papers, a whole box of animals.
admin.site.register(Mark, read_with(search=("animal__code", "value")))
admin.site.register(Arrival, read_with(inline=Members, search=("supplier__name",)))
admin.site.register(Paper, read_with(search=("number", "issuer")))
