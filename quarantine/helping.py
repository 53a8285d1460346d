"""What the help page tells of quarantine, read from the code and the protocols on record."""

from registry.helping import HelpSection

from .daily import AHEAD
from .models import ProtocolVersion
from .parts import MISSING_DAYS, SHARED_DAYS
from .rounds import POOLED
from .tracing import BACK


def protocols():
    """Every protocol in use, with the figures of its newest version."""
    rows = []
    for version in _newest():
        told = "; ".join(_test(test) for test in version.tests.all()) or "no test"
        rows.append((str(version), _days(version), told, _condition(version)))
    return HelpSection(
        slug="protocols",
        title="Protocols",
        told="As they are on record now. An isolation keeps the version it was opened under.",
        heads=("Protocol", "Days", "Tests", "Also"),
        rows=tuple(rows),
        caution="A starting point. Your veterinarian and local rules come first.",
    )


def _newest():
    """Return the version in force of each protocol in use."""
    rows = ProtocolVersion.objects.filter(protocol__retired=False).select_related("protocol")
    rows = rows.order_by("protocol__name", "number").prefetch_related("tests__assay")
    return {version.protocol_id: version for version in rows}.values()


def _days(version):
    return "never released" if version.never_releases else str(version.min_days)


def _test(test):
    apart = f", {test.gap} days apart" if test.n > 1 else ""
    days = f"first from day {test.first}, last from day {test.last}"
    some = f", of {test.k} animals" if test.k else ""
    tailed = ", tailed animals only" if test.tailed_only else ""
    whom = test.get_per_display()
    return f"{test.assay}: {test.n} negative{apart}, {days}, {whom}{some}{tailed}"


def _condition(version):
    """Say what is asked beside the tests, and the days that are counted."""
    parts = []
    if version.weight_loss_percent is not None:
        parts.append(f"at most {version.weight_loss_percent:g} % lighter")
    if version.eaten_within_days is not None:
        parts.append(f"seen to eat in the last {version.eaten_within_days} days")
    if version.no_open_sign:
        parts.append("no open sign")
    if version.scope == "unit":
        parts.append("additions to its unit start the days again")
    parts.append(f"laboratory {version.laboratory_days} days")
    parts.append(f"washout {version.washout_days} days")
    parts.append(f"an enclosure passes on for {version.persistence_days} days")
    return "; ".join(parts)


def thresholds():
    """Every figure of quarantine that stands in no protocol."""
    return HelpSection(
        slug="quarantine",
        title="Figures quarantine goes by",
        told="Days, laboratory, washout and persistence stand with each protocol above.",
        heads=("Figure", "Is"),
        rows=(
            ("Days a trace looks back at most", f"{BACK}"),
            ("Days after a split on which a positive or a death counts for both", f"{SHARED_DAYS}"),
            ("Days after which a missing member counts as a death", f"{MISSING_DAYS}"),
            ("Animals that one pooled swab may be of", f"{POOLED}"),
            ("Days ahead that Today tells of samples due", f"{AHEAD}"),
        ),
        caution="Disinfectants hurt lungs and skin: air the room. Bleach is never mixed with acids "
        "or ammonia. Doses come from a veterinarian licensed where you live. Skin secretions of "
        "some wild-caught frogs are poisonous: gloves.",
    )
