"""Every isolation that was ever opened, with the protocol it is under: one statement for all.

A page that asks for them is told at once what it asks for next: the signatures, the names of the
units, the arrivals, and how large the register is.
"""

from collections import defaultdict
from dataclasses import dataclass
from functools import cached_property

from django.db.models import Count, Value

from registry import shelf
from registry.models import Arrival, DepartureKind, OneOfThese, Stay, Unit
from registry.together import again, attach_through, fetch

from .models import Assay, Clearance, Isolation, ProtocolTest, ProtocolVersion
from .whereabouts import PERSISTENCE
from .wording import assay_of, protocol_of


@dataclass(frozen=True, kw_only=True)
class Signed:
    """The clearances that stand, the earliest first, and `(animal, clearance)` of the released.

    The evidence of a clearance is fetched when it is looked at.
    """

    clearances: tuple
    released: tuple


def signed_rows(**whom):
    """Return questions for the clearances that stand, of some animals, and whom they released."""
    through = Clearance.animals.through.objects.filter(**whom)
    released = through.filter(clearance__void=False, clearance__superseded_at__isnull=True)
    rows = Clearance.objects.current().defer("evidence").select_related("signed_by")
    if whom:
        rows = rows.filter(pk__in=released.values("clearance"))
    return rows.order_by("day", "pk"), released.values_list("animal", "clearance")


def told_of(clearances, released, isolations):
    """Return clearances, each with its isolation, and whom they released."""
    for row in clearances:
        row.isolation = isolations.get(row.isolation_id)
    return Signed(clearances=tuple(clearances), released=tuple(released))


def several_rows():
    """Return questions for what befell one of several, and for those it can have been."""
    events = OneOfThese.objects.filter(what__in=DepartureKind.values, void=False)
    among = OneOfThese.animals.through.objects.filter(oneofthese__in=events.values("pk"))
    return events.select_related("receiver"), among.select_related("animal").order_by("pk")


def several(animals):
    """Return the deaths and departures of one of several of these animals, by their keys."""
    return [e for e in opened().several if any(a.pk in animals for a in e.animals.all())]


def opened():
    """Return the isolations with their protocols; a page fetches them once."""
    return shelf.kept("opened", Opened)


def _asked_of_a_page():
    clearances, released = signed_rows()
    events, among = several_rows()
    return {
        "clearances": clearances,
        "released": released,
        "units": Unit.objects.values_list("pk", "name"),
        "stays": Stay.objects.order_by().values(all=Value(1)).annotate(n=Count("pk")),
        "arrivals": Arrival.objects.select_related("supplier"),
        "several": events,
        "among": among,
    }


ASKED = {
    "isolations": Isolation.objects.all(),
    "versions": ProtocolVersion.objects.select_related("protocol"),
    "tests": ProtocolTest.objects.select_related("assay"),
    "assays": Assay.objects.all(),
}
OF_A_PAGE = _asked_of_a_page()


class Opened:
    """The isolations by key, corrected and taken-back entries too, and what their wording means."""

    def __init__(self):
        asked = {name: again(rows) for name, rows in ASKED.items()}
        self._of_a_page = {name: again(rows) for name, rows in OF_A_PAGE.items()}
        fetch(*asked.values(), *(self._of_a_page.values() if shelf.is_open() else ()))
        isolations, versions, tests, self._assays = asked.values()
        self.isolations = {row.pk: row for row in isolations}
        self.versions = {row.pk: row for row in versions}
        self._tests = defaultdict(list)
        for test in tests:
            self._tests[test.version_id].append(test)
        for row in self.isolations.values():
            row.version = self.versions[row.version_id]
            row.split_from = self.isolations.get(row.split_from_id)

    def _page(self, *names):
        """Return what most pages ask, fetched with the rest while a page is made, else now."""
        return fetch(*(self._of_a_page[name] for name in names))

    @cached_property
    def several(self):
        """What deaths and departures befell one of several, corrected entries included."""
        events, among = self._page("several", "among")
        attach_through(events, "animals", among)
        return tuple(events)

    @cached_property
    def arrivals(self):
        """The arrivals with their suppliers, by key."""
        return {row.pk: row for row in self._page("arrivals")[0]}

    @cached_property
    def signed(self):
        """The clearances that stand, and whom each of them released."""
        return told_of(*self._page("clearances", "released"), self.isolations)

    @cached_property
    def units(self):
        """The names of the units by the word the facts call them."""
        return {str(pk): name for pk, name in self._page("units")[0]}

    @cached_property
    def stays(self):
        """How many stays are on record."""
        return sum(row["n"] for row in self._page("stays")[0])

    @cached_property
    def assays(self):
        """The kinds of test on record as the clock takes them."""
        return tuple(map(assay_of, self._assays))

    @cached_property
    def persistence(self):
        """How long an enclosure passes something on: the longest of the protocols in force."""
        newest = {}
        for version in sorted(self.versions.values(), key=lambda version: version.number):
            if not version.protocol.retired:
                newest[version.protocol_id] = version.persistence_days
        return max(newest.values(), default=PERSISTENCE)

    def protocol(self, version):
        """Return the protocol of a version as the clock takes it."""
        return protocol_of(version, self._tests[version.pk])

    def chains(self, keys):
        """Return isolations with every earlier entry that they correct."""
        found = set()
        for key in keys:
            while key and key not in found:
                found.add(key)
                key = self.isolations[key].replaces_id
        return [row for key, row in self.isolations.items() if key in found]

    @cached_property
    def kin(self):
        """Which isolations were split from which, both ways."""
        kin = defaultdict(set)
        for row in self.isolations.values():
            if row.split_from_id and row.superseded_at is None and not row.void:
                kin[row.pk].add(row.split_from_id)
                kin[row.split_from_id].add(row.pk)
        return kin

    def family(self, key):
        """Return the keys of all isolations that share a split with one, itself included."""
        found, wave = {key}, {key}
        while wave:
            wave = {k for member in wave for k in self.kin[member]} - found
            found |= wave
        return found
