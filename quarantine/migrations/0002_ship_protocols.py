"""Ships the kinds of test and the four protocols, as a starting point for the keeper."""

from django.db import migrations

from quarantine.protocols import ASSAYS, SHIPPED


def ship(apps, schema_editor):
    """Enter each assay and protocol that is not there yet."""
    Assay = apps.get_model("quarantine", "Assay")
    Protocol = apps.get_model("quarantine", "Protocol")
    assays = {}
    for one in ASSAYS:
        means = {"name": one.name, "default_verdict": str(one.positive_means or "")}
        assays[one.code], _ = Assay.objects.get_or_create(code=one.code, defaults=means)
    for one in SHIPPED:
        protocol, made = Protocol.objects.get_or_create(name=one.name)
        if made:
            _enter(apps, protocol, one, assays)


def _enter(apps, protocol, wording, assays):
    version = apps.get_model("quarantine", "ProtocolVersion").objects.create(
        protocol=protocol,
        number=1,
        min_days=wording.min_days,
        scope=str(wording.scope),
        laboratory_days=wording.laboratory_days,
        washout_days=wording.washout_days,
        note="A starting point; a veterinarian and local rules come first.",
    )
    for test in wording.tests:
        version.tests.create(
            assay=assays[test.assay],
            n=test.negatives,
            gap=test.gap,
            first=test.first_from,
            last=test.last_from,
            per=str(test.per),
            k=test.members_asked,
            tailed_only=test.tailed_only,
        )


class Migration(migrations.Migration):
    dependencies = [("quarantine", "0001_begin")]
    operations = [migrations.RunPython(ship, migrations.RunPython.noop)]
