"""Finding an animal, enclosure, party or paper by any of its names or numbers."""

from dataclasses import dataclass

from django.conf import settings
from django.db.models import Q
from django.urls import NoReverseMatch, reverse
from django.utils.module_loading import import_string

from .models import Animal, Clutch, Enclosure, Locality, Paper, Party, Taxon
from .telling import tell

MOST = 40  # of each kind; whoever finds more asks more closely


@dataclass(frozen=True, kw_only=True)
class Hit:
    """One thing found: what it is called, what it is, and where its page is."""

    text: str
    told: str
    href: str


@dataclass(frozen=True, kw_only=True)
class Kind:
    """The hits of one kind, and whether there are more than are shown."""

    label: str
    hits: tuple[Hit, ...]
    more: bool


def search(text):
    """Return what is found under a text, kind by kind, leaving out kinds without a hit."""
    text = " ".join(text.split())
    if not text:
        return []
    kinds = (
        (tell("Animals"), _animals(text), _animal),
        (
            tell("Clutches"),
            Clutch.objects.filter(code__icontains=text).select_related("taxon"),
            _clutch,
        ),
        (tell("Enclosures"), _enclosures(text), _enclosure),
        (tell("Parties"), _parties(text), _party),
        (tell("Papers"), _papers(text), _paper),
        (tell("Taxa and localities"), _places(text), _place),
    )
    found = [kind_of(label, rows, hit) for label, rows, hit in kinds]
    found += [import_string(path)(text) for path in settings.SEARCH_ALSO]
    return [kind for kind in found if kind.hits]


def kind_of(label, rows, hit):
    """Return rows of one kind as hits, some of them where they are many."""
    some = list(rows[: MOST + 1])
    return Kind(label=label, hits=tuple(hit(one) for one in some[:MOST]), more=len(some) > MOST)


def _animals(text):
    marked = Q(marks__value__icontains=text, marks__superseded_at=None, marks__void=False)
    named = Q(code__icontains=text) | Q(name__icontains=text) | marked
    return Animal.objects.filter(named).select_related("taxon", "locality").distinct()


def _enclosures(text):
    named = Q(code__icontains=text) | Q(unit__name__icontains=text)
    return Enclosure.objects.filter(named).select_related("unit")


def _parties(text):
    named = Q(name__icontains=text) | Q(registration__icontains=text)
    return Party.objects.filter(named | Q(email__icontains=text) | Q(telephone__icontains=text))


def _papers(text):
    named = Q(number__icontains=text) | Q(issuer__icontains=text)
    return Paper.objects.current().filter(named).prefetch_related("animals")


def _places(text):
    named = Q(name__icontains=text) | Q(taxon__name__icontains=text)
    named |= Q(taxon__common_name__icontains=text)
    places = list(Locality.objects.filter(named).select_related("taxon")[:MOST])
    taxa = Taxon.objects.filter(Q(name__icontains=text) | Q(common_name__icontains=text))
    return [*taxa, *places]


def _animal(one):
    told = f"{one.taxon}, {one.locality or tell('unknown locality')}"
    name = f" “{one.name}”" if one.name else ""
    return Hit(text=f"{one.code}{name}", told=told, href=_at("animal-show", one.pk))


def _clutch(one):
    return Hit(text=one.code, told=f"{one.taxon}", href=_at("clutch-show", one.pk))


def _enclosure(one):
    return Hit(text=one.code, told=f"{one.unit}", href=_at("enclosure-show", one.pk))


def _party(one):
    return Hit(text=one.name, told=one.get_kind_display(), href=_at("party-show", one.pk))


def _paper(one):
    animals = [a.pk for a in one.animals.all()]
    href = _at("paper-show", one.pk) or (_at("animal-show", animals[0]) if animals else "")
    return Hit(text=f"{one}", told=one.issuer, href=href)


def _place(one):
    if isinstance(one, Taxon):
        href = f"{_at('animal-list')}?taxon={one.pk}"
        return Hit(text=one.name, told=one.common_name, href=href)
    href = f"{_at('animal-list')}?taxon={one.taxon_id}&locality={one.pk}"
    return Hit(text=one.name, told=f"{one.taxon}", href=href)


def _at(name, *keys):
    """Return the address of a page, empty where the site is put together without it."""
    try:
        return reverse(name, args=keys)
    except NoReverseMatch:
        return ""
