"""Rows of quarantine for tests; every field has a default."""

from datetime import date, datetime, time

from django.apps import apps
from django.utils import timezone

from quarantine import models as q
from registry.models import Fact, Lasting
from tests import make

DAY = make.DAY
CAPTIVE = "captive-bred, known tested collection"
IMPORT = "import, wild-caught or unknown route"
RESIDENT = "exposed or sick resident"


def version(name=CAPTIVE, **changes):
    """Return the shipped version of a protocol, or a changed one under a name of its own."""
    shipped = q.Protocol.objects.get(name=name).newest()
    if not changes:
        return shipped
    tests = list(shipped.tests.all())
    protocol = q.Protocol.objects.create(name=f"{name} {q.Protocol.objects.count()}")
    kept = {f.name: getattr(shipped, f.name) for f in shipped._meta.concrete_fields}
    kept |= {"id": None, "protocol": protocol} | changes
    made = q.ProtocolVersion.objects.create(**kept)
    for test in tests:
        test.pk, test.version = None, made
        test._state.adding = True
        test.save()
    return made


def isolation(animals=(), *, opened=DAY, kind="incoming", name="Q1", version=None, **more):
    """Return an isolation with these members from its opening on."""
    version = version or globals()["version"]()
    made = q.Isolation.objects.create(name=name, kind=kind, version=version, opened=opened, **more)
    for one in animals:
        member(made, one, start=opened)
    return made


def member(isolation, animal, *, start=DAY, **more):
    """Return that an animal belongs to a batch."""
    return q.Membership.objects.create(isolation=isolation, animal=animal, start=start, **more)


def sample(assay="bd-pcr", animals=(), *, day=DAY, enclosure=None, **more):
    """Return a sample of animals or of an enclosure."""
    kind = q.Assay.objects.get(code=assay)
    made = q.Sample.objects.create(assay=kind, day=day, enclosure=enclosure, **more)
    made.animals.set(animals)
    return made


def result(sample, outcome="negative", *, day=None, **more):
    """Return what was reported of a sample, on its own day by default."""
    return q.Result.objects.create(sample=sample, outcome=outcome, day=day or sample.day, **more)


def resident(code=None, enclosure=None, *, since=date(2020, 1, 1), **more):
    """Return an animal that came and was cleared long ago."""
    animal = make.animal(code, here_since=since, **more)
    if enclosure:
        make.stay(animal, enclosure, start=since)
    return animal


def newcomer(code=None, enclosure=None, *, since=DAY, **more):
    """Return an animal that came and waits for its clearance."""
    animal = make.animal(code, here_since=since, cleared=False, **more)
    if enclosure:
        make.stay(animal, enclosure, start=since)
    return animal


def hold(*, start=DAY, reason="looks ill", **on):
    """Return a hold by hand."""
    return q.Hold.objects.create(start=start, reason=reason, **on)


def moment(day, hour=12):
    """Return a moment of a day."""
    return timezone.make_aware(datetime.combine(day, time(hour)))


def as_it_happened():
    """Let everything on record have been entered on the day it is about."""
    for model in apps.get_models():
        if issubclass(model, Fact):
            for row in model.objects.all():
                entered(row, row.about)


def entered(row, day, ended=None):
    """Let a row have been entered on a day, and its end on the day it ended or another."""
    told = {"entered_at": moment(day)}
    if isinstance(row, Lasting) and row.end:
        told["ended_at"] = moment(ended or max(row.end, day))
    type(row).objects.filter(pk=row.pk).update(**told)
