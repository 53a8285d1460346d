"""The wording of a protocol: from its rows to the pure protocol, and new versions of it."""

from django.db import transaction
from django.db.models import Max

from . import protocols as pure
from .models import Protocol, ProtocolTest, ProtocolVersion


def assay_of(row):
    """Return a kind of test as the clock takes it."""
    means = pure.Verdict(row.default_verdict) if row.default_verdict else None
    return pure.Assay(code=row.code, name=row.name, positive_means=means)


def protocol_of(version, tests):
    """Return a version with its tests as the clock takes it; fetch with `protocol` and `assay`."""
    return pure.Protocol(
        name=version.protocol.name,
        min_days=version.min_days,
        tests=tuple(test_of(test) for test in tests),
        scope=pure.Scope(version.scope),
        weight_loss_percent=version.weight_loss_percent,
        eaten_within_days=version.eaten_within_days,
        no_open_sign=version.no_open_sign,
        laboratory_days=version.laboratory_days,
        washout_days=version.washout_days,
        releases=not version.never_releases,
    )


def test_of(row):
    """Return one line of a protocol as the clock takes it."""
    return pure.Test(
        assay=row.assay.code,
        negatives=row.n,
        gap=row.gap,
        first_from=row.first,
        last_from=row.last,
        per=pure.Per(row.per),
        members_asked=row.k,
        tailed_only=row.tailed_only,
    )


def versions():
    """Return the versions with all that the clock needs of them."""
    return ProtocolVersion.objects.select_related("protocol").prefetch_related("tests__assay")


def in_force():
    """Return the newest version of each protocol that is not retired, by name."""
    rows = versions().filter(protocol__retired=False)
    newest = rows.values("protocol").annotate(top=Max("number"))
    wanted = {row["protocol"]: row["top"] for row in newest.order_by()}
    return [row for row in rows.order_by("protocol__name") if wanted[row.protocol_id] == row.number]


@transaction.atomic
def reword(protocol, tests, **rules):
    """Enter a new version of a protocol; isolations that run keep the one they opened under.

    `tests` are unsaved ProtocolTest rows. Raises ImpossibleProtocol where it contradicts itself.
    """
    protocol = Protocol.objects.select_for_update().get(pk=protocol.pk)
    last = protocol.versions.aggregate(last=Max("number"))["last"] or 0
    version = ProtocolVersion(protocol=protocol, number=last + 1, **rules)
    refuse_impossible(version, tests)
    version.full_clean()
    version.save()
    for test in tests:
        test.version, test.pk = version, None
        test._state.adding = True
        test.save()
    return version


def refuse_impossible(version, tests):
    """Raise ImpossibleProtocol if a version with these tests contradicts itself."""
    pure.refuse_impossible(
        pure.Protocol(
            name=version.protocol.name,
            min_days=version.min_days,
            tests=tuple(test_of(test) for test in tests),
            weight_loss_percent=version.weight_loss_percent,
            eaten_within_days=version.eaten_within_days,
            laboratory_days=version.laboratory_days,
            washout_days=version.washout_days,
        )
    )


def begin(name, tests, **rules):
    """Enter a protocol under a new name with its first version."""
    with transaction.atomic():
        return reword(Protocol.objects.create(name=name), tests, **rules)


def line_of(assay, test):
    """Return an unsaved row for one line of a pure protocol."""
    return ProtocolTest(
        assay=assay,
        n=test.negatives,
        gap=test.gap,
        first=test.first_from,
        last=test.last_from,
        per=test.per.value,
        k=test.members_asked,
        tailed_only=test.tailed_only,
    )
