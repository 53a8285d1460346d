"""What the help page tells of quarantine, read from the code and the protocols on record."""

from registry.helping import HelpSection
from registry.telling import decimal, tell

from .daily import AHEAD
from .models import ProtocolVersion
from .parts import MISSING_DAYS, SHARED_DAYS
from .rounds import POOLED
from .tracing import BACK


def protocols():
    """Every protocol in use, with the figures of its newest version."""
    rows = []
    for version in _newest():
        told = "; ".join(_test(test) for test in version.tests.all()) or tell("no test")
        rows.append((str(version), _days(version), told, _condition(version)))
    return HelpSection(
        slug="protocols",
        title=tell("Protocols"),
        told=tell("As they are on record now. An isolation keeps the version it was opened under."),
        heads=(tell("Protocol"), tell("Days"), tell("Tests"), tell("Also")),
        rows=tuple(rows),
        caution=tell("A starting point. Your veterinarian and local rules come first."),
    )


def _newest():
    """Return the version in force of each protocol in use."""
    rows = ProtocolVersion.objects.filter(protocol__retired=False).select_related("protocol")
    rows = rows.order_by("protocol__name", "number").prefetch_related("tests__assay")
    return {version.protocol_id: version for version in rows}.values()


def _days(version):
    return tell("never released") if version.never_releases else str(version.min_days)


def _test(test):
    parts = [tell("{count} negative", count=test.n)]
    if test.n > 1:
        parts.append(tell("{gap} days apart", gap=test.gap))
    told = {"first": test.first, "last": test.last}
    parts.append(tell("first from day {first}, last from day {last}", **told))
    whom = test.get_per_display()
    parts.append(tell("{whom}, of {count} animals", whom=whom, count=test.k) if test.k else whom)
    if test.tailed_only:
        parts.append(tell("tailed animals only"))
    return f"{test.assay}: {', '.join(map(str, parts))}"


def _condition(version):
    """Say what is asked beside the tests, and the days that are counted."""
    return "; ".join([*_state(version), *_days_counted(version)])


def _state(version):
    if version.weight_loss_percent is not None:
        percent = decimal(f"{version.weight_loss_percent:g}")
        yield tell("at most {percent} % lighter", percent=percent)
    if version.eaten_within_days is not None:
        yield tell("seen to eat in the last {count} days", count=version.eaten_within_days)
    if version.no_open_sign:
        yield tell("no open sign")


def _days_counted(version):
    if version.scope == "unit":
        yield tell("additions to its unit start the days again")
    yield tell("laboratory {count} days", count=version.laboratory_days)
    yield tell("washout {count} days", count=version.washout_days)
    yield tell("an enclosure passes on for {count} days", count=version.persistence_days)


def thresholds():
    """Every figure of quarantine that stands in no protocol."""
    return HelpSection(
        slug="quarantine",
        title=tell("Figures quarantine goes by"),
        told=tell("Days, laboratory, washout and persistence stand with each protocol above."),
        heads=(tell("Figure"), tell("Is")),
        rows=(
            (tell("Days a trace looks back at most"), f"{BACK}"),
            (
                tell("Days after a split on which a positive or a death counts for both"),
                f"{SHARED_DAYS}",
            ),
            (tell("Days after which a missing member counts as a death"), f"{MISSING_DAYS}"),
            (tell("Animals that one pooled swab may be of"), f"{POOLED}"),
            (tell("Days ahead that Today tells of samples due"), f"{AHEAD}"),
        ),
        caution=tell(
            "Disinfectants hurt lungs and skin: air the room. Bleach is never mixed with acids "
            "or ammonia. Doses come from a veterinarian licensed where you live. Skin secretions "
            "of some wild-caught frogs are poisonous: gloves."
        ),
    )
